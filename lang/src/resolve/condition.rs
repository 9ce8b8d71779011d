//! Written conditions turned into conditions of the book, every error in them noted once.

use super::expression::{amount, value};
use super::operand::Facts;
use super::places::{count_possible, found, part_with_places};
use super::scope::Scope;
use super::single::{alone, between, compare, has, is_one_of, place_is, total};
use super::typed::Typed;
use crate::book::Condition;
use crate::diagnostic::Diagnostic;
use crate::syntax::tree::{Cond, CondKind, Expr, ExprKind, Quantity};

/// The condition as the book holds it; none where an error was found in it.
pub fn condition(scope: &Scope, facts: &Facts, written: &Cond) -> Option<Condition> {
    let span = written.span;
    scope.test.set(Some(span));
    match &written.kind {
        CondKind::All(inner) => Some(Condition::All(all(scope, facts, inner)?)),
        CondKind::Any(inner) => {
            if let Some(diagnostic) = choices_joined(scope, inner) {
                scope.sink.push(diagnostic);
                return None;
            }
            Some(Condition::Any(all(scope, facts, inner)?))
        }
        CondKind::AtLeast(count, inner) => {
            let conditions = all(scope, facts, inner);
            if count.value == 0 || count.value as usize > inner.len() {
                let says = format!("`at least {} of` stands before {} conditions.", count.value, inner.len());
                let help = format!("Write a number from 1 to {}.", inner.len());
                scope.sink.push(Diagnostic::error("outside-range", count.span, says).help(help));
                return None;
            }
            Some(Condition::AtLeast(count.value, conditions?))
        }
        CondKind::Not(inner) => Some(Condition::Not(Box::new(condition(scope, facts, inner)?))),
        CondKind::Bare(path) => alone(scope, &path.segments, span),
        CondKind::Is { path, choices, not } => is_one_of(scope, &path.segments, choices, *not, span),
        CondKind::Has { path, choices } => has(scope, &path.segments, choices, span),
        CondKind::Compare { comparison, left, right } => {
            let (left, right) = (value(scope, facts, left), value(scope, facts, right));
            compare(scope, comparison.value, left, right, span)
        }
        CondKind::Between { value: tested, low, high } => {
            let (tested, low, high) = (value(scope, facts, tested), low_end(scope, facts, low, high), value(scope, facts, high));
            between(scope, tested, low, high, span)
        }
        CondKind::PlaceIs { places, not, .. } => place_is(scope, places, *not, span),
        CondKind::Total { total: which, not, test } => total(scope, which.value, *not, test, span),
        CondKind::Places { count, part, with } => {
            let id = part_with_places(scope, part)?;
            let inside = scope.inside(id, true);
            let with = condition(&inside, facts, with);
            count_possible(scope, id, count.value, count.span)?;
            Some(Condition::Places { count: count.value, part: id, with: Box::new(with?), span })
        }
        CondKind::Found(finding) => found(scope, finding, span),
    }
}

/// `sits is crooked or pulling-out`: a choice that stands where a test belongs.
fn choices_joined(scope: &Scope, written: &[Cond]) -> Option<Diagnostic> {
    let [Cond { kind: CondKind::Is { path, not, choices }, span }, rest @ ..] = written else { return None };
    let at = scope.look_at(&path.segments).ok()?;
    let look = scope.look(at.look)?;
    let mut all: Vec<&str> = choices.iter().map(|choice| choice.value.as_str()).collect();
    let mut end = *span;
    for one in rest {
        let CondKind::Bare(path) = &one.kind else { break };
        let word = path.single()?;
        if !look.choices().iter().any(|choice| choice.name == word.value) || scope.look_at(&path.segments).is_ok() {
            break;
        }
        all.push(&word.value);
        end = one.span;
    }
    if all.len() == choices.len() {
        return None;
    }
    let whole = span.to(end);
    let text = format!("{} is {}one of {}", path.text(), if *not { "not " } else { "" }, all.join(", "));
    let says = format!("`or` joins whole tests, and `{}` is a choice of `{}`.", all[choices.len()], look.name);
    Some(Diagnostic::error("choice-alone", whole, says).help(format!("Write `{text}`.")).fix(
        format!("Write `{text}`"),
        false,
        whole,
        text,
    ))
}

/// The lower end of `from A to B`: where it has no unit of its own, the upper end's is meant.
fn low_end(scope: &Scope, facts: &Facts, low: &Expr, high: &Expr) -> Option<Typed> {
    if let (ExprKind::Quantity(from), ExprKind::Quantity(to)) = (&low.kind, &high.kind)
        && from.unit.is_none()
    {
        let typed = amount(scope, &Quantity { number: from.number.clone(), unit: to.unit.clone() })?;
        return Some(Typed { span: low.span, ..typed });
    }
    value(scope, facts, low)
}

/// All of them, or none where any has an error; each is read, so that every error is noted.
fn all(scope: &Scope, facts: &Facts, written: &[Cond]) -> Option<Vec<Condition>> {
    let read: Vec<Option<Condition>> = written.iter().map(|one| condition(scope, facts, one)).collect();
    read.into_iter().collect()
}
