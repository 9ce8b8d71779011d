//! Written conditions turned into conditions of the book, every error in them noted once.

use super::expression::value;
use super::operand::Facts;
use super::places::{count_possible, found, part_with_places};
use super::scope::Scope;
use super::single::{alone, between, compare, has, is_one_of, place_is, total_tier, total_urgency};
use crate::book::Condition;
use crate::diagnostic::Diagnostic;
use crate::syntax::tree::{self, ConditionKind};

/// The condition as the book holds it; none where an error was found in it, now or by the parser.
pub fn condition(scope: &Scope, facts: &Facts, written: &tree::Condition) -> Option<Condition> {
    let span = written.span;
    scope.test.set(Some(span));
    match &written.kind {
        ConditionKind::All(inner) => Some(Condition::All(all(scope, facts, inner)?)),
        ConditionKind::Any(inner) => Some(Condition::Any(all(scope, facts, inner)?)),
        ConditionKind::AtLeast(count, inner) => {
            let inner_conditions = all(scope, facts, inner);
            if count.value == 0 || count.value as usize > inner.len() {
                let says = format!("`at least {} of` stands before {} conditions.", count.value, inner.len());
                scope.sink.push(
                    Diagnostic::error("outside-range", count.span, says).help(format!("Write a number from 1 to {}.", inner.len())),
                );
                return None;
            }
            Some(Condition::AtLeast(count.value, inner_conditions?))
        }
        ConditionKind::Not(inner) => Some(Condition::Not(Box::new(condition(scope, facts, inner)?))),
        ConditionKind::Alone(path) => alone(scope, path, span),
        ConditionKind::Is { look, choices, not } => is_one_of(scope, look, choices, *not, span),
        ConditionKind::Has { look, choices } => has(scope, look, choices, span),
        ConditionKind::Compare { comparison, left, right } => {
            let (left, right) = (value(scope, facts, left), value(scope, facts, right));
            compare(scope, *comparison, left, right, span)
        }
        ConditionKind::Between { value: tested, low, high } => {
            let (tested, low, high) = (value(scope, facts, tested), value(scope, facts, low), value(scope, facts, high));
            between(scope, tested, low, high, span)
        }
        ConditionKind::PlaceIs { places, not } => place_is(scope, places, *not, span),
        ConditionKind::TotalUrgency(rung) => total_urgency(scope, rung, span),
        ConditionKind::TotalTier(rung) => total_tier(scope, rung, span),
        ConditionKind::Places { count, part, with } => {
            let id = part_with_places(scope, part)?;
            let inside = scope.inside(id, true);
            let with = condition(&inside, facts, with);
            count_possible(scope, id, *count, span)?;
            Some(Condition::Places { count: *count, part: id, with: Box::new(with?), span })
        }
        ConditionKind::Found(finding) => found(scope, finding, span),
        ConditionKind::Broken => None,
    }
}

/// All of them, or none where any has an error; each is read, so that every error is noted.
fn all(scope: &Scope, facts: &Facts, written: &[tree::Condition]) -> Option<Vec<Condition>> {
    let read: Vec<Option<Condition>> = written.iter().map(|one| condition(scope, facts, one)).collect();
    read.into_iter().collect()
}
