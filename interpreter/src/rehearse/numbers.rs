//! The numbers that a finding's conditions mention, in tables and reckonings too.

use purfle_lang::book::{Book, Condition, Finding, Test, Value};
use purfle_lang::number::Number;

/// Adds every number that a finding's conditions mention.
pub fn numbers(book: &Book, finding: &Finding, into: &mut Vec<Number>) {
    let when = finding.urgency.iter().flat_map(|line| &line.when);
    std::iter::once(&finding.signs).chain(&finding.unless).chain(when).for_each(|condition| of_condition(book, condition, into));
}

fn of_condition(book: &Book, condition: &Condition, into: &mut Vec<Number>) {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
            all.iter().for_each(|condition| of_condition(book, condition, into));
        }
        Condition::Not(inner) | Condition::Places { with: inner, .. } => of_condition(book, inner, into),
        Condition::Test(Test::Compare(_, left, right), _) => {
            [left, right].into_iter().for_each(|value| of_value(book, value, into))
        }
        Condition::Test(Test::Between(value, low, high), _) => {
            [value, low, high].into_iter().for_each(|value| of_value(book, value, into));
        }
        Condition::Test(..) | Condition::Found(..) => {}
    }
}

fn of_value(book: &Book, value: &Value, into: &mut Vec<Number>) {
    match value {
        Value::Number(number) => into.push(*number),
        Value::Range(low, high) => into.extend([*low, *high]),
        Value::Table(table) => book[*table].rows.iter().for_each(|row| of_value(book, &row.value, into)),
        Value::Reckon(reckon) => of_value(book, &book[*reckon].value, into),
        Value::Arithmetic(_, left, right) | Value::Lower(left, right) | Value::Higher(left, right) => {
            of_value(book, left, into);
            of_value(book, right, into);
        }
        Value::Negative(inner) => of_value(book, inner, into),
        Value::Formula(_, all) => all.iter().for_each(|value| of_value(book, value, into)),
        Value::Date(_) | Value::Look(_) | Value::Last(_) | Value::InspectedOn | Value::TotalCost | Value::DaysFrom(..) => {}
    }
}
