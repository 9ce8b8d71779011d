//! Values in words, their numbers in the unit of what they are held against.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

use super::quantity::amounts_in;
use super::{Phrase, Wording};
use crate::book::{ArithmeticSign, Book, Formula, LookKind, Value};
use crate::formula::signature::SIGNATURES;
use crate::number::{Number, format_decimal};
use crate::resolve::noted::Target;
use crate::unit::{Dimension, Unit, format_date};

impl Wording<'_> {
    /// A value of a dimension that is known from where it stands.
    pub fn value(&self, value: &Value, dimension: Dimension) -> Phrase {
        self.value_in(value, dimension, unit_of(self.book, value))
    }

    /// The same in a unit that is wanted.
    pub fn value_in(&self, value: &Value, dimension: Dimension, unit: Option<Unit>) -> Phrase {
        self.worked_out(value, Some(dimension), unit)
    }

    /// Two values that are compared: what is not known of the one is known of the other.
    pub(super) fn alike(&self, one: &Value, other: &Value) -> (Phrase, Phrase) {
        let dimension = dimension_of(self.book, one).or_else(|| dimension_of(self.book, other));
        let unit = unit_of(self.book, one).or_else(|| unit_of(self.book, other));
        (self.worked_out(one, dimension, unit), self.worked_out(other, dimension, unit))
    }

    fn worked_out(&self, value: &Value, dimension: Option<Dimension>, unit: Option<Unit>) -> Phrase {
        if let Some((low, high)) = constant(value) {
            return Phrase::words(amounts_in(low, high, dimension.unwrap_or(Dimension::NUMBER), unit, self.book.money));
        }
        let of = |value: &Value| self.worked_out(value, dimension, unit);
        match value {
            // Numbers and ranges are constant.
            Value::Number(number) | Value::Range(number, _) => Phrase::words(format_decimal(*number)),
            Value::Date(day) => Phrase::words(format_date(*day)),
            Value::Look(at) => self.look_at(*at),
            Value::Last(at) => self.look_at(*at).say(" the time before"),
            Value::InspectedOn => Phrase::words("the day of the inspection"),
            Value::Table(table) => Phrase::default().name(Target::Table(*table), &self.book[*table].words),
            Value::Reckon(reckon) => Phrase::default().name(Target::Reckon(*reckon), &self.book[*reckon].words),
            Value::Arithmetic(sign, left, right) => self.arithmetic(*sign, left, right, dimension, unit),
            Value::Negative(inner) => Phrase::words("\u{2212}").then(bracketed(inner, of(inner))),
            Value::Lower(left, right) => either("the lower of ", of(left), of(right)),
            Value::Higher(left, right) => either("the higher of ", of(left), of(right)),
            Value::DaysFrom(from, to) => {
                let day = |value| self.worked_out(value, Some(Dimension::DATE), None);
                Phrase::words("the days from ").then(day(from)).say(" to ").then(day(to))
            }
            Value::Formula(formula, arguments) => self.formula(*formula, arguments),
            Value::TotalCost => Phrase::words("the total cost"),
        }
    }

    fn arithmetic(
        &self,
        sign: ArithmeticSign,
        left: &Value,
        right: &Value,
        whole: Option<Dimension>,
        unit: Option<Unit>,
    ) -> Phrase {
        let known = (dimension_of(self.book, left), dimension_of(self.book, right));
        if sign == ArithmeticSign::Times {
            for (share, rest, of) in [(left, right, known.1), (right, left, known.0)] {
                if let Some(share) = constant(share).and_then(|(low, high)| share_of(low, high))
                    && of.is_some_and(|of| of != Dimension::NUMBER && whole.is_none_or(|whole| whole == of))
                {
                    return Phrase::words(format!("{share} of ")).then(bracketed(rest, self.worked_out(rest, of, unit)));
                }
            }
        }
        let (left_is, right_is) = match sign {
            ArithmeticSign::Plus | ArithmeticSign::Minus => (whole, whole),
            ArithmeticSign::Times => {
                let other = |known: Option<Dimension>| whole.zip(known).and_then(|(whole, known)| whole.by(known));
                (known.0.or_else(|| other(known.1)), known.1.or_else(|| other(known.0)))
            }
            ArithmeticSign::By => {
                let dividend = known.0.or_else(|| whole.zip(known.1).and_then(|(whole, by)| whole.times(by)));
                (dividend.or(whole), known.1.or_else(|| known.0.zip(whole).and_then(|(left, whole)| left.by(whole))))
            }
        };
        let symbol = match sign {
            ArithmeticSign::Plus => " + ",
            ArithmeticSign::Minus => " \u{2212} ",
            ArithmeticSign::Times => " \u{00d7} ",
            ArithmeticSign::By => " \u{00f7} ",
        };
        let (left_words, right_words) = (self.worked_out(left, left_is, unit), self.worked_out(right, right_is, unit));
        match sign {
            ArithmeticSign::Plus => left_words.say(symbol).then(right_words),
            ArithmeticSign::Minus => left_words.say(symbol).then(bracketed(right, right_words)),
            ArithmeticSign::Times | ArithmeticSign::By => {
                bracketed(left, left_words).say(symbol).then(bracketed(right, right_words))
            }
        }
    }

    fn formula(&self, formula: Formula, arguments: &[Value]) -> Phrase {
        let wanted = SIGNATURES.iter().find(|known| known.formula == formula).map_or(&[][..], |known| known.wanted);
        let mut words = arguments
            .iter()
            .zip(wanted)
            .map(|(argument, (_, dimension))| self.worked_out(argument, Some(*dimension), unit_of(self.book, argument)));
        let mut next = || words.next().unwrap_or_default();
        match formula {
            Formula::WoodMoisture => {
                Phrase::words("the moisture that wood comes to in air of ").then(next()).say(" and ").then(next())
            }
            Formula::WoodMovement => {
                let (width, coefficient, from, to) = (next(), next(), next(), next());
                Phrase::words("how far a piece of wood moves that is ")
                    .then(width)
                    .say(" wide, by the coefficient ")
                    .then(coefficient)
                    .say(", from the moisture ")
                    .then(from)
                    .say(" to ")
                    .then(to)
            }
        }
    }
}

