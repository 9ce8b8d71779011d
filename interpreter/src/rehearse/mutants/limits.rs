//! Numbers a step up and down, and as they come out when a unit slips.

use num_traits::{CheckedAdd, CheckedMul, CheckedSub, Signed, Zero};
use purfle_lang::book::{ArithmeticSign, Book, LookKind, Value};
use purfle_lang::number::{Number, format_decimal};
use purfle_lang::unit::{Dimension, Unit, format_date};

use crate::rehearse::reads::Reads;

/// How a number is written, and what a step of it is.
#[derive(Debug, Clone, Copy)]
pub struct Scale {
    unit: Unit,
    step: Option<Number>,
    ends: Option<(Number, Number)>,
}

/// A value with one number changed, and what was done to it.
pub type Moved = (Value, String);

impl Scale {
    /// A bare number.
    pub const BARE: Self = Self { unit: Unit::None, step: None, ends: None };

    /// Numbers of one dimension that no look gives a unit.
    pub fn of(book: &Book, dimension: Dimension) -> Self {
        let unit = [Unit::Mm, Unit::Deg, Unit::Percent, Unit::H, Unit::Months, Unit::DegC, Unit::Money(book.money)];
        let unit = unit.into_iter().find(|unit| unit.dimension() == dimension).unwrap_or(Unit::None);
        Self { unit, ..Self::BARE }
    }

    /// Numbers that are compared with what these values read: the first look's unit, reading error and range.
    pub fn beside(book: &Book, values: &[&Value]) -> Self {
        if values.iter().any(|value| has_days(book, value)) {
            return Self { unit: Unit::Days, ..Self::BARE };
        }
        let mut reads = Reads::default();
        values.iter().for_each(|value| reads.value(book, value));
        let whole = |number: i64| Number::from_integer(i128::from(number));
        let alone = values.iter().any(|value| matches!(value, Value::Look(_)));
        let of = reads.looks.iter().find_map(|at| match &book[at.look].kind {
            LookKind::Measured { unit, from, to, give_or_take } => {
                Some(Self { unit: *unit, step: *give_or_take, ends: Some((*from, *to)) })
            }
            LookKind::Counted { from, to } => {
                Some(Self { unit: Unit::None, step: Some(whole(1)), ends: Some((whole(*from), whole(*to))) })
            }
            LookKind::Priced { from, to } => Some(Self { unit: Unit::Money(book.money), step: None, ends: Some((*from, *to)) }),
            _ => None,
        });
        match of {
            Some(scale) if alone => scale,
            Some(scale) => Self { ends: None, ..scale },
            None if values.iter().any(|value| matches!(value, Value::TotalCost)) => {
                Self { unit: Unit::Money(book.money), ..Self::BARE }
            }
            None => Self::BARE,
        }
    }

    /// A number as it is written: `0.2 mm`.
    pub fn written(&self, number: Number) -> String {
        let (unit, number) = match self.unit {
            Unit::H if short(Unit::H, number).is_none() => (Unit::Min, number),
            unit => (unit, unit.from_base(number).unwrap_or(number)),
        };
        let unit = if unit == Unit::None { String::new() } else { format!(" {unit}") };
        format!("{}{unit}", format_decimal(number))
    }

    /// One step: the reading error, or one of the last place written.
    fn step(&self, number: Number) -> Option<Number> {
        if self.step.is_some() {
            return self.step;
        }
        let unit = if self.unit == Unit::H && short(Unit::H, number).is_none() { Unit::Min } else { self.unit };
        let places = short(unit, number)?;
        unit.factor().checked_mul(&Number::new(1, 10_i128.pow(places)))
    }

    /// The finer of the steps of two numbers.
    fn finer(&self, one: Number, other: Number) -> Option<Number> {
        Some(self.step(one)?.min(self.step(other)?))
    }

    /// The number a step lower and a step higher, as far as the look goes.
    fn steps(&self, number: Number, step: Option<Number>) -> Vec<Number> {
        let Some(step) = step else { return Vec::new() };
        let within = |number: &Number| self.ends.is_none_or(|(from, to)| from <= *number && *number <= to);
        [number.checked_sub(&step), number.checked_add(&step)].into_iter().flatten().filter(within).collect()
    }

    /// Everything a limit is changed to: a step down and up, and what a slip of the unit makes of it.
    fn limits(&self, number: Number) -> Vec<(Number, String)> {
        let mut all: Vec<(Number, String)> = Vec::new();
        for moved in self.steps(number, self.step(number)) {
            all.push((moved, format!("{} instead of {}", self.written(moved), self.written(number))));
        }
        let inches = self.unit.dimension() == Dimension::LENGTH;
        let factor = if inches { Number::new(127, 5) } else { Number::from_integer(10) };
        if let Some(slipped) = number.checked_mul(&factor).filter(|_| !number.is_zero()) {
            let why = if inches { "inches written as mm, or the reverse" } else { "ten times as much" };
            all.push((slipped, format!("{} instead of {}, {why}", self.written(slipped), self.written(number))));
        }
        all
    }

