//! Lines and columns of a text, both counted from 1, columns in characters.

use purfle_lang::source::{LineColumn, LineIndex};
use serde::Serialize;

/// A place in a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Position {
    /// The line, from 1.
    pub line: usize,
    /// The column, from 1, in characters.
    pub column: usize,
}

/// A text and where its lines begin.
pub struct Lines<'a> {
    text: &'a str,
    index: LineIndex,
}

impl<'a> Lines<'a> {
    /// Finds the lines of a text.
    pub fn new(text: &'a str) -> Self {
        Self { text, index: LineIndex::new(text) }
    }

    /// The place of a byte. Past the end it is the end; within a character, its beginning.
    pub fn position(&self, byte: usize) -> Position {
        let LineColumn { line, column } = self.index.line_column(self.text, byte);
        Position { line, column }
    }
}