fn either(words: &str, left: Phrase, right: Phrase) -> Phrase {
    Phrase::words(words).then(left).say(" and ").then(right)
}

/// Brackets round what is itself put together.
fn bracketed(value: &Value, words: Phrase) -> Phrase {
    let put_together = matches!(value, Value::Arithmetic(..) | Value::Negative(_) | Value::Lower(..) | Value::Higher(..));
    if put_together && constant(value).is_none() { Phrase::words("(").then(words).say(")") } else { words }
}

/// `50 %`, for a factor that is a share of something.
fn share_of(low: Number, high: Number) -> Option<String> {
    let hundred = Number::from_integer(100);
    if low != high || low <= Number::zero() || low >= Number::from_integer(1) {
        return None;
    }
    Some(format!("{} %", format_decimal(low.checked_mul(&hundred)?)))
}

/// Both ends of a value that hangs on nothing.
fn constant(value: &Value) -> Option<(Number, Number)> {
    match value {
        Value::Number(number) => Some((*number, *number)),
        Value::Range(low, high) => Some((*low, *high)),
        Value::Negative(inner) => constant(inner).map(|(low, high)| (-high, -low)),
        Value::Arithmetic(sign, left, right) => {
            let (left, right) = (constant(left)?, constant(right)?);
            // A range is only worked with where it is one number: which end goes with which is for the judge to say.
            if left.0 != left.1 || right.0 != right.1 {
                return None;
            }
            let worked = match sign {
                ArithmeticSign::Plus => left.0.checked_add(&right.0)?,
                ArithmeticSign::Minus => left.0.checked_sub(&right.0)?,
                ArithmeticSign::Times => left.0.checked_mul(&right.0)?,
                ArithmeticSign::By => left.0.checked_div(&right.0)?,
            };
            Some((worked, worked))
        }
        _ => None,
    }
}

/// What a value is a quantity of, as far as it says so itself: a number has left its unit behind.
pub fn dimension_of(book: &Book, value: &Value) -> Option<Dimension> {
    let of = |value: &Value| dimension_of(book, value);
    match value {
        Value::Number(_) | Value::Range(..) => None,
        Value::Date(_) | Value::InspectedOn => Some(Dimension::DATE),
        Value::Look(at) | Value::Last(at) => book[at.look].dimension(),
        Value::Table(table) => Some(book[*table].dimension),
        Value::Reckon(reckon) => Some(book[*reckon].dimension),
        Value::Arithmetic(sign, left, right) => match (sign, of(left), of(right)) {
            (ArithmeticSign::Plus | ArithmeticSign::Minus, left, right) => left.or(right),
            (ArithmeticSign::Times, Some(left), Some(right)) => product(left, right),
            // A number in a product is taken for a bare one where nothing says otherwise.
            (ArithmeticSign::Times, left, right) => left.or(right),
            (ArithmeticSign::By, Some(left), Some(right)) if right == Dimension::PERCENT && left != right => Some(left),
            (ArithmeticSign::By, Some(left), Some(right)) => left.by(right),
            (ArithmeticSign::By, left, _) => left,
        },
        Value::Negative(inner) => of(inner),
        Value::Lower(left, right) | Value::Higher(left, right) => of(left).or_else(|| of(right)),
        Value::DaysFrom(..) => Some(Dimension::TIME),
        Value::Formula(formula, _) => SIGNATURES.iter().find(|known| known.formula == *formula).map(|known| known.gives),
        Value::TotalCost => Some(Dimension::MONEY),
    }
}

/// A percentage counts as a share of what it is multiplied with.
fn product(left: Dimension, right: Dimension) -> Option<Dimension> {
    match (left, right) {
        (Dimension::PERCENT, other) | (other, Dimension::PERCENT) if other != Dimension::NUMBER => Some(other),
        _ => left.times(right),
    }
}

/// The unit of the first measured look in a value.
fn unit_of(book: &Book, value: &Value) -> Option<Unit> {
    let of = |value: &Value| unit_of(book, value);
    match value {
        Value::Look(at) | Value::Last(at) => match book[at.look].kind {
            LookKind::Measured { unit, .. } => Some(unit),
            _ => None,
        },
        Value::Arithmetic(_, left, right) | Value::Lower(left, right) | Value::Higher(left, right) => {
            of(left).or_else(|| of(right))
        }
        Value::Negative(inner) => of(inner),
        _ => None,
    }
}
