//! The book while it is being read: what is known so far, and which items were read without an error.

use rustc_hash::FxHashSet;

use super::names::{Names, Sink};
use super::operand::Facts;
use super::scope::Scope;
use crate::book::{Book, FindingId, HandId, LookId, PartId, TableId, WorkId};
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use crate::unit::Currency;

/// A book being read. Every item has its number from the start, so that a name is known even where its item has errors.
pub struct Draft {
    /// Every name.
    pub names: Names,
    /// The items read so far.
    pub book: Book,
    /// What is known of tables and reckonings.
    pub facts: Facts,
    /// Every diagnostic so far.
    pub sink: Sink,
    /// The rulebook's money; none where it names none that exists.
    pub money: Option<Currency>,
    /// Items with errors of their own, about which nothing more is said.
    pub troubled: Troubled,
    /// The rulebook's name, where what it lacks as a whole is told.
    pub rulebook: Span,
}

/// Items with errors of their own.
#[derive(Debug, Default)]
pub struct Troubled {
    /// Looks whose kind is not known.
    pub looks: FxHashSet<LookId>,
    /// Hands.
    pub hands: FxHashSet<HandId>,
    /// Tables.
    pub tables: FxHashSet<TableId>,
    /// Bench steps.
    pub works: FxHashSet<WorkId>,
    /// Findings.
    pub findings: FxHashSet<FindingId>,
}

impl Draft {
    /// A scope with no part in hand.
    pub fn scope(&self) -> Scope<'_> {
        Scope::new(&self.names, &self.book, &self.sink, self.money, &self.troubled.looks)
    }

    /// A scope in which a place of every part that repeats is taken to be in hand: whoever uses what is read there
    /// must have one.
    pub fn scope_of_all_places(&self) -> Scope<'_> {
        let mut scope = self.scope();
        scope.in_hand = (0..self.names.inside.len()).map(PartId::from_index).filter(|&part| scope.repeats_at_all(part)).collect();
        scope
    }
}

/// An item that lacks a clause it must have.
pub fn missing_clause(item: &str, at: Span, word: &str, help: impl Into<String>) -> Diagnostic {
    Diagnostic::error("clause-missing", at, format!("`{item}` has no `{word}`.")).label(format!("no `{word}`")).help(help)
}
