//! Sayings as text: what a record would have to say, and what a look allows.

use super::{MOST_WRITTEN, Saying, date};
use crate::book::{Look, LookKind};
use crate::number::{Number, format_decimal, parse_decimal};
use crate::unit::{Currency, Unit};

/// The most choices that a message lists.
const MOST_LISTED: usize = 20;

/// What may be written for a look, in a few words: `0 to 8 mm`, or `straight, crooked or pulling-out`.
pub fn allowed(look: &Look, money: Currency) -> String {
    match &look.kind {
        LookKind::YesNo => "yes or no".to_owned(),
        LookKind::OneOf(_) => listed(look, "or"),
        LookKind::SomeOf(_) => format!("any of {}, or none", listed(look, "and")),
        LookKind::Measured { unit, from, to, .. } => range(*from, *to, *unit),
        LookKind::Counted { from, to } => format!("a whole number from {from} to {to}"),
        LookKind::Priced { from, to } => range(*from, *to, Unit::Money(money)),
        LookKind::Dated => "a date such as 2026-11-20, or none".to_owned(),
        LookKind::Written => format!("up to {MOST_WRITTEN} characters of text"),
    }
}

fn listed(look: &Look, joint: &str) -> String {
    let names: Vec<&str> = look.choices().iter().map(|choice| choice.name.as_str()).collect();
    if names.len() > MOST_LISTED {
        return format!("{} and {} more", names[..MOST_LISTED].join(", "), names.len() - MOST_LISTED);
    }
    match names.as_slice() {
        [rest @ .., last] if !rest.is_empty() => format!("{} {joint} {last}", rest.join(", ")),
        names => names.concat(),
    }
}

/// Writes a saying as a record would: what [`super::parse`] reads as the same saying, as far as its numbers have
/// finite decimals in some unit (others are rounded to six places).
pub fn format(look: &Look, saying: &Saying, money: Currency) -> String {
    match saying {
        Saying::OneOf(choices) => joined(look, choices, " or "),
        Saying::Exactly(choices) if choices.is_empty() => "none".to_owned(),
        Saying::Exactly(choices) => joined(look, choices, ", "),
        Saying::Between { low, high, reading } => between(look, *low, *high, *reading, money),
        Saying::DateBetween(low, high) => date::format(*low, *high),
        Saying::NoDate => "none".to_owned(),
        Saying::Text(text) => text.clone(),
        Saying::CouldNotTell => "?".to_owned(),
        Saying::DoesNotApply => "-".to_owned(),
    }
}

fn joined(look: &Look, choices: &[usize], joint: &str) -> String {
    let name = |&index: &usize| match &look.kind {
        LookKind::YesNo => Some(if index == 0 { "no" } else { "yes" }),
        _ => look.choices().get(index).map(|choice| choice.name.as_str()),
    };
    choices.iter().filter_map(name).collect::<Vec<_>>().join(joint)
}

fn between(look: &Look, low: Option<Number>, high: Option<Number>, reading: bool, money: Currency) -> String {
    let (unit, least, greatest, widens) = match &look.kind {
        LookKind::Measured { unit, from, to, give_or_take } => (*unit, *from, *to, give_or_take.is_some()),
        LookKind::Priced { from, to } => (Unit::Money(money), *from, *to, false),
        LookKind::Counted { from, to } => {
            (Unit::None, Number::from_integer((*from).into()), Number::from_integer((*to).into()), false)
        }
        LookKind::YesNo | LookKind::OneOf(_) | LookKind::SomeOf(_) | LookKind::Dated | LookKind::Written => return String::new(),
    };
    match (low, high) {
        (Some(low), Some(high)) if low == high && (reading || !widens) => quantity(low, unit),
        (Some(low), Some(high)) => range(low, high, unit),
        (Some(low), None) => format!("at least {}", quantity(low, unit)),
        (None, Some(high)) => format!("at most {}", quantity(high, unit)),
        (None, None) => range(least, greatest, unit),
    }
}

/// A value of the base unit, in the unit given or, where it has no finite decimal there, in another of the kind.
pub fn quantity(value: Number, unit: Unit) -> String {
    let (number, unit) = written(value, unit);
    with_unit(&number, unit)
}

/// From one value of the base unit to another, in the unit given as far as they have finite decimals there.
pub fn range(low: Number, high: Number, unit: Unit) -> String {
    match (written(low, unit), written(high, unit)) {
        ((low, one), (high, other)) if one == other => with_unit(&format!("{low} to {high}"), one),
        ((low, one), (high, other)) => format!("{} to {}", with_unit(&low, one), with_unit(&high, other)),
    }
}

fn with_unit(number: &str, unit: Unit) -> String {
    match unit {
        Unit::None => number.to_owned(),
        unit => format!("{number} {unit}"),
    }
}

fn written(value: Number, unit: Unit) -> (String, Unit) {
    let finite = |unit: Unit| {
        let number = unit.from_base(value)?;
        let text = format_decimal(number);
        parse_decimal(&text).is_ok_and(|read| read == number).then_some((text, unit))
    };
    let others = Unit::SPELLINGS.iter().map(|(_, other)| *other).filter(|other| other.dimension() == unit.dimension());
    std::iter::once(unit)
        .chain(others)
        .find_map(finite)
        .unwrap_or_else(|| (unit.from_base(value).map_or_else(|| value.to_string(), format_decimal), unit))
}
