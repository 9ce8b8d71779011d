//! One rulebook out of a chain of them: `builds on`, `alter` and `without`, laid into one list of entries.

use rustc_hash::FxHashMap;

use crate::book::{Origin, Parent};
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::syntax::tree::{Entry, Text};

/// A chain of rulebooks laid into one.
#[derive(Debug, Clone, Default)]
pub struct Merged {
    /// The rulebook's own head: `edition`, `keeper` and `builds on` are its own; `money`, `language` and
    /// `least charge` are the nearest ancestor's where it says nothing.
    pub rulebook: Option<Entry>,
    /// All notices, the furthest ancestor's first.
    pub notices: Vec<Text>,
    /// The rulebooks it is built on, nearest first.
    pub parents: Vec<Parent>,
    /// Every entry but rulebook heads and examples: the furthest ancestor's first, each list in the order written.
    /// At most one of each ladder; names are unique within a kind (`part` and `context` share theirs).
    pub entries: Vec<Entry>,
    /// The rulebook's own examples.
    pub examples: Vec<Entry>,
    /// The ancestors' examples, the furthest ancestor's first.
    pub inherited_examples: Vec<Entry>,
    /// What is wrong with the chain itself.
    pub diagnostics: Vec<Diagnostic>,
    rulebook_names: Vec<String>,
    origins: FxHashMap<Span, Origin>,
}

impl Merged {
    /// Where an entry (an item, or a step, hand, tier, place, look or way in one) was first written, and the changes
    /// made to it since.
    pub fn origin(&self, entry: &Entry) -> Origin {
        let span = entry.name_span();
        self.origins.get(&span).cloned().unwrap_or_else(|| Origin {
            span,
            rulebook: self.rulebook_names.get(usize::from(span.file.0)).cloned().unwrap_or_default(),
            changes: Vec::new(),
        })
    }
}
