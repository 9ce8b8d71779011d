//! Parts: the types of their looks, and everything under them: when they apply, what is good, how to look and what to mind.

use super::condition::condition;
use super::draft::{Draft, Once};
use super::goodness::good;
use super::look::look_kind;
use super::only_when::simple;
use super::scope::Scope;
use crate::book::{Condition, Good, LookId, LookKind, PartId, PlaceId};
use crate::span::Span;
use crate::syntax::tree::{self, ClauseKind, Goodness, Item};

/// The types of a part's looks, with their numbers; none for those with an error.
pub fn look_kinds(draft: &Draft, id: PartId, item: &Item) -> Vec<(LookId, Option<LookKind>)> {
    let scope = draft.scope();
    let written = item.clauses.iter().filter_map(|clause| match &clause.kind {
        ClauseKind::Look { kind, .. } => Some((kind, clause.span)),
        _ => None,
    });
    let looks = draft.book.parts.get(id.index()).map_or(&[][..], |part| &part.looks);
    looks.iter().copied().zip(written).map(|(look, (kind, span))| (look, look_kind(&scope, kind, span))).collect()
}

/// What the lines under a part, a place or a look say.
#[derive(Default)]
pub struct Under {
    /// When it applies.
    pub only_when: Option<Condition>,
    /// What a good one shows.
    pub good: Option<Good>,
    /// Quick test.
    pub how: Option<String>,
    /// Caution.
    pub care: Option<String>,
    /// Personal data.
    pub private: bool,
}

/// Whom a line under a part belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    /// The part itself.
    Part,
    /// One of its fixed places.
    Place(PlaceId),
    /// One of its looks.
    Look(LookId),
}

/// The lines as written, before they are read.
#[derive(Default)]
struct Lines<'t> {
    only_when: Once<&'t tree::Condition>,
    good: Once<(&'t Goodness, Span)>,
    how: Vec<String>,
    care: Vec<String>,
    private: bool,
}

/// Everything under a part: each owner with what is said of it.
pub fn under(draft: &Draft, id: PartId, item: &Item) -> Vec<(Owner, Under)> {
    let mut owners: Vec<(Owner, Lines)> = vec![(Owner::Part, Lines::default())];
    let looks = draft.book.parts.get(id.index()).map_or(&[][..], |part| &part.looks);
    let (mut next_look, mut next_place) = (looks.iter(), 0);
    let sink = &draft.sink;
    for clause in &item.clauses {
        match &clause.kind {
            ClauseKind::Look { .. } => {
                if let Some(&look) = next_look.next() {
                    owners.push((Owner::Look(look), Lines::default()));
                }
                continue;
            }
            ClauseKind::Place { .. } => {
                owners.push((Owner::Place(PlaceId(next_place)), Lines::default()));
                next_place += 1;
                continue;
            }
            _ => {}
        }
        let Some((_, lines)) = owners.last_mut() else { continue };
        match &clause.kind {
            ClauseKind::OnlyWhen(condition) => lines.only_when.set(sink, "only when", clause.span, condition),
            ClauseKind::Good(good) => lines.good.set(sink, "good", clause.span, (good, clause.span)),
            ClauseKind::How(text) => lines.how.push(text.value.clone()),
            ClauseKind::Care(text) => lines.care.push(text.value.clone()),
            ClauseKind::Private => lines.private = true,
            _ => {}
        }
    }
    let scope = draft.scope();
    owners.into_iter().map(|(owner, lines)| (owner, read(draft, &scope, id, owner, lines))).collect()
}

fn read(draft: &Draft, scope: &Scope, part: PartId, owner: Owner, lines: Lines) -> Under {
    let inside = scope.inside(part, owner != Owner::Part);
    let only_when = lines.only_when.get().and_then(|written| condition(&inside, &draft.facts, written));
    let good_read = match (owner, lines.good.get()) {
        (Owner::Look(look), Some((written, span))) if !draft.troubled.looks.contains(&look) => {
            draft.book.looks.get(look.index()).and_then(|look| good(draft, &inside, look, written, *span))
        }
        _ => None,
    };
    Under {
        only_when: only_when.filter(|read| simple(&draft.sink, read, lines.only_when.span())),
        good: good_read,
        how: joined(&lines.how),
        care: joined(&lines.care),
        private: lines.private,
    }
}

/// Several lines as one text.
fn joined(lines: &[String]) -> Option<String> {
    (!lines.is_empty()).then(|| lines.join(" "))
}
