//! What can be done at a place: mend what is told there, write an example that shows it, quiet it with a reason, change
//! what a parent says in the house's own rules.

mod alter;
mod mend;
mod quiet;
#[cfg(test)]
mod tests;
mod witness;

use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::span::{FileId, Span};

use super::edits::FileEdits;
use crate::analysis::Analysis;

pub use mend::mend_all;

/// What sort of thing is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ActionKind {
    /// A diagnostic is mended.
    Mend,
    /// All is mended that surely keeps what was meant.
    MendAll,
    /// An example is written.
    Example,
    /// A warning is quieted.
    Quiet,
    /// Something of a parent is altered.
    Alter,
}

/// Something that can be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Action {
    /// What it does, beginning with a verb.
    pub title: String,
    /// What sort of thing it is.
    pub kind: ActionKind,
    /// The diagnostic it is about, by its number in what was handed over.
    pub about: Option<usize>,
    /// Whether it is the first thing to do.
    pub preferred: bool,
    /// The changes.
    pub edits: Vec<FileEdits>,
}

/// What can be done in a range of a text. `told` is what is shown there; `houses` are the analyses of rulebooks that build
/// on this one.
pub fn actions(analysis: &Analysis, file: FileId, from: u32, to: u32, told: &[Diagnostic], houses: &[&Analysis]) -> Vec<Action> {
    let mut actions = Vec::new();
    let touches = |span: Span| span.file == file && span.start <= to && from <= span.end;
    for (at, diagnostic) in told.iter().enumerate().filter(|(_, diagnostic)| touches(diagnostic.span)) {
        actions.extend(mend::fixes(analysis, at, diagnostic));
        actions.extend(witness::example(analysis, at, diagnostic));
        actions.extend(quiet::quiet(analysis, at, diagnostic));
    }
    actions.extend(alter::alter(analysis, file, from, houses));
    // The same fix may be offered by two diagnostics.
    let mut known: Vec<Vec<FileEdits>> = Vec::new();
    actions.retain(|action| {
        let new = !known.contains(&action.edits);
        known.push(action.edits.clone());
        new
    });
    actions
}