    /// Each end of an amount a step away, inwards where it is a range.
    fn amount(&self, low: Number, high: Number) -> Vec<(Number, Number, String)> {
        let Some(step) = self.finer(low, high) else { return Vec::new() };
        let says =
            |what: &str, new: Number, old: Number| format!("{what} {} instead of {}", self.written(new), self.written(old));
        if low == high {
            return low.checked_add(&step).map(|new| (new, new, says("", new, low).trim().to_owned())).into_iter().collect();
        }
        let lower = if low + step <= high { low + step } else { low - step };
        let higher = high + step;
        let mut all = Vec::new();
        if !lower.is_negative() {
            all.push((lower, high, says("from", lower, low)));
        }
        all.push((low, higher, says("up to", higher, high)));
        all
    }
}

/// How many decimal places a number has in a unit, if few.
fn short(unit: Unit, number: Number) -> Option<u32> {
    let number = unit.from_base(number)?;
    (0..=4_u32)
        .find(|places| number.checked_mul(&Number::from_integer(10_i128.pow(*places))).is_some_and(|scaled| scaled.is_integer()))
}

fn has_days(book: &Book, value: &Value) -> bool {
    match value {
        Value::DaysFrom(..) => true,
        Value::Reckon(reckon) => has_days(book, &book[*reckon].value),
        Value::Arithmetic(_, left, right) | Value::Lower(left, right) | Value::Higher(left, right) => {
            has_days(book, left) || has_days(book, right)
        }
        Value::Negative(inner) => has_days(book, inner),
        _ => false,
    }
}

/// The value with each limit in it changed in every way.
pub fn limits(value: &Value, scale: &Scale) -> Vec<Moved> {
    each(value, scale, &|value, scale| match value {
        Value::Number(number) => scale.limits(*number).into_iter().map(|(number, says)| (Value::Number(number), says)).collect(),
        Value::Range(low, high) => {
            let step = scale.finer(*low, *high);
            let lows = scale.steps(*low, step).into_iter().filter(|new| new <= high).map(|new| (new, *high, new, *low));
            let highs = scale.steps(*high, step).into_iter().filter(|new| new >= low).map(|new| (*low, new, new, *high));
            let says = |new, old| format!("{} instead of {}", scale.written(new), scale.written(old));
            lows.chain(highs).map(|(low, high, new, old)| (Value::Range(low, high), says(new, old))).collect()
        }
        Value::Date(day) => {
            let says = |new: i64| format!("{} instead of {}", format_date(new), format_date(*day));
            [day - 1, day + 1].into_iter().map(|new| (Value::Date(new), says(new))).collect()
        }
        _ => Vec::new(),
    })
}

/// The value with each end of each amount in it changed.
pub fn amounts(value: &Value, scale: &Scale) -> Vec<Moved> {
    each(value, scale, &|value, scale| {
        let (low, high) = match value {
            Value::Number(number) => (*number, *number),
            Value::Range(low, high) => (*low, *high),
            _ => return Vec::new(),
        };
        let made = |(low, high, says): (Number, Number, String)| match value {
            Value::Number(_) => (Value::Number(low), says),
            _ => (Value::Range(low, high), says),
        };
        scale.amount(low, high).into_iter().map(made).collect()
    })
}

/// The value with each part of it changed; a factor is a bare number.
fn each(value: &Value, scale: &Scale, change: &dyn Fn(&Value, &Scale) -> Vec<Moved>) -> Vec<Moved> {
    let two = |left: &Value, right: &Value, scales: (&Scale, &Scale), build: &dyn Fn(Box<Value>, Box<Value>) -> Value| {
        let lefts =
            each(left, scales.0, change).into_iter().map(|(new, says)| (build(Box::new(new), Box::new(right.clone())), says));
        let rights =
            each(right, scales.1, change).into_iter().map(|(new, says)| (build(Box::new(left.clone()), Box::new(new)), says));
        lefts.chain(rights).collect()
    };
    match value {
        Value::Arithmetic(sign, left, right) => {
            let bare = |value: &Value| matches!(value, Value::Number(_));
            let scales = match sign {
                ArithmeticSign::Plus | ArithmeticSign::Minus => (scale, scale),
                _ if bare(right) => (scale, &Scale::BARE),
                _ if bare(left) => (&Scale::BARE, scale),
                _ => (scale, &Scale::BARE),
            };
            two(left, right, scales, &|left, right| Value::Arithmetic(*sign, left, right))
        }
        Value::Lower(left, right) => two(left, right, (scale, scale), &Value::Lower),
        Value::Higher(left, right) => two(left, right, (scale, scale), &Value::Higher),
        Value::Negative(inner) => {
            each(inner, scale, change).into_iter().map(|(new, says)| (Value::Negative(Box::new(new)), says)).collect()
        }
        other => change(other, scale),
    }
}
