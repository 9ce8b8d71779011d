//! Which looks a book compares with the record before (`last LOOK`).

use std::collections::BTreeSet;

use purfle_lang::book::{Book, Condition, Cost, Good, LookId, Test, Value};

/// The looks of which the record before is read; empty where the book never looks back.
pub fn compared_looks(book: &Book) -> BTreeSet<LookId> {
    let mut looks = BTreeSet::new();
    for part in &book.parts {
        let places = part.fixed_places().iter().filter_map(|place| place.only_when.as_ref());
        part.only_when.iter().chain(places).for_each(|condition| in_condition(condition, &mut looks));
    }
    for look in &book.looks {
        look.only_when.iter().for_each(|condition| in_condition(condition, &mut looks));
        if let Some(Good::Range(value)) = &look.good {
            in_value(value, &mut looks);
        }
    }
    book.tables.iter().flat_map(|table| &table.rows).for_each(|row| in_value(&row.value, &mut looks));
    book.reckons.iter().for_each(|reckon| in_value(&reckon.value, &mut looks));
    book.works.iter().for_each(|work| in_value(&work.amount, &mut looks));
    for finding in &book.findings {
        in_condition(&finding.signs, &mut looks);
        let lines = finding.urgency.iter().filter_map(|line| line.when.as_ref());
        finding.unless.iter().chain(lines).for_each(|condition| in_condition(condition, &mut looks));
        let ways = finding.ways.iter().map(|way| &way.cost);
        std::iter::once(&finding.cost).chain(ways).for_each(|cost| in_cost(cost, &mut looks));
    }
    book.raises.iter().for_each(|raise| in_condition(&raise.when, &mut looks));
    book.counsels.iter().for_each(|counsel| in_condition(&counsel.when, &mut looks));
    book.aids.iter().filter_map(|aid| aid.who.as_ref()).for_each(|who| in_condition(who, &mut looks));
    looks
}

fn in_cost(cost: &Cost, looks: &mut BTreeSet<LookId>) {
    cost.goods.iter().for_each(|goods| in_value(&goods.price, looks));
}

fn in_condition(condition: &Condition, looks: &mut BTreeSet<LookId>) {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
            all.iter().for_each(|condition| in_condition(condition, looks));
        }
        Condition::Not(inner) | Condition::Places { with: inner, .. } => in_condition(inner, looks),
        Condition::Test(Test::Compare(_, left, right), _) => {
            in_value(left, looks);
            in_value(right, looks);
        }
        Condition::Test(Test::Between(value, low, high), _) => {
            [value, low, high].into_iter().for_each(|value| in_value(value, looks));
        }
        Condition::Test(..) | Condition::Found(..) => {}
    }
}

fn in_value(value: &Value, looks: &mut BTreeSet<LookId>) {
    match value {
        Value::Last(at) => {
            looks.insert(at.look);
        }
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => {
            in_value(left, looks);
            in_value(right, looks);
        }
        Value::Negative(inner) => in_value(inner, looks),
        Value::Formula(_, all) => all.iter().for_each(|value| in_value(value, looks)),
        Value::Number(_)
        | Value::Range(..)
        | Value::Date(_)
        | Value::Look(_)
        | Value::InspectedOn
        | Value::Table(_)
        | Value::Reckon(_)
        | Value::TotalCost => {}
    }
}
