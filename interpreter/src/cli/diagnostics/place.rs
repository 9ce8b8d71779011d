//! Where a span stands: its file, and the lines and columns of its ends.

use purfle_lang::span::Span;

use super::position::{Lines, Position};
use crate::load::Loaded;

/// A stretch of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place<'a> {
    /// The file, as it was found.
    pub file: &'a str,
    /// Its beginning.
    pub from: Position,
    /// One character past its end.
    pub to: Position,
}

/// The texts of a rulebook and its parents, their lines counted.
pub struct Places<'a> {
    texts: Vec<(&'a str, Lines<'a>)>,
}

impl<'a> Places<'a> {
    /// Counts the lines of all texts.
    pub fn new(loaded: &'a Loaded) -> Self {
        Self { texts: loaded.sources.iter().map(|source| (source.name.as_str(), Lines::new(&source.text))).collect() }
    }

    /// Where a span stands; none for a span of no text.
    pub fn of(&self, span: Span) -> Option<Place<'a>> {
        let (file, lines) = self.texts.get(usize::from(span.file.0))?;
        Some(Place { file, from: lines.position(span.start as usize), to: lines.position(span.end as usize) })
    }
}
