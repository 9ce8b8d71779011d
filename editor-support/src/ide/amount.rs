//! From which least to which greatest a value can go, where no look decides it.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};
use purfle_lang::book::{ArithmeticSign, Book, Value, Work};
use purfle_lang::number::Number;

/// How deep reckonings are followed.
const DEEPEST: u32 = 16;

/// Least and greatest, over all rows of the tables in it; none where it hangs on what is measured.
pub fn ends(book: &Book, value: &Value) -> Option<(Number, Number)> {
    over(book, value, DEEPEST)
}

fn over(book: &Book, value: &Value, depth: u32) -> Option<(Number, Number)> {
    let depth = depth.checked_sub(1)?;
    let of = |value: &Value| over(book, value, depth);
    match value {
        Value::Number(number) => Some((*number, *number)),
        Value::Range(low, high) => Some((*low, *high)),
        Value::Table(table) => {
            let rows = &book.tables.get(table.index())?.rows;
            let all: Option<Vec<(Number, Number)>> = rows.iter().map(|row| of(&row.value)).collect();
            let all = all?;
            let low = all.iter().map(|(low, _)| *low).min()?;
            Some((low, all.iter().map(|(_, high)| *high).max()?))
        }
        Value::Reckon(reckon) => of(&book.reckons.get(reckon.index())?.value),
        Value::Negative(inner) => of(inner).map(|(low, high)| (-high, -low)),
        Value::Lower(one, other) => Some(pairwise(of(one)?, of(other)?, Number::min)),
        Value::Higher(one, other) => Some(pairwise(of(one)?, of(other)?, Number::max)),
        Value::Arithmetic(sign, one, other) => reckoned(*sign, of(one)?, of(other)?),
        Value::Date(_)
        | Value::Look(_)
        | Value::Last(_)
        | Value::InspectedOn
        | Value::DaysFrom(..)
        | Value::Formula(..)
        | Value::TotalCost => None,
    }
}

fn pairwise(one: (Number, Number), other: (Number, Number), of: fn(Number, Number) -> Number) -> (Number, Number) {
    (of(one.0, other.0), of(one.1, other.1))
}

fn reckoned(sign: ArithmeticSign, one: (Number, Number), other: (Number, Number)) -> Option<(Number, Number)> {
    let with = |a: Number, b: Number| match sign {
        ArithmeticSign::Plus => a.checked_add(&b),
        ArithmeticSign::Minus => a.checked_sub(&b),
        ArithmeticSign::Times => a.checked_mul(&b),
        ArithmeticSign::By => a.checked_div(&b),
    };
    if sign == ArithmeticSign::By && other.0 <= Number::from_integer(0) && other.1 >= Number::from_integer(0) {
        return None;
    }
    let corners = [(one.0, other.0), (one.0, other.1), (one.1, other.0), (one.1, other.1)];
    let all: Option<Vec<Number>> = corners.into_iter().map(|(a, b)| with(a, b)).collect();
    let all = all?;
    Some((*all.iter().min()?, *all.iter().max()?))
}

/// What a bench step costs, from least to greatest, before any least charge.
pub fn price(book: &Book, work: &Work) -> Option<(Number, Number)> {
    let (low, high) = ends(book, &work.amount)?;
    if !work.timed {
        return Some((low, high));
    }
    let rate = book.hands.get(work.by.index())?.rate?;
    let hour = Number::from_integer(60);
    let paid = |minutes: Number| minutes.checked_mul(&rate)?.checked_div(&hour);
    Some((paid(low)?, paid(high)?))
}
