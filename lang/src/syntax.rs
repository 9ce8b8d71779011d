//! From text to tree: items by the first word of their line, then one small parse for each line and clause.
//!
//! A line that cannot be read costs its own clause. Every fault of a text is reported at once, and an item whose own
//! line is broken still has its name, so that whoever refers to it stays quiet.

mod assemble;
mod explain;
mod grammar;
mod kept;
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
pub mod words;

pub use kept::Kept;
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
    read(file, text, |lower, raw, _| assemble::item(lower, raw))
}

/// Reads a rulebook as [`parse`] does, and items that stood in what was read last only where they have changed. `kept` is
/// what was kept of that, and afterwards of this.
pub fn parse_again(file: FileId, text: &str, kept: &mut Kept) -> Parsed {
    if let Some(parsed) = kept.same(file, text) {
        return parsed;
    }
    let mut before = std::mem::take(kept);
    let parsed = read(file, text, |lower, raw, end| {
        let at = raw.line.range.start;
        let known = before.take(file, &text[at..end], at).unwrap_or_else(|| {
            let told = lower.diagnostics.len();
            let item = assemble::item(lower, raw);
            kept::Known { item, diagnostics: lower.diagnostics.split_off(told) }
        });
        lower.diagnostics.extend(known.diagnostics.iter().cloned());
        let item = known.item.clone();
        kept.add(file, &text[at..end], at, known);
        item
    });
    kept.keep(text, &parsed);
    parsed
}

/// Reads a rulebook, each item by `item`, which is told where the next one begins.
fn read(
    file: FileId,
    text: &str,
    mut item: impl FnMut(&mut lower::Lower<'_>, split::RawItem, usize) -> Option<tree::Item>,
) -> Parsed {
    let split = split::split(file, text);
    let plain = scan::without(text, split.comments.iter().map(|comment| comment.span.range()));
    let mut lower = lower::Lower::new(file, text, &plain);
    lower.diagnostics = split.diagnostics;
    let mut items = Vec::with_capacity(split.items.len());
    let mut rest = split.items.into_iter().peekable();
    while let Some(raw) = rest.next() {
        let end = rest.peek().map_or(text.len(), |next| next.line.range.start);
        items.extend(item(&mut lower, raw, end));
    }
    let mut diagnostics = lower.diagnostics;
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span.start, diagnostic.span.end));
    quotes::together(&mut diagnostics);
    let lost = diagnostics.iter().any(Diagnostic::is_error);
    Parsed { tree: Tree { file, items, comments: split.comments, lost }, diagnostics }
}
