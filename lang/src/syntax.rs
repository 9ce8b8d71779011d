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
use lower::Lower;
use split::RawItem;
use tree::{Item, Tree};

use crate::beside::beside;
use crate::diagnostic::Diagnostic;
use crate::span::FileId;

/// The bytes from which on a rulebook is worth a second thread.
const LONG: usize = 1 << 14;

/// What a text says, and what is wrong with how it says it.
#[derive(Debug, Clone, Default)]
pub struct Parsed {
    /// What could be read.
    pub tree: Tree,
    /// All faults, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

/// Reads a rulebook. It never fails: what cannot be read is reported, and the rest is there. A long one is read by two
/// threads.
pub fn parse(file: FileId, text: &str) -> Parsed {
    whole(file, text, |plain, raw, _| {
        let read = |from: usize, step: usize| {
            let mut lower = Lower::new(file, text, plain);
            let raw = raw.iter().skip(from).step_by(step).cloned();
            let items: Vec<Option<Item>> = raw.map(|raw| assemble::item(&mut lower, raw)).collect();
            (items, lower.diagnostics)
        };
        if text.len() < LONG {
            let (items, told) = read(0, 1);
            return (items.into_iter().flatten().collect(), told);
        }
        // Every other item each: items of one kind stand together, and some kinds are more work than others.
        let ((odd, told), (even, mut all_told)) = beside(|| read(1, 2), || read(0, 2));
        all_told.extend(told);
        let mut odd = odd.into_iter();
        let in_turn = even.into_iter().flat_map(|item| [item, odd.next().flatten()]);
        (in_turn.flatten().collect(), all_told)
    })
}

/// Reads a rulebook as [`parse`] does, and items that stood in what was read last only where they have changed. `kept` is
/// what was kept of that, and afterwards of this.
pub fn parse_again(file: FileId, text: &str, kept: &mut Kept) -> Parsed {
    if let Some(parsed) = kept.same(file, text) {
        return parsed;
    }
    let mut before = std::mem::take(kept);
    let parsed = whole(file, text, |plain, raw, ends| {
        let mut lower = Lower::new(file, text, plain);
        let mut items = Vec::with_capacity(raw.len());
        for (raw, end) in raw.into_iter().zip(ends) {
            let at = raw.line.range.start;
            let known = before.take(file, &text[at..end], at).unwrap_or_else(|| {
                let told = lower.diagnostics.len();
                let item = assemble::item(&mut lower, raw);
                kept::Known { item, diagnostics: lower.diagnostics.split_off(told) }
            });
            lower.diagnostics.extend(known.diagnostics.iter().cloned());
            items.extend(known.item.clone());
            kept.add(file, &text[at..end], at, known);
        }
        (items, lower.diagnostics)
    });
    kept.keep(text, &parsed);
    parsed
}

/// Splits a rulebook and has its items read by `read`, which gets the text without comments, the items and where each ends.
fn whole(file: FileId, text: &str, read: impl FnOnce(&str, Vec<RawItem>, Vec<usize>) -> (Vec<Item>, Vec<Diagnostic>)) -> Parsed {
    let split = split::split(file, text);
    let plain = scan::without(text, split.comments.iter().map(|comment| comment.span.range()));
    let starts = split.items.iter().map(|raw| raw.line.range.start);
    let ends = starts.skip(1).chain([text.len()]).collect();
    let (items, told) = read(&plain, split.items, ends);
    let mut diagnostics = split.diagnostics;
    diagnostics.extend(told);
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span.start, diagnostic.span.end));
    quotes::together(&mut diagnostics);
    let lost = diagnostics.iter().any(Diagnostic::is_error);
    Parsed { tree: Tree { file, items, comments: split.comments, lost }, diagnostics }
}
