//! Written expressions turned into values, every error in them noted once.

use super::operand::{self, Facts};
use super::quantity::read;
use super::scope::Scope;
use super::single::{must_be, totals_allowed};
use super::typed::{Typed, arithmetic};
use crate::book::Value;
use crate::diagnostic::Diagnostic;
use crate::number::{Number, format_decimal};
use crate::syntax::tree::{Expr, ExprKind, Quantity};
use crate::unit::{Dimension, last_of_its_month, parse_date};

/// The value of an expression; none where an error was found in it.
pub fn value(scope: &Scope, facts: &Facts, written: &Expr) -> Option<Typed> {
    let span = written.span;
    let of = |inner: &Expr| value(scope, facts, inner);
    match &written.kind {
        ExprKind::Quantity(quantity) => amount(scope, quantity),
        ExprKind::Range(low, high) => {
            let (from, to) = (read(scope, low), read(scope, high));
            let ((from, from_unit), (to, to_unit)) = (from?, to?);
            operand::range(scope, (from, from_unit, low.span()), (to, to_unit, high.span()))
        }
        ExprKind::Date(date) => {
            let day = parse_date(&date.value);
            if day.is_none() {
                let says = format!("There is no day `{}`.", date.value);
                let help = match last_of_its_month(&date.value) {
                    Some(last) => format!("Write a day that there is; the last of that month is {last}."),
                    None => "Write year, month and day, such as 2026-11-20.".to_owned(),
                };
                scope.sink.push(Diagnostic::error("no-such-day", date.span, says).help(help));
            }
            Some(Typed::single(Value::Date(day?), Dimension::DATE, span))
        }
        ExprKind::TotalCost => {
            totals_allowed(scope, span)?;
            Some(Typed::single(Value::TotalCost, Dimension::MONEY, span))
        }
        ExprKind::Path(path) => match path.single() {
            Some(word) if word.value == "inspected-on" => Some(Typed::single(Value::InspectedOn, Dimension::DATE, span)),
            _ => operand::named(scope, facts, &path.segments, span),
        },
        ExprKind::Last(path) => operand::last(scope, &path.segments, span),
        ExprKind::Arithmetic(sign, left, right) => {
            let (left, right) = (of(left), of(right));
            let mut typed = scope.sink.keep(arithmetic(sign.value, left?, right?))?;
            typed.span = span;
            Some(typed)
        }
        ExprKind::Negative(inner) => operand::negative(scope, of(inner)?, span),
        ExprKind::Lower(left, right) | ExprKind::Higher(left, right) => {
            let higher = matches!(written.kind, ExprKind::Higher(..));
            let (left, right) = (of(left), of(right));
            operand::lower_or_higher(scope, higher, left?, right?, span)
        }
        ExprKind::DaysFrom(from, to) => {
            let (from, to) = (of(from), of(to));
            operand::days_from(scope, from?, to?, span)
        }
        ExprKind::Formula(name, arguments) => {
            let arguments = arguments.iter().map(of).collect();
            operand::formula(scope, name, arguments, span)
        }
    }
}

/// A written number with its unit, in base units.
pub fn amount(scope: &Scope, written: &Quantity) -> Option<Typed> {
    let (number, unit) = read(scope, written)?;
    operand::number(scope, number, unit, written.span())
}

/// The value of an expression whose dimension is given; `subject` begins a sentence, such as `The price`.
pub fn value_of(scope: &Scope, facts: &Facts, written: &Expr, dimension: Dimension, subject: &str) -> Option<Typed> {
    let typed = value(scope, facts, written)?;
    must_be(scope, &typed, dimension, subject).then_some(typed)
}

/// A written number of one dimension, in base units.
pub fn constant(scope: &Scope, written: &Quantity, dimension: Dimension, subject: &str) -> Option<Number> {
    let typed = amount(scope, written)?;
    if !must_be(scope, &typed, dimension, subject) {
        return None;
    }
    match typed.value {
        Value::Number(number) => Some(number),
        _ => None,
    }
}

/// A sum of money that is not below nothing.
pub fn sum(scope: &Scope, written: &Quantity, subject: &str) -> Option<Number> {
    let number = constant(scope, written, Dimension::MONEY, subject)?;
    if number < Number::from_integer(0) {
        let says = format!("{subject} is below nothing.");
        scope.sink.push(Diagnostic::error("below-nought", written.span(), says).help("Write a sum of 0 or more."));
        return None;
    }
    Some(number)
}

/// A percentage above 0 and up to 100, as a fraction of one.
pub fn share(scope: &Scope, written: &Quantity, subject: &str) -> Option<Number> {
    let number = constant(scope, written, Dimension::PERCENT, subject)?;
    if number <= Number::from_integer(0) || number > Number::from_integer(100) {
        let says = format!("{subject} is a share of the whole, and {} % is none.", format_decimal(number));
        scope
            .sink
            .push(Diagnostic::error("outside-range", written.span(), says).help("Write a percentage above 0 % and up to 100 %."));
        return None;
    }
    Some(number / Number::from_integer(100))
}
