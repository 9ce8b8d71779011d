//! Quantities in words: a number of base units, in the unit that somebody would say it in.

use num_traits::{CheckedDiv, CheckedMul, Zero};

use crate::number::{Number, format_decimal, format_rounded};
use crate::saying::{quantity, range};
use crate::unit::{Currency, Dimension, Unit};

/// One quantity of base units.
pub fn amount(number: Number, dimension: Dimension, unit: Option<Unit>, money: Currency) -> String {
    amounts_in(number, number, dimension, unit, money)
}

/// From one quantity to another.
pub fn amounts(low: Number, high: Number, dimension: Dimension, money: Currency) -> String {
    amounts_in(low, high, dimension, None, money)
}

/// The same in a unit that is wanted, as far as it measures the same.
pub(super) fn amounts_in(low: Number, high: Number, dimension: Dimension, unit: Option<Unit>, money: Currency) -> String {
    if dimension == Dimension::MONEY {
        return sums(low, high, money);
    }
    let unit = match unit.filter(|unit| unit.dimension() == dimension) {
        Some(unit) => unit,
        None => usual(low, high, dimension),
    };
    match one_of(low, high, unit) {
        Some(single) => single.to_owned(),
        None if low == high => quantity(low, unit),
        None => range(low, high, unit),
    }
}

/// One day is a `day`.
fn one_of(low: Number, high: Number, unit: Unit) -> Option<&'static str> {
    let is_one = low == high && unit.from_base(low) == Some(Number::from_integer(1));
    match unit {
        Unit::Days if is_one => Some("1 day"),
        Unit::Weeks if is_one => Some("1 week"),
        Unit::Months if is_one => Some("1 month"),
        Unit::Years if is_one => Some("1 year"),
        _ => None,
    }
}

/// The unit in which a quantity is usually said.
fn usual(low: Number, high: Number, dimension: Dimension) -> Unit {
    let most = if high < Number::zero() { -low } else { high };
    let whole =
        |unit: Unit| [low, high].iter().all(|end| end.checked_div(&unit.factor()).is_some_and(|units| units.is_integer()));
    match dimension {
        Dimension::LENGTH => Unit::Mm,
        Dimension::ANGLE => Unit::Deg,
        Dimension::PERCENT => Unit::Percent,
        Dimension::TEMPERATURE => Unit::DegC,
        Dimension::MONTHS if whole(Unit::Years) && !most.is_zero() => Unit::Years,
        Dimension::MONTHS => Unit::Months,
        // So many minutes are said in minutes, more in hours, and whole days from two on in days.
        Dimension::TIME if most >= Number::from_integer(2 * 24 * 60) && whole(Unit::Days) => Unit::Days,
        Dimension::TIME if most > Number::from_integer(90) => Unit::H,
        Dimension::TIME => Unit::Min,
        _ => Unit::None,
    }
}

/// Sums of money: whole ones without decimal places.
fn sums(low: Number, high: Number, money: Currency) -> String {
    let places = money.minor_places();
    let minor = Number::from_integer(10_i128.pow(places.min(9)));
    let in_minor = |sum: Number| sum.checked_mul(&minor).is_some_and(|sum| sum.is_integer());
    let text = |sum: Number| {
        if low.is_integer() && high.is_integer() || !in_minor(sum) { format_decimal(sum) } else { format_rounded(sum, places) }
    };
    if low == high { format!("{} {money}", text(low)) } else { format!("{} to {} {money}", text(low), text(high)) }
}
