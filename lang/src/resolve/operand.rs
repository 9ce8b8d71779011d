//! The single operands of a value: numbers, looks, tables, reckonings, dates, and the formulas of the trade.

use super::bounds::for_operands;
use super::names::{NameKind, told_already, unknown};
use super::noted::Target;
use super::quantity::to_base;
use super::scope::Scope;
use super::typed::{Typed, like_help};
use crate::book::{Book, Look, LookAt, LookKind, PartId, PlaceAt, ReckonId, TableId, Value};
use crate::diagnostic::Diagnostic;
use crate::formula::signature::{SIGNATURES, Signature};
use crate::number::Number;
use crate::span::{Span, Spanned};
use crate::unit::{Dimension, Unit};

/// What is known of a table or a reckoning before its uses are read.
#[derive(Debug, Clone)]
pub struct Fact {
    /// The dimension of its values.
    pub dimension: Dimension,
    /// Whether its values may have two ends.
    pub ranged: bool,
    /// Parts of which a place must be in hand where it is used.
    pub needs: Vec<PartId>,
}

/// What is known of all tables and reckonings; none for those with errors of their own.
#[derive(Debug, Clone, Default)]
pub struct Facts {
    /// By table.
    pub tables: Vec<Option<Fact>>,
    /// By reckoning.
    pub reckons: Vec<Option<Fact>>,
}

impl Facts {
    /// The parts of which a place must be in hand for `value` to be worked out.
    pub fn needs(&self, book: &Book, value: &Value, into: &mut Vec<PartId>) {
        let mut add = |part: PartId| {
            if !into.contains(&part) {
                into.push(part);
            }
        };
        let named = match value {
            Value::Look(at) | Value::Last(at) if at.place == PlaceAt::Here => {
                return book.looks.get(at.look.index()).map(|look| look.part).into_iter().for_each(add);
            }
            Value::Table(table) => self.tables.get(table.index()),
            Value::Reckon(reckon) => self.reckons.get(reckon.index()),
            _ => return for_operands(value, &mut |operand| self.needs(book, operand, into)),
        };
        named.into_iter().flatten().flat_map(|fact| fact.needs.iter().copied()).for_each(&mut add);
    }
}

/// A written number with or without a unit.
pub fn number(scope: &Scope, value: Number, unit: Unit, span: Span) -> Option<Typed> {
    let base = scope.sink.keep(to_base(value, unit, span, scope.money))?;
    Some(Typed::single(Value::Number(base), unit.dimension(), span))
}

/// `low to high`; a low end without a unit takes that of the high end.
pub fn range(scope: &Scope, low: (Number, Unit, Span), high: (Number, Unit, Span)) -> Option<Typed> {
    let shared = low.1 == Unit::None;
    let high_end = number(scope, high.0, high.1, high.2);
    if shared && high_end.is_none() {
        return None;
    }
    let low_end = number(scope, low.0, if shared { high.1 } else { low.1 }, low.2);
    range_of(scope, low_end?, high_end?)
}

/// Tells of two values that are not of one dimension.
fn like_each_other(scope: &Scope, one: &Typed, other: &Typed, says: impl FnOnce() -> String) -> Option<()> {
    if one.dimension == other.dimension {
        return Some(());
    }
    scope.sink.push(
        Diagnostic::error("unit-mismatch", other.span, says())
            .label(other.dimension.to_string())
            .place(one.span, one.dimension.to_string())
            .help(like_help(one.dimension, other.dimension)),
    );
    None
}

/// A range between two constant values of one dimension.
pub fn range_of(scope: &Scope, low: Typed, high: Typed) -> Option<Typed> {
    let span = low.span.to(high.span);
    like_each_other(scope, &low, &high, || format!("A range goes from {} to {} here.", low.dimension, high.dimension))?;
    let (Value::Number(from), Value::Number(to)) = (&low.value, &high.value) else {
        scope.sink.push(
            Diagnostic::error("range-not-constant", span, "A range goes from one number to another.")
                .help("Write numbers at both ends, or use a table."),
        );
        return None;
    };
    if from > to {
        scope.sink.push(
            Diagnostic::error("range-backward", span, "This range goes from the greater to the lesser.")
                .help("Write the lesser end first."),
        );
        return None;
    }
    Some(Typed { value: Value::Range(*from, *to), dimension: low.dimension, ranged: true, span })
}

