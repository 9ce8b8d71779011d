//! Parts: the types of their looks, and what is said of each: when it applies, what is good, how to look, what to mind.

use super::condition::condition;
use super::draft::Draft;
use super::goodness::good;
use super::only_when::simple;
use crate::book::{Condition, Good, LookId, PartId};
use crate::span::Span;
use crate::syntax::tree::{self, Cond, Entry, Head, Says};

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

/// Reads the lines under `entry`, which is `part` itself, a place of it, or its look of that number.
pub fn under(draft: &Draft, part: PartId, entry: &Entry, look: Option<LookId>) -> Under {
    let sink = &draft.sink;
    let (mut only_when, mut goodness) = (Option::<&Cond>::None, Option::<(&tree::Good, Span)>::default());
    let (mut how, mut care, mut private) = (Vec::new(), Vec::new(), false);
    if let Head::Place { only_when: Some(written) } = &entry.head {
        only_when = Some(written);
    }
    for clause in &entry.clauses {
        match &clause.says {
            Says::OnlyWhen(written) => only_when = Some(written),
            Says::Good(written) => goodness = Some((written, clause.span)),
            Says::How(text) => how.push(text.value.as_str()),
            Says::Care(text) => care.push(text.value.as_str()),
            Says::Private => private = true,
            _ => {}
        }
    }
    // A part as a whole has no place in hand; a place or a look of it has.
    let inside = draft.scope().inside(part, entry.kind != tree::Kind::Part && entry.kind != tree::Kind::Context);
    let read = only_when.and_then(|written| condition(&inside, &draft.facts, written));
    let good = look.zip(goodness).and_then(|(look, (written, span))| good(draft, &inside, look, written, span));
    let joined = |lines: &[&str]| (!lines.is_empty()).then(|| lines.join(" "));
    Under {
        only_when: read.filter(|read| simple(sink, read, only_when.map(|written| written.span))),
        good,
        how: joined(&how),
        care: joined(&care),
        private,
    }
}
