//! Lines and columns of a text, both counted from 1, columns in characters.

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
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    /// Finds the lines of a text.
    pub fn new(text: &'a str) -> Self {
        let starts = std::iter::once(0).chain(memchr::memchr_iter(b'\n', text.as_bytes()).map(|at| at + 1)).collect();
        Self { text, starts }
    }

    /// The place of a byte. Past the end it is the end; within a character, its beginning.
    pub fn position(&self, byte: usize) -> Position {
        let byte = character_start(self.text, byte);
        let line = self.starts.partition_point(|&start| start <= byte);
        let start = self.starts[line - 1];
        let skipped = if start == 0 && self.text.starts_with('\u{feff}') { '\u{feff}'.len_utf8().min(byte) } else { 0 };
        Position { line, column: self.text[start + skipped..byte].chars().count() + 1 }
    }
}

/// Where the character begins that a byte belongs to; the end of the text for bytes past it.
pub fn character_start(text: &str, byte: usize) -> usize {
    let mut at = byte.min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::{Lines, Position};

    #[test]
    fn columns_count_characters() {
        let lines = Lines::new("ab\nHöhe x\n");
        for (byte, line, column) in [(0, 1, 1), (2, 1, 3), (3, 2, 1), (5, 2, 2), (6, 2, 3), (10, 2, 7), (11, 3, 1), (99, 3, 1)] {
            assert_eq!(lines.position(byte), Position { line, column }, "byte {byte}");
        }
    }
}
