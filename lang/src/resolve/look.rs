//! A look's type: its choices, or its unit and range, in base units.

use super::expression::amount;
use super::noted::Target;
use super::quantity::{read, read_unit, to_base, too_large};
use super::scope::Scope;
use super::single::{must_be, unit_missing};
use super::typed::Typed;
use crate::book::{Choice, LookId, LookKind, Value};
use crate::diagnostic::Diagnostic;
use crate::number::{Number, format_decimal};
use crate::span::{Span, Spanned};
use crate::syntax::tree::{self, ChoiceWords, Quantity};
use crate::unit::{Dimension, Unit};

/// The kind of answer that the look of this number takes; none where its type has an error. `name` is the look's.
pub fn look_kind(scope: &Scope, id: LookId, written: &tree::LookKind, name: Span) -> Option<LookKind> {
    match written {
        tree::LookKind::YesNo => Some(LookKind::YesNo),
        tree::LookKind::OneOf(choices) => {
            let choices = choices_of(scope, id, choices);
            if let [only] = &choices[..] {
                let says = format!("A look that is one of some choices needs two or more, and there is only `{}`.", only.name);
                scope
                    .sink
                    .push(Diagnostic::error("too-few-choices", name, says).help("Add what else it can be, or ask `yes or no`."));
            }
            Some(LookKind::OneOf(choices))
        }
        tree::LookKind::SomeOf(choices) => Some(LookKind::SomeOf(choices_of(scope, id, choices))),
        tree::LookKind::Measured { unit, from, to, give_or_take } => measured(scope, unit, from, to, give_or_take.as_ref()),
        tree::LookKind::Counted { from, to } => {
            let (from, to) = (count(scope, from), count(scope, to));
            let (from, to) = ordered(scope, from?, to?)?;
            Some(LookKind::Counted { from, to })
        }
        tree::LookKind::Priced { from, to } => {
            // `from 0 to 500 USD` says the money once.
            let to_end = price(scope, to);
            let from_end = match (&from.unit, &to.unit) {
                (None, Some(unit)) => {
                    to_end?;
                    price(scope, &Quantity { number: from.number.clone(), unit: Some(unit.clone()) })
                }
                (None, None) if to_end.is_none() => return None,
                _ => price(scope, from),
            };
            let (from, to) = ordered(scope, from_end?, to_end?)?;
            Some(LookKind::Priced { from, to })
        }
        tree::LookKind::Dated => Some(LookKind::Dated),
        tree::LookKind::Written => Some(LookKind::Written),
    }
}

/// The choices as written; one written twice is reported and kept once.
fn choices_of(scope: &Scope, look: LookId, written: &[ChoiceWords]) -> Vec<Choice> {
    let mut choices: Vec<Choice> = Vec::new();
    for ChoiceWords { choice: name, words } in written {
        if choices.iter().any(|choice| choice.name == name.value) {
            let says = format!("The choice `{}` stands here twice.", name.value);
            let mut diagnostic =
                Diagnostic::error("name-twice", name.span, says).help("Give this one another name, or take it out.");
            if let Some(first) = written.iter().find(|other| other.choice.value == name.value) {
                diagnostic = diagnostic.place(first.choice.span, "first written here");
            }
            scope.sink.push(diagnostic);
            continue;
        }
        let words = words.as_ref().map_or_else(|| name.value.clone(), |words| words.value.clone());
        scope.names.notes.writes(name.span, Target::choice(look, choices.len()));
        choices.push(Choice { name: name.value.clone(), words });
    }
    choices
}

fn measured(
    scope: &Scope,
    unit: &Spanned<String>,
    from: &Quantity,
    to: &Quantity,
    give_or_take: Option<&Quantity>,
) -> Option<LookKind> {
    let own = read_unit(scope, unit)?;
    if let Unit::Money(_) = own {
        let says = "A sum of money is not measured.";
        scope.sink.push(Diagnostic::error("wrong-unit", unit.span, says).help("Write `priced from … to …`."));
        return None;
    }
    let (from, to) = (end(scope, from, own), end(scope, to, own));
    let error = give_or_take.map(|written| reading_error(scope, written, own));
    let (from, to) = ordered(scope, from?, to?)?;
    let give_or_take = match error {
        None => None,
        Some(error) => Some(error?),
    };
    Some(LookKind::Measured { unit: own, from, to, give_or_take })
}

/// One end of a measured look's range: a bare number is in the look's own unit.
fn end(scope: &Scope, written: &Quantity, own: Unit) -> Option<(Number, Span)> {
    let (number, unit) = read(scope, written)?;
    let unit = if unit == Unit::None { own } else { unit };
    let typed = Typed::single(Value::Number(number), unit.dimension(), written.span());
    if !must_be(scope, &typed, own.dimension(), "The end of this range") {
        return None;
    }
    scope.sink.keep(to_base(number, unit, written.span(), scope.money)).map(|number| (number, written.span()))
}

/// One end of a priced look's range.
fn price(scope: &Scope, written: &Quantity) -> Option<(Number, Span)> {
    let typed = amount(scope, written)?;
    if typed.bare().is_some() {
        let unit = scope.money.map(Unit::Money);
        scope.sink.push(unit_missing(&typed, "The end of this range", Dimension::MONEY, unit));
        return None;
    }
    if !must_be(scope, &typed, Dimension::MONEY, "The end of this range") {
        return None;
    }
    match typed.value {
        Value::Number(number) => Some((number, written.span())),
        _ => None,
    }
}

/// The reading error as a difference in base units: 9 degF either way are 5 degC either way, without the zero point.
fn reading_error(scope: &Scope, written: &Quantity, own: Unit) -> Option<Number> {
    use num_traits::CheckedMul;
    let (number, unit) = read(scope, written)?;
    let unit = if unit == Unit::None { own } else { unit };
    let typed = Typed::single(Value::Number(number), unit.dimension(), written.span());
    if !must_be(scope, &typed, own.dimension(), "The reading error") {
        return None;
    }
    if number <= Number::from_integer(0) {
        let says = format!("A reading error of {} is none.", format_decimal(number));
        scope.sink.push(
            Diagnostic::error("outside-range", written.span(), says).help("Write a number above 0, or leave `give or take` out."),
        );
        return None;
    }
    let difference = number.checked_mul(&unit.factor());
    scope.sink.keep(difference.ok_or_else(|| too_large(written.span())))
}

fn count(scope: &Scope, written: &Quantity) -> Option<(i64, Span)> {
    let span = written.span();
    let (number, unit) = read(scope, written)?;
    let typed = Typed::single(Value::Number(number), unit.dimension(), span);
    if !must_be(scope, &typed, Dimension::NUMBER, "A count") {
        return None;
    }
    match i64::try_from(number.to_integer()) {
        Ok(count) if number.is_integer() => Some((count, span)),
        _ => {
            let says = format!("A count is a whole number, and {} is none.", format_decimal(number));
            scope.sink.push(Diagnostic::error("not-whole", span, says).help("Write a whole number."));
            None
        }
    }
}

fn ordered<N: PartialOrd>(scope: &Scope, from: (N, Span), to: (N, Span)) -> Option<(N, N)> {
    if from.0 < to.0 {
        return Some((from.0, to.0));
    }
    let says = "The range of a look goes from the lesser to the greater.";
    scope.sink.push(
        Diagnostic::error("range-backward", from.1.to(to.1), says)
            .help("Write the lesser end first, and a greater one after it."),
    );
    None
}
