//! Bench steps: an amount, whose rate, once or each, and what is included.

use super::draft::Draft;
use super::expression::value;
use super::finding::names_once;
use super::ladders::words;
use super::typed::Typed;
use crate::book::{HandId, Origin, PartId, Value, Work};
use crate::diagnostic::Diagnostic;
use crate::number::Number;
use crate::span::FileId;
use crate::syntax::tree::{Entry, Expr, Head, Name, Says};
use crate::unit::{Dimension, Unit};

/// Reads a bench step. What has an error is replaced by nothing; the book it goes into is then never handed out.
pub fn work(draft: &Draft, entry: &Entry, name: &Name, origin: Origin) -> Work {
    let (written, by_name, once) = match &entry.head {
        Head::Work { amount, by, once } => (amount.as_ref(), by.as_ref(), once.is_none_or(|once| once.value)),
        _ => (None, None, true),
    };
    let amount = written.and_then(|written| amount_of(draft, name, once, written));
    let by = match by_name {
        Some(hand) => draft.sink.keep(draft.names.hand(hand)),
        None => draft.book.hands.len().checked_sub(1).map(HandId::from_index),
    };
    let timed = amount.as_ref().is_some_and(|(_, timed)| *timed);
    if let (true, Some(by)) = (timed, by)
        && let Some(hand) = draft.book.hands.get(by.index())
        && hand.rate.is_none()
        && !draft.troubled.hands.contains(&by)
    {
        let span = by_name.map_or(name.span, |by| by.span);
        let says = format!("`{}` is charged by time, and `{}` has no rate.", name.value, hand.name);
        draft.sink.push(
            Diagnostic::error("no-rate", span, says)
                .help("Give the hand a rate per h, write `by` and another hand, or write a price.")
                .place(hand.origin.span, "no rate here"),
        );
    }
    if let (Some((_, false)), Some(by)) = (&amount, by_name)
        && let Some(span) = if by.span.file == FileId::OWN { Some(by.span) } else { origin.own() }
    {
        let says = format!("`{}` has a price, so nobody's rate is charged.", name.value);
        let help = if span == by.span {
            format!("Take `by {}` out.", by.value)
        } else {
            "Write a time instead of the price.".to_owned()
        };
        let diagnostic = Diagnostic::warning("rate-unused", span, says).help(help);
        draft.sink.push(if span == by.span { diagnostic } else { diagnostic.place(by.span, "whose rate it is") });
    }
    let mut included: Vec<&Name> = Vec::new();
    for clause in &entry.clauses {
        if let Says::Includes(names) = &clause.says {
            included.extend(names);
        }
    }
    Work {
        name: name.value.clone(),
        words: words(entry),
        amount: amount.map_or(Value::Number(Number::from_integer(0)), |(value, _)| value),
        timed,
        by: by.unwrap_or(HandId::from_index(0)),
        once,
        includes: names_once(&draft.sink, &included, |name| draft.names.work(name)),
        origin,
    }
}

/// The amount, and whether it is a time.
fn amount_of(draft: &Draft, name: &Name, once: bool, amount: &Expr) -> Option<(Value, bool)> {
    let scope = draft.scope_of_all_places();
    let typed = value(&scope, &draft.facts, amount)?;
    let timed = match typed.dimension {
        Dimension::TIME => true,
        Dimension::MONEY => false,
        Dimension::NUMBER if typed.bare().is_some() => {
            draft.sink.push(no_unit(&typed, scope.money.map(Unit::Money)));
            return None;
        }
        other => {
            let says = format!("An amount of work is a time or a price, and {other} stands here.");
            draft.sink.push(
                Diagnostic::error("unit-mismatch", typed.span, says)
                    .label(other.to_string())
                    .help("Write it in min or h, or as a price."),
            );
            return None;
        }
    };
    if once {
        let mut needs: Vec<PartId> = Vec::new();
        draft.facts.needs(&draft.book, &typed.value, &mut needs);
        if let Some(&part) = needs.first() {
            let says = format!(
                "`{}` is done once an instrument, and its amount goes by the place of `{}`.",
                name.value,
                scope.part_name(part)
            );
            draft.sink.push(Diagnostic::error("no-place-in-hand", typed.span, says).help("Write `each` instead of `once`."));
            return None;
        }
    }
    Some((typed.value, timed))
}

/// A bare number for an amount: it may be meant for a time or for a price.
fn no_unit(bare: &Typed, money: Option<Unit>) -> Diagnostic {
    let number = bare.bare().unwrap_or_default();
    let says = format!("{number} has no unit, and an amount of work is a time or a price.");
    let units = [Some(Unit::Min), Some(Unit::H), money].into_iter().flatten();
    let texts: Vec<String> = units.map(|unit| format!("{number} {unit}")).collect();
    let help = texts.iter().map(|text| format!("`{text}`")).collect::<Vec<_>>().join(" or ");
    let diagnostic = Diagnostic::error("unit-missing", bare.span, says).label("no unit").help(format!("Write {help}."));
    texts.into_iter().fold(diagnostic, |told, text| told.fix(format!("Write `{text}`"), false, bare.span, text))
}
