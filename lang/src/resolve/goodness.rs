//! What a good instrument shows at a look.

use super::bounds::{Named, for_operands};
use super::draft::Draft;
use super::expression::value;
use super::operand::named;
use super::scope::Scope;
use super::single::{choices_of, must_be, unit_missing};
use super::typed::Typed;
use crate::book::{Book, Good, Look, LookId, LookKind, Value};
use crate::diagnostic::Diagnostic;
use crate::number::format_decimal;
use crate::span::Span;
use crate::syntax::tree::{self, Name};
use crate::unit::{Dimension, Unit};

/// The good values of a look whose kind is known; `scope` is inside its part, with a place in hand where the part has places.
pub fn good(draft: &Draft, scope: &Scope, id: LookId, written: &tree::Good, span: Span) -> Option<Good> {
    let look = scope.look(id)?;
    match (&look.kind, written) {
        (LookKind::YesNo | LookKind::OneOf(_), tree::Good::Choices(words)) => {
            choices_of(scope, id, look, words).map(Good::Choices)
        }
        (LookKind::SomeOf(choices), tree::Good::Choices(words)) => match &words[..] {
            [word] if word.value == "none" && choices.iter().all(|choice| choice.name != "none") => {
                Some(Good::Choices(Vec::new()))
            }
            _ => choices_of(scope, id, look, words).map(Good::Choices),
        },
        (LookKind::Dated, tree::Good::Choices(words)) if is_none(words) => Some(Good::NoDate),
        (LookKind::Dated, _) => wrong(scope, look, span, "Write `good none`, or leave it out."),
        (LookKind::Written, _) => wrong(scope, look, span, "Leave `good` out: free text is never judged."),
        (LookKind::Measured { .. } | LookKind::Counted { .. } | LookKind::Priced { .. }, _) => {
            let typed = match written {
                tree::Good::Value(expression) => value(scope, &draft.facts, expression),
                tree::Good::Choices(words) if words.len() == 1 && is_value(draft, &words[0]) => {
                    named(scope, &draft.facts, words, span)
                }
                tree::Good::Choices(_) => return wrong(scope, look, span, "Write a value or a range of values."),
            };
            range(draft, scope, look, typed?).map(Good::Range)
        }
        (LookKind::YesNo, tree::Good::Value(_)) => wrong(scope, look, span, "Write `good yes` or `good no`."),
        (LookKind::OneOf(choices) | LookKind::SomeOf(choices), tree::Good::Value(_)) => {
            let first = choices.first().map_or("", |choice| choice.name.as_str());
            wrong(scope, look, span, &format!("Write one of its choices, such as `good {first}`."))
        }
    }
}

/// Whether a word names a table or a reckoning; any other is a choice, and a measure has none.
fn is_value(draft: &Draft, word: &Name) -> bool {
    draft.names.tables.get(&word.value).is_some() || draft.names.reckons.get(&word.value).is_some()
}

fn is_none(words: &[Name]) -> bool {
    matches!(words, [word] if word.value == "none")
}

fn wrong(scope: &Scope, look: &Look, span: Span, help: &str) -> Option<Good> {
    let says = format!("This is not what `{}` can show.", look.name);
    scope.sink.push(Diagnostic::error("wrong-test", span, says).help(help));
    None
}

fn range(draft: &Draft, scope: &Scope, look: &Look, typed: Typed) -> Option<Value> {
    let dimension = look.dimension().unwrap_or(Dimension::NUMBER);
    if typed.bare().is_some() && dimension != Dimension::NUMBER {
        let unit = match look.kind {
            LookKind::Measured { unit, .. } => Some(unit),
            _ => scope.money.map(Unit::Money),
        };
        scope.sink.push(unit_missing(&typed, &format!("`{}`", look.name), dimension, unit));
        return None;
    }
    if !must_be(scope, &typed, dimension, &format!("`{}`", look.name)) {
        return None;
    }
    if reads_record(&draft.book, &typed.value, 0) {
        let says = "What is good is known before anything is looked at, and this is worked out from the record.";
        scope.sink.push(Diagnostic::error("not-constant", typed.span, says).help("Write a value, a range or a table."));
        return None;
    }
    outside(scope, look, &typed)?;
    Some(typed.value)
}

/// Whether a constant good range lies within what the look can show.
fn outside(scope: &Scope, look: &Look, typed: &Typed) -> Option<()> {
    let Ok((low, high)) = (Named { tables: &[], reckons: &[] }).ends(&typed.value, &Vec::new()) else { return Some(()) };
    let whole = |count: i64| crate::number::Number::from_integer(i128::from(count));
    let (from, to, unit) = match look.kind {
        LookKind::Measured { unit, from, to, .. } => (from, to, unit),
        LookKind::Counted { from, to } => (whole(from), whole(to), Unit::None),
        LookKind::Priced { from, to } => (from, to, scope.money.map_or(Unit::None, Unit::Money)),
        _ => return Some(()),
    };
    if from <= low && high <= to {
        return Some(());
    }
    let words =
        |number| format!("{} {unit}", unit.from_base(number).map(format_decimal).unwrap_or_default()).trim_end().to_owned();
    let says = format!("`{}` goes from {} to {}, and this lies outside.", look.name, words(from), words(to));
    scope.sink.push(Diagnostic::error("outside-look", typed.span, says).help("Write what a good one shows within that range."));
    None
}

fn reads_record(book: &Book, value: &Value, depth: u32) -> bool {
    match value {
        Value::Look(_) | Value::Last(_) | Value::InspectedOn | Value::DaysFrom(..) | Value::TotalCost => true,
        Value::Reckon(reckon) => {
            depth > 64 || book.reckons.get(reckon.index()).is_some_and(|reckon| reads_record(book, &reckon.value, depth + 1))
        }
        _ => {
            let mut reads = false;
            for_operands(value, &mut |operand| reads |= reads_record(book, operand, depth + 1));
            reads
        }
    }
}
