//! Written expressions turned into values, every error in them noted once.

use super::bounds::{Named, NoEnds};
use super::operand::{self, Facts};
use super::quantity::too_large;
use super::scope::Scope;
use super::single::{must_be, totals_allowed};
use super::typed::{Typed, arithmetic};
use crate::book::Value;
use crate::diagnostic::Diagnostic;
use crate::number::{Number, format_decimal};
use crate::span::Spanned;
use crate::syntax::tree::{Expression, ExpressionKind};
use crate::unit::{Dimension, Unit};

/// The value of an expression; none where an error was found in it, now or by the parser.
pub fn value(scope: &Scope, facts: &Facts, written: &Expression) -> Option<Typed> {
    let span = written.span;
    let of = |inner: &Expression| value(scope, facts, inner);
    match &written.kind {
        ExpressionKind::Number(number, unit) => operand::number(scope, *number, unit.map_or(Unit::None, |unit| unit.value), span),
        ExpressionKind::Range(low, high) => range(scope, facts, low, high),
        ExpressionKind::Date(day) => Some(Typed::single(Value::Date(*day), Dimension::DATE, span)),
        ExpressionKind::InspectedOn => Some(Typed::single(Value::InspectedOn, Dimension::DATE, span)),
        ExpressionKind::TotalCost => {
            totals_allowed(scope, span)?;
            Some(Typed::single(Value::TotalCost, Dimension::MONEY, span))
        }
        ExpressionKind::Path(path) => operand::named(scope, facts, path, span),
        ExpressionKind::Last(path) => operand::last(scope, path, span),
        ExpressionKind::Arithmetic(sign, left, right) => {
            let (left, right) = (of(left), of(right));
            let mut typed = scope.sink.keep(arithmetic(*sign, left?, right?))?;
            typed.span = span;
            Some(typed)
        }
        ExpressionKind::Negative(inner) => operand::negative(scope, of(inner)?, span),
        ExpressionKind::Lower(left, right) | ExpressionKind::Higher(left, right) => {
            let higher = matches!(written.kind, ExpressionKind::Higher(..));
            let (left, right) = (of(left), of(right));
            operand::lower_or_higher(scope, higher, left?, right?, span)
        }
        ExpressionKind::DaysFrom(from, to) => {
            let (from, to) = (of(from), of(to));
            operand::days_from(scope, from?, to?, span)
        }
        ExpressionKind::Formula(name, arguments) => {
            let arguments = arguments.iter().map(of).collect();
            operand::formula(scope, name, arguments, span)
        }
        ExpressionKind::Broken => None,
    }
}

/// A range, of which only the upper end need carry the unit.
fn range(scope: &Scope, facts: &Facts, low: &Expression, high: &Expression) -> Option<Typed> {
    if let (ExpressionKind::Number(from, from_unit), ExpressionKind::Number(to, to_unit)) = (&low.kind, &high.kind) {
        let unit = |unit: &Option<Spanned<Unit>>| unit.map_or(Unit::None, |unit| unit.value);
        return operand::range(scope, (*from, unit(from_unit), low.span), (*to, unit(to_unit), high.span));
    }
    let (low, high) = (value(scope, facts, low), value(scope, facts, high));
    operand::range_of(scope, low?, high?)
}

/// The value of an expression whose dimension is given; `subject` begins a sentence, such as `The price`.
pub fn value_of(scope: &Scope, facts: &Facts, written: &Expression, dimension: Dimension, subject: &str) -> Option<Typed> {
    let typed = value(scope, facts, written)?;
    must_be(scope, &typed, dimension, subject).then_some(typed)
}

/// A number of one dimension that no table and no look decides.
pub fn constant(scope: &Scope, facts: &Facts, written: &Expression, dimension: Dimension, subject: &str) -> Option<Number> {
    let typed = value_of(scope, facts, written, dimension, subject)?;
    let named = Named { tables: &[], reckons: &[] };
    match named.ends(&typed.value, &Vec::new()) {
        Ok((low, high)) if low == high && !typed.ranged => Some(low),
        Err(NoEnds::TooLarge) => {
            scope.sink.push(too_large(written.span));
            None
        }
        _ => {
            let says = format!("{subject} is one number, and something that may vary stands here.");
            scope.sink.push(Diagnostic::error("not-constant", written.span, says).help("Write one number with its unit."));
            None
        }
    }
}

/// A sum of money that is not below nothing.
pub fn sum(scope: &Scope, facts: &Facts, written: &Expression, subject: &str) -> Option<Number> {
    let number = constant(scope, facts, written, Dimension::MONEY, subject)?;
    if number < Number::from_integer(0) {
        let says = format!("{subject} is below nothing.");
        scope.sink.push(Diagnostic::error("below-nought", written.span, says).help("Write a sum of 0 or more."));
        return None;
    }
    Some(number)
}

/// A percentage above 0 and up to 100, as a fraction of one.
pub fn share(scope: &Scope, facts: &Facts, written: &Expression, subject: &str) -> Option<Number> {
    let number = constant(scope, facts, written, Dimension::PERCENT, subject)?;
    if number <= Number::from_integer(0) || number > Number::from_integer(100) {
        let says = format!("{subject} is a share of the whole, and {} % is none.", format_decimal(number));
        scope.sink.push(Diagnostic::error("outside-range", written.span, says).help("Write a percentage above 0 % and up to 100 %."));
        return None;
    }
    Some(number / Number::from_integer(100))
}
