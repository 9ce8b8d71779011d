//! From the merged tree to the book: every name looked up, every unit converted, every error at once.

mod altered;
pub(crate) mod bounds;
#[cfg(test)]
mod by_hand;
mod caused;
mod cheaper;
mod choices;
pub mod circles;
mod condition;
mod costs;
mod define;
mod draft;
mod dropped;
pub mod example;
mod expression;
mod finding;
mod goodness;
mod head;
mod ladder_order;
mod ladders;
mod look;
mod money;
pub mod names;
pub mod noted;
mod only_when;
mod operand;
mod part;
mod places;
mod quantity;
mod read;
mod reckon;
mod rest;
mod rows;
mod scope;
mod single;
mod table;
#[cfg(test)]
mod tests;
mod typed;
mod unused;
mod uses;
mod warnings;
mod ways;
mod work;

pub use ladder_order::MOST_RUNGS;

use crate::beside::beside;
use crate::book::{Book, LookId, Origin};
use crate::chain::{Merged, merge};
use crate::diagnostic::Diagnostic;
use crate::seal::seals;
use crate::span::Span;
use crate::syntax::tree::Tree;
use names::Names;
use noted::{Note, Target};
use rustc_hash::FxHashSet;

/// A book, if there is no error, and everything there is to say.
#[derive(Debug)]
pub struct Resolved {
    /// The book; none where anything stops the rulebook from running.
    pub book: Option<Book>,
    /// Errors and warnings, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
    /// What is known all the same; none where there is not even a money to reckon in.
    pub known: Option<Box<Known>>,
}

/// What is known of a rulebook, errors or none.
#[derive(Debug)]
pub struct Known {
    /// Every name.
    pub names: Names,
    /// The chain laid into one.
    pub merged: Merged,
    /// The book as far as it could be read, where there are errors: nothing may be worked out by it.
    pub partial: Option<Book>,
    /// Looks whose kind could not be read; the book has a placeholder there.
    pub unread: FxHashSet<LookId>,
}

impl Resolved {
    /// The book, or what could be read of it: to be shown, not to be judged by.
    pub fn shown(&self) -> Option<&Book> {
        self.book.as_ref().or_else(|| self.known.as_ref()?.partial.as_ref())
    }
}

impl Known {
    /// What each name in the texts stands for, in the order of the texts, each name once. It is put in order anew each
    /// time.
    pub fn notes(&self) -> Vec<Note> {
        self.names.notes.sorted(&self.merged.alike)
    }
}

/// Resolves a rulebook together with the ones it is built on: `chain[0]` is the rulebook, `chain[1]` its parent, and so
/// on. What the parser found wrong is the caller's to count as well.
pub fn resolve(chain: &[Tree]) -> Resolved {
    let (seals, mut resolved) = beside(|| seals(chain), || unsealed(chain));
    if let Some(book) = &mut resolved.book {
        let mut seals = seals.into_iter();
        book.seal = seals.next().unwrap_or_default();
        book.parents.iter_mut().zip(seals).for_each(|(parent, seal)| parent.seal = seal);
    }
    resolved
}

/// The same, and the book and its parents do not know their seals yet.
fn unsealed(chain: &[Tree]) -> Resolved {
    let mut merged = merge(chain);
    let Some(mut draft) = head::draft(&merged) else {
        return Resolved { book: None, diagnostics: merged.diagnostics, known: None };
    };
    rulebooks(&draft, chain);
    let read = read::read(&mut draft, &merged);
    draft.sink.extend(std::mem::take(&mut merged.diagnostics));
    draft.sink.extend(circles::circles(&draft.book, &circles::Written::of(&merged, &draft.names)));
    check(&draft, &read);
    let mut less_skilled = Vec::new();
    if draft.book.findings.iter().any(altered::changes_hands)
        && let Some(parent) = chain.get(1..).and_then(|parents| resolve(parents).book)
    {
        less_skilled = altered::check(&draft.book, &parent);
    }
    draft.sink.extend(warnings::check(&draft.book, &|finding| !draft.troubled.findings.contains(&finding), &less_skilled));
    draft.sink.extend(less_skilled);
    let sound = draft.sink.errors() == 0;
    // What could not be read may be what uses a thing.
    if let Some(own) = chain.first().filter(|_| sound && chain.iter().all(|tree| !tree.lost)) {
        draft.sink.extend(unused::check(&draft.book, &merged, own));
    }
    let draft::Draft { book, sink, names, troubled, .. } = draft;
    let mut diagnostics = caused::once(dropped::gathered(sink.into_inner(), &names.dropped));
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
    let (book, partial) = if sound { (Some(book), None) } else { (None, Some(book)) };
    let known = Known { names, merged, partial, unread: troubled.looks };
    Resolved { book, diagnostics, known: Some(Box::new(known)) }
}

/// Notes the names of the rulebooks, and the one that each builds on.
fn rulebooks(draft: &draft::Draft, chain: &[Tree]) {
    let notes = &draft.names.notes;
    for tree in chain {
        if let Some(name) = tree.rulebook().and_then(|head| head.name.as_ref()) {
            notes.writes(name.span, Target::Rulebook(tree.file));
        }
    }
    for pair in chain.windows(2) {
        if let [child, parent] = pair
            && let Some(builds_on) = child.builds_on()
        {
            notes.uses(builds_on.name.span, Target::Rulebook(parent.file));
        }
    }
}

fn spans<T>(items: &[T], origin: impl Fn(&T) -> &Origin) -> Vec<Span> {
    items.iter().map(|item| origin(item).span).collect()
}

/// What can only be seen once everything is read.
fn check(draft: &draft::Draft, read: &read::Read) {
    let (book, sink, troubled) = (&draft.book, &draft.sink, &draft.troubled);
    sink.extend(ladder_order::length("urgency", &spans(&book.steps, |step| &step.origin)));
    sink.extend(ladder_order::length("hands", &spans(&book.hands, |hand| &hand.origin)));
    sink.extend(ladder_order::length("tiers", &spans(&book.tiers, |tier| &tier.origin)));
    if read.ladders_sound {
        sink.extend(ladder_order::steps(&book.steps));
        sink.extend(ladder_order::tiers(&book.tiers, book.money));
    }
    sink.extend(rows::check(book, &read.rows, read.applies_known));
    sink.extend(cheaper::check(book, &|work| !troubled.works.contains(&work)));
}
