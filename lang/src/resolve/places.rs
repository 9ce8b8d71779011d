//! Conditions over the places of a part, and over other findings.

use super::names::Repeats;
use super::scope::Scope;
use crate::book::{Condition, Count, PartId};
use crate::diagnostic::Diagnostic;
use crate::span::{Span, Spanned};

/// The part that `any PART with …` and its kin go over, or none after saying why it cannot be.
pub fn part_with_places(scope: &Scope, part: &Spanned<String>) -> Option<PartId> {
    let id = scope.sink.keep(scope.names.part(part))?;
    if scope.repeats(id) != Repeats::Single {
        return Some(id);
    }
    scope.sink.push(
        Diagnostic::error("no-places", part.span, format!("`{}` has no places to go over.", part.value))
            .label("only one")
            .help(format!("Test its looks directly, such as `{}.LOOK`.", part.value)),
    );
    None
}

/// Whether `at least N` of a part's places can be met.
pub fn count_possible(scope: &Scope, part: PartId, count: Count, span: Span) -> Option<()> {
    let Count::AtLeast(wanted) = count else { return Some(()) };
    let places =
        scope.names.inside.get(part.index()).filter(|inside| inside.repeats == Repeats::Fixed).map(|inside| inside.places.len());
    let name = scope.part_name(part);
    let says = match places {
        _ if wanted == 0 => "`at least 0` is always met.".to_owned(),
        Some(places) if wanted as usize > places => {
            format!("`{name}` has {places} places, so at least {wanted} of them are never met.")
        }
        _ => return Some(()),
    };
    let most = places.map_or(String::new(), |places| format!(" to {places}"));
    scope.sink.push(Diagnostic::error("outside-range", span, says).help(format!("Write a number from 1{most}.")));
    None
}

/// `found F`.
pub fn found(scope: &Scope, finding: &Spanned<String>, span: Span) -> Option<Condition> {
    scope.sink.keep(scope.names.finding(finding)).map(|id| Condition::Found(id, span))
}