/// A look, a table or a reckoning by its path.
pub fn named(scope: &Scope, facts: &Facts, path: &[Spanned<String>], span: Span) -> Option<Typed> {
    if let [word] = path
        && scope.plain_look(&word.value).is_none()
    {
        if let Some(table) = scope.names.tables.get(&word.value) {
            return table_value(scope, facts, table, word);
        }
        if let Some(reckon) = scope.names.reckons.get(&word.value) {
            return reckon_value(scope, facts, reckon, word);
        }
        if let Some(kind) = scope.names.other_kind(&word.value, NameKind::Table) {
            let says = format!("`{}` is {}, and a value that can be compared stands here.", word.value, kind.a());
            scope.sink.push(
                Diagnostic::error("wrong-kind", word.span, says)
                    .label(kind.a())
                    .help("Write a number, a look, a table or a reckoning."),
            );
            return None;
        }
    }
    let at = scope.sink.keep(scope.look_at(path))?;
    look_value(scope, at, span).map(|dimension| Typed::single(Value::Look(at), dimension, span))
}

/// `last LOOK`: the same look in this instrument's record before.
pub fn last(scope: &Scope, path: &[Spanned<String>], span: Span) -> Option<Typed> {
    let at = scope.sink.keep(scope.look_at(path))?;
    look_value(scope, at, span).map(|dimension| Typed::single(Value::Last(at), dimension, span))
}

/// The dimension of a look that is compared, or none after saying why it cannot be.
fn look_value(scope: &Scope, at: LookAt, span: Span) -> Option<Dimension> {
    let look = scope.look(at.look)?;
    if let Some(dimension) = look.dimension() {
        return Some(dimension);
    }
    scope.sink.push(not_a_value(scope.book, look, span));
    None
}

fn not_a_value(book: &Book, look: &Look, span: Span) -> Diagnostic {
    let path = format!("{}.{}", book.parts.get(look.part.index()).map_or("", |part| part.name.as_str()), look.name);
    let (kind, help) = match &look.kind {
        LookKind::YesNo => ("a yes or no", format!("Write `{}` alone, or `{} is no`.", look.name, look.name)),
        LookKind::OneOf(choices) => {
            ("a choice", format!("Write `{} is {}`.", look.name, choices.first().map_or("", |choice| choice.name.as_str())))
        }
        LookKind::SomeOf(choices) => (
            "several choices",
            format!("Write `{} has {}`.", look.name, choices.first().map_or("", |choice| choice.name.as_str())),
        ),
        _ => ("free text, which is never tested", "Take the test out, or give the look choices.".to_owned()),
    };
    Diagnostic::error("wrong-kind", span, format!("`{path}` is {kind}, and a value that can be compared stands here."))
        .label(kind)
        .help(help)
}

fn table_value(scope: &Scope, facts: &Facts, table: TableId, word: &Spanned<String>) -> Option<Typed> {
    scope.names.notes.uses(word.span, Target::Table(table));
    let fact = scope.sink.keep(known(facts.tables.get(table.index()), word))?;
    needs_met(scope, fact, word)?;
    Some(Typed { value: Value::Table(table), dimension: fact.dimension, ranged: fact.ranged, span: word.span })
}

fn reckon_value(scope: &Scope, facts: &Facts, reckon: ReckonId, word: &Spanned<String>) -> Option<Typed> {
    scope.names.notes.uses(word.span, Target::Reckon(reckon));
    let fact = scope.sink.keep(known(facts.reckons.get(reckon.index()), word))?;
    needs_met(scope, fact, word)?;
    Some(Typed { value: Value::Reckon(reckon), dimension: fact.dimension, ranged: fact.ranged, span: word.span })
}

/// What is known of a table or a reckoning; one with errors of its own has been told of.
fn known<'f>(fact: Option<&'f Option<Fact>>, word: &Spanned<String>) -> Result<&'f Fact, Diagnostic> {
    fact.and_then(Option::as_ref).ok_or_else(|| told_already(word.span))
}

