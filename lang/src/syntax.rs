//! From text to tree: items by the first word of their line, then one small parse for each line and clause.
//!
//! A line that cannot be read costs its own clause. Every fault of a text is reported at once, and an item whose own
//! line is broken still has its name, so that whoever refers to it stays quiet.

mod assemble;
mod explain;
mod grammar;
mod lower;
mod meant;
mod quotes;
mod record;
pub(crate) mod scan;
pub(crate) mod shape;
pub(crate) mod split;
#[cfg(test)]
mod tests;
pub mod tree;

use tree::Tree;

use crate::diagnostic::Diagnostic;
use crate::span::FileId;

/// What a text says, and what is wrong with how it says it.
#[derive(Debug, Clone, Default)]
pub struct Parsed {
    /// What could be read.
    pub tree: Tree,
    /// All faults, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

/// Reads a rulebook. It never fails: what cannot be read is reported, and the rest is there.
pub fn parse(file: FileId, text: &str) -> Parsed {
    let split = split::split(file, text);
    let plain = scan::without(text, split.comments.iter().map(|comment| comment.span.range()));
    let mut lower = lower::Lower::new(file, text, &plain);
    lower.diagnostics = split.diagnostics;
    let items = split.items.into_iter().filter_map(|raw| assemble::item(&mut lower, raw)).collect();
    let mut diagnostics = lower.diagnostics;
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span.start, diagnostic.span.end));
    quotes::together(&mut diagnostics);
    let lost = diagnostics.iter().any(Diagnostic::is_error);
    Parsed { tree: Tree { file, items, comments: split.comments, lost }, diagnostics }
}
