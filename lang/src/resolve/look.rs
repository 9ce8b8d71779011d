//! A look's type: its choices, or its unit and range, in base units.

use super::expression::value;
use super::names::Sink;
use super::operand::Facts;
use super::scope::Scope;
use super::single::{must_be, unit_missing};
use crate::book::{Choice, LookKind, Value};
use crate::diagnostic::Diagnostic;
use crate::number::{Number, format_decimal};
use crate::span::{Span, Spanned};
use crate::syntax::tree::{Expression, LookType, Name, Text};
use crate::unit::{Dimension, Unit};

/// The kind of answer a look takes; none where its type has an error.
pub fn look_kind(scope: &Scope, written: &LookType, span: Span) -> Option<LookKind> {
    match written {
        LookType::YesNo => Some(LookKind::YesNo),
        LookType::OneOf(choices) => {
            let choices = choices_of(scope.sink, choices);
            if choices.len() == 1 {
                let says = format!("A choice of one needs two choices or more, and there is only `{}`.", choices[0].name);
                scope.sink.push(Diagnostic::error("too-few-choices", span, says).help("Add what else it can be, or ask `yes or no`."));
            }
            Some(LookKind::OneOf(choices))
        }
        LookType::SomeOf(choices) => Some(LookKind::SomeOf(choices_of(scope.sink, choices))),
        LookType::Measured { unit, from, to, give_or_take } => measured(scope, *unit, from, to, give_or_take.as_ref()),
        LookType::Counted { from, to } => {
            let (from, to) = (count(scope, from), count(scope, to));
            let (from, to) = ordered(scope, from?, to?)?;
            Some(LookKind::Counted { from, to })
        }
        LookType::Priced { from, to } => {
            let unit = scope.money.map_or(Unit::None, Unit::Money);
            let dimension = if unit == Unit::None { None } else { Some(Dimension::MONEY) };
            let (from, to) = (end(scope, from, unit, dimension), end(scope, to, unit, dimension));
            let (from, to) = ordered(scope, from?, to?)?;
            Some(LookKind::Priced { from, to })
        }
        LookType::Dated => Some(LookKind::Dated),
        LookType::Written => Some(LookKind::Written),
        LookType::Broken => None,
    }
}

/// The choices as written; one written twice is reported and kept once.
fn choices_of(sink: &Sink, written: &[(Name, Option<Text>)]) -> Vec<Choice> {
    let mut choices: Vec<Choice> = Vec::new();
    for (index, (name, words)) in written.iter().enumerate() {
        if choices.iter().any(|choice| choice.name == name.value) {
            let first = written[..index].iter().find(|(other, _)| other.value == name.value);
            let says = format!("The choice `{}` stands here twice.", name.value);
            let mut diagnostic = Diagnostic::error("name-twice", name.span, says).help("Give this one another name, or take it out.");
            if let Some((first, _)) = first {
                diagnostic = diagnostic.place(first.span, "first written here");
            }
            sink.push(diagnostic);
            continue;
        }
        let words = words.as_ref().map_or_else(|| name.value.clone(), |words| words.value.clone());
        choices.push(Choice { name: name.value.clone(), words });
    }
    choices
}

fn measured(scope: &Scope, unit: Spanned<Unit>, from: &Expression, to: &Expression, give_or_take: Option<&Expression>) -> Option<LookKind> {
    let unit_word = unit.value;
    if let Unit::Money(_) = unit_word {
        let says = "A sum of money is not measured.";
        scope.sink.push(Diagnostic::error("wrong-unit", unit.span, says).help("Write `priced from … to …`."));
        return None;
    }
    let dimension = unit_word.dimension();
    let (from, to) = (end(scope, from, unit_word, Some(dimension)), end(scope, to, unit_word, Some(dimension)));
    let error = give_or_take.map(|written| reading_error(scope, written, unit_word));
    let (from, to) = ordered(scope, from?, to?)?;
    let give_or_take = match error {
        None => None,
        Some(error) => Some(error?),
    };
    Some(LookKind::Measured { unit: unit_word, from, to, give_or_take })
}

/// One end of a look's range: a bare number is in the look's own unit.
fn end(scope: &Scope, written: &Expression, unit: Unit, dimension: Option<Dimension>) -> Option<(Number, Span)> {
    let typed = value(scope, &Facts::default(), written)?;
    let dimension = dimension?;
    if let Some(bare) = typed.bare() {
        if dimension == Dimension::MONEY {
            scope.sink.push(unit_missing(&typed, "The end of this range", dimension, Some(unit)));
            return None;
        }
        return scope.sink.keep(super::quantity::to_base(bare, unit, typed.span, scope.money)).map(|number| (number, typed.span));
    }
    if !must_be(scope, &typed, dimension, "The end of this range") {
        return None;
    }
    number_of(scope, &typed.value, typed.span).map(|number| (number, typed.span))
}

fn number_of(scope: &Scope, value: &Value, span: Span) -> Option<Number> {
    if let Value::Number(number) = value {
        return Some(*number);
    }
    scope.sink.push(Diagnostic::error("not-constant", span, "The range of a look goes from one number to another.").help("Write a number."));
    None
}

/// The reading error as a difference in base units: 9 degF either way are 5 degC either way, without the zero point.
fn reading_error(scope: &Scope, written: &Expression, own: Unit) -> Option<Number> {
    use crate::syntax::tree::ExpressionKind;
    let ExpressionKind::Number(number, unit) = &written.kind else {
        scope.sink.push(Diagnostic::error("not-constant", written.span, "The reading error is one number.").help("Write a number."));
        return None;
    };
    let unit = unit.map_or(own, |unit| unit.value);
    if unit.dimension() != own.dimension() {
        let says = format!("The reading error is {}, and {} stands here.", own.dimension(), unit.dimension());
        scope.sink.push(Diagnostic::error("unit-mismatch", written.span, says).help(format!("Write it in {own}.")));
        return None;
    }
    if *number <= Number::from_integer(0) {
        let says = format!("A reading error of {} is none.", format_decimal(*number));
        scope.sink.push(Diagnostic::error("outside-range", written.span, says).help("Write a number above 0, or leave `give or take` out."));
        return None;
    }
    Some(*number * unit.factor())
}

fn count(scope: &Scope, written: &Expression) -> Option<(i64, Span)> {
    let typed = value(scope, &Facts::default(), written)?;
    if !must_be(scope, &typed, Dimension::NUMBER, "A count") {
        return None;
    }
    let number = number_of(scope, &typed.value, typed.span)?;
    match i64::try_from(number.to_integer()) {
        Ok(count) if number.is_integer() => Some((count, typed.span)),
        _ => {
            let says = format!("A count is a whole number, and {} is none.", format_decimal(number));
            scope.sink.push(Diagnostic::error("not-whole", typed.span, says).help("Write a whole number."));
            None
        }
    }
}

fn ordered<N: PartialOrd>(scope: &Scope, from: (N, Span), to: (N, Span)) -> Option<(N, N)> {
    if from.0 < to.0 {
        return Some((from.0, to.0));
    }
    let says = "The range of a look goes from the lesser to the greater.";
    scope.sink.push(Diagnostic::error("range-backward", from.1.to(to.1), says).help("Write the lesser end first, and a greater one after it."));
    None
}