fn needs_met(scope: &Scope, fact: &Fact, word: &Spanned<String>) -> Option<()> {
    let lacking = fact.needs.iter().find(|part| !scope.in_hand.contains(part));
    let Some(&part) = lacking else { return Some(()) };
    let name = scope.part_name(part);
    let says = format!("`{}` goes by the place of `{name}`, and no place of it is in hand here.", word.value);
    scope.sink.push(
        Diagnostic::error("no-place-in-hand", word.span, says)
            .label("which place?")
            .help(format!("Use it in a finding on each {name}, or ask `any {name} with (…)`.")),
    );
    None
}

/// `days from A to B`.
pub fn days_from(scope: &Scope, from: Typed, to: Typed, span: Span) -> Option<Typed> {
    let mut sound = true;
    for side in [&from, &to] {
        if side.dimension != Dimension::DATE {
            let says = format!("`days from A to B` goes between two dates, and {} stands here.", side.dimension);
            scope.sink.push(
                Diagnostic::error("unit-mismatch", side.span, says)
                    .label(side.dimension.to_string())
                    .help("Write a date, a dated look or `inspected-on`."),
            );
            sound = false;
        }
    }
    sound.then(|| Typed::single(Value::DaysFrom(Box::new(from.value), Box::new(to.value)), Dimension::TIME, span))
}

/// `lower of A and B`, or `higher of A and B` where `higher` is set.
pub fn lower_or_higher(scope: &Scope, higher: bool, left: Typed, right: Typed, span: Span) -> Option<Typed> {
    let word = if higher { "higher of" } else { "lower of" };
    like_each_other(scope, &left, &right, || format!("`{word}` compares {} with {}.", left.dimension, right.dimension))?;
    let (dimension, ranged) = (left.dimension, left.ranged || right.ranged);
    let (left, right) = (Box::new(left.value), Box::new(right.value));
    Some(Typed { value: if higher { Value::Higher(left, right) } else { Value::Lower(left, right) }, dimension, ranged, span })
}

/// A minus before a value.
pub fn negative(scope: &Scope, inner: Typed, span: Span) -> Option<Typed> {
    if inner.dimension == Dimension::DATE {
        scope.sink.push(Diagnostic::error("cannot-reckon", span, "A date has no opposite.").help("Take the minus out."));
        return None;
    }
    let value = match inner.value {
        Value::Number(number) => Value::Number(-number),
        other => Value::Negative(Box::new(other)),
    };
    Some(Typed { value, span, ..inner })
}

/// A formula of the trade with its arguments; an argument is none where it had an error of its own.
pub fn formula(scope: &Scope, name: &Spanned<String>, arguments: Vec<Option<Typed>>, span: Span) -> Option<Typed> {
    let Some(&Signature { formula, wanted, gives, .. }) = SIGNATURES.iter().find(|known| known.name == name.value) else {
        scope.sink.push(unknown(name, "formula is", SIGNATURES.iter().map(|known| known.name)));
        return None;
    };
    let usage = || {
        let names: Vec<&str> = wanted.iter().map(|(argument, _)| *argument).collect();
        format!("Write `{}({})`.", name.value, names.join(", "))
    };
    if arguments.len() != wanted.len() {
        let says = format!("`{}` takes {} values, and {} stand here.", name.value, wanted.len(), arguments.len());
        scope.sink.push(Diagnostic::error("wrong-count", span, says).help(usage()));
        return None;
    }
    let mut values = Vec::new();
    for (argument, (called, wanted)) in arguments.into_iter().zip(wanted) {
        let Some(argument) = argument else { continue };
        if argument.dimension != *wanted {
            let says = format!("The {called} of `{}` is {wanted}, and {} stands here.", name.value, argument.dimension);
            scope.sink.push(
                Diagnostic::error("unit-mismatch", argument.span, says).label(argument.dimension.to_string()).help(usage()),
            );
        } else if argument.ranged {
            scope.sink.push(
                Diagnostic::error(
                    "range-not-constant",
                    argument.span,
                    format!("The {called} of `{}` is one value, and a range stands here.", name.value),
                )
                .help("Write one value."),
            );
        } else {
            values.push(argument.value);
        }
    }
    (values.len() == wanted.len()).then(|| Typed::single(Value::Formula(formula, values), gives, span))
}
