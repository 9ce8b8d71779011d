//! What was read of a text, item by item, so that after a change only what has changed is read again.
//!
//! What an item says hangs on its own text alone, from its first word to where the next item begins. An item whose text
//! stands in what was kept is taken from there, and moved along with its text.

use rustc_hash::FxHashMap;

use super::Parsed;
use super::tree::Item;
use crate::diagnostic::Diagnostic;
use crate::span::{FileId, Span};

/// The text that was read last and its items.
#[derive(Debug, Clone, Default)]
pub struct Kept {
    /// The whole text, and what it says.
    last: Option<(String, Parsed)>,
    /// By the item's text. Items of the same text are all kept, for each has places of its own.
    items: FxHashMap<Box<str>, Vec<Place>>,
}

/// An item and where its text stood.
#[derive(Debug, Clone)]
struct Place {
    file: FileId,
    /// The first byte of its text.
    at: usize,
    known: Known,
}

/// What was read of an item's text.
#[derive(Debug, Clone)]
pub(super) struct Known {
    /// The item; none where its kind is not known.
    pub item: Option<Item>,
    /// What there was to tell of it.
    pub diagnostics: Vec<Diagnostic>,
}

impl Kept {
    /// What the text says, if it is the one that was read last.
    pub(super) fn same(&self, file: FileId, text: &str) -> Option<Parsed> {
        let (last, parsed) = self.last.as_ref()?;
        (parsed.tree.file == file && last == text).then(|| parsed.clone())
    }

    /// Keeps the whole text and what it says.
    pub(super) fn keep(&mut self, text: &str, parsed: &Parsed) {
        self.last = Some((text.to_owned(), parsed.clone()));
    }

    /// Takes out what was read of a text that now stands at `at`.
    pub(super) fn take(&mut self, file: FileId, text: &str, at: usize) -> Option<Known> {
        let places = self.items.get_mut(text)?;
        // One that stands where it stood need not be moved.
        let index = places.iter().position(|place| place.at == at && place.file == file).or(places.len().checked_sub(1))?;
        let mut place = places.swap_remove(index);
        let by = i64::try_from(at).ok()? - i64::try_from(place.at).ok()?;
        if by != 0 || place.file != file {
            place.known.each_place(&mut |span| moved(span, file, by));
        }
        Some(place.known)
    }

    /// Keeps what was read of a text that stands at `at`.
    pub(super) fn add(&mut self, file: FileId, text: &str, at: usize, known: Known) {
        let place = Place { file, at, known };
        match self.items.get_mut(text) {
            Some(places) => places.push(place),
            None => {
                self.items.insert(text.into(), vec![place]);
            }
        }
    }
}

impl Known {
    fn each_place(&mut self, each: &mut dyn FnMut(&mut Span)) {
        if let Some(item) = &mut self.item {
            item.each_place(each);
        }
        self.diagnostics.iter_mut().for_each(|diagnostic| diagnostic.each_place(each));
    }
}

/// Moves a place by some bytes, into another text where that is asked.
fn moved(span: &mut Span, file: FileId, by: i64) {
    let shifted = |byte: u32| u32::try_from(i64::from(byte) + by).unwrap_or(byte);
    *span = Span { file, start: shifted(span.start), end: shifted(span.end) };
}
