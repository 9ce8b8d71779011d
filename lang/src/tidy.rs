//! One canonical layout of a rulebook: the same words in the same order, and only the spaces between them chosen anew.
//!
//! What a rulebook says, its comments, the order of everything in it and where its author broke a line stay as they
//! are. An item that cannot be read stays byte for byte as it is.

mod layout;
mod lined_up;
mod row;
mod shape;
#[cfg(test)]
mod tests;
mod token;
mod unit;

use std::collections::BTreeSet;
use std::ops::Range;

use crate::diagnostic::Edit;
use crate::span::{FileId, Span};
use crate::syntax::tree::Tree;
use crate::syntax::{Parsed, parse};
use layout::Piece;
use unit::Units;

/// A text in the canonical layout.
pub fn tidy(text: &str) -> String {
    Tidied::new(text).text()
}

/// A text and its canonical layout, piece by piece.
#[derive(Debug, Clone)]
pub struct Tidied {
    pieces: Vec<Piece>,
    /// The pieces that differ from the text.
    changed: Vec<bool>,
    /// Where the items begin that stay as they are.
    left: Vec<usize>,
}

/// How often a layout is tried with one more item left as it is.
const TRIES: usize = 8;

impl Tidied {
    /// Lays out a text. The result says what the text says, item by item, and has its comments; what would not is left
    /// as it is.
    pub fn new(text: &str) -> Self {
        let before = parse(FileId(0), text);
        let units = Units::new(text);
        let mut kept = unread(&units, &before);
        for _ in 0..TRIES {
            let pieces = layout::pieces(&units, &kept);
            let after: String = pieces.iter().map(|piece| piece.text.as_str()).collect();
            match differing(&units, (text, &before.tree), (&after, &parse(FileId(0), &after).tree)) {
                None => return Self::of(text, pieces, left(&units, &kept)),
                Some(item) if kept.insert(item) => {}
                Some(_) => break,
            }
        }
        let whole = Piece { range: 0..text.len(), text: text.to_owned() };
        Self::of(text, vec![whole], left(&units, &kept))
    }

    fn of(text: &str, pieces: Vec<Piece>, left: Vec<usize>) -> Self {
        let changed = pieces.iter().map(|piece| piece.text != text[piece.range.clone()]).collect();
        Self { pieces, changed, left }
    }

    /// The whole text in the canonical layout.
    pub fn text(&self) -> String {
        self.pieces.iter().map(|piece| piece.text.as_str()).collect()
    }

    /// Whether the text was in the canonical layout already.
    pub fn was_tidy(&self) -> bool {
        !self.changed.contains(&true)
    }

    /// The changes to the items that bytes `within` touch, one an item at the most, in order. The whole text's changes
    /// make it [`Tidied::text`].
    pub fn edits(&self, within: Range<usize>) -> Vec<Edit> {
        let touched =
            |range: &Range<usize>| range.contains(&within.start) || (range.start < within.end && within.start < range.end);
        self.pieces
            .iter()
            .zip(&self.changed)
            .filter(|(piece, changed)| **changed && touched(&piece.range))
            .map(|(piece, _)| Edit { span: Span::new(FileId(0), piece.range.start, piece.range.end), text: piece.text.clone() })
            .collect()
    }

    /// The bytes at which those items begin that stay as they are: all that cannot be read, and no other unless it
    /// would say something else. Nought stands for lines before the first item.
    pub fn left(&self) -> &[usize] {
        &self.left
    }
}

/// The items of which some line cannot be read.
fn unread(units: &Units<'_>, parsed: &Parsed) -> BTreeSet<usize> {
    let errors = parsed.diagnostics.iter().filter(|diagnostic| diagnostic.is_error());
    let mut unread: BTreeSet<usize> = errors.filter_map(|error| units.item_at(error.span.range().start)).collect();
    unread.extend((0..units.items.len()).filter(|&at| units.items[at].kind.is_none()));
    unread
}

fn left(units: &Units<'_>, kept: &BTreeSet<usize>) -> Vec<usize> {
    let first = units.units.first().map_or(&units.after, |unit| &unit.before);
    let before = units.lines[first.clone()].iter().any(|line| !line.written.is_empty());
    before.then_some(0).into_iter().chain(kept.iter().map(|&at| units.items[at].line.range.start)).collect()
}

/// The first item that does not say the same before and after. The first one stands for comments that were lost.
fn differing(units: &Units<'_>, before: (&str, &Tree), after: (&str, &Tree)) -> Option<usize> {
    let (one, other) = (&before.1.items, &after.1.items);
    let known = (0..units.items.len()).filter(|&at| units.items[at].kind.is_some());
    let differs = known.enumerate().find(|(at, _)| match (one.get(*at), other.get(*at)) {
        (Some(one), Some(other)) => !one.says_as(other),
        _ => true,
    });
    let comments = |(text, tree): (&str, &Tree)| -> Vec<String> {
        tree.comments.iter().map(|comment| text[comment.span.range()].trim_end().to_owned()).collect()
    };
    match differs {
        Some((_, item)) => Some(item),
        None if one.len() != other.len() || comments(before) != comments(after) => Some(0),
        None => None,
    }
}
