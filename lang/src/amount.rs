//! From which least to which greatest a price can go, where no look but a table's decides it.

use num_traits::{CheckedDiv, CheckedMul};

use crate::book::{Book, Value, Work};
use crate::number::Number;
use crate::resolve::bounds::Named;

/// Least and greatest of a value, over all rows of the tables in it; none where it hangs on what is measured.
pub fn ends(book: &Book, value: &Value) -> Option<(Number, Number)> {
    Named { tables: &book.tables, reckons: &book.reckons }.widest(value).ok()
}

/// What a bench step costs in the rulebook's money, from least to greatest, before any least charge.
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
