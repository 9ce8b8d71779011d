//! Lines of a text: from a byte to line and column and back. LF, CR LF and a lone CR each end a line.

/// Where the lines of one text start.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LineIndex {
    starts: Vec<usize>,
}

/// A place in a text as people count: line and column from 1, the column in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct LineColumn {
    /// From 1.
    pub line: usize,
    /// From 1, in characters (Unicode scalar values).
    pub column: usize,
}

impl LineIndex {
    /// Finds the lines of `text`.
    pub fn new(text: &str) -> Self {
        let bytes = text.as_bytes();
        let ends = |at: usize| bytes[at] == b'\n' || (bytes[at] == b'\r' && bytes.get(at + 1) != Some(&b'\n'));
        let starts = std::iter::once(0).chain((0..bytes.len()).filter(|&at| ends(at)).map(|at| at + 1)).collect();
        Self { starts }
    }

    /// How many lines there are; a text that ends with a line break has an empty last line.
    pub fn lines(&self) -> usize {
        self.starts.len()
    }

    /// The line and column of a byte of the `text` this was made from. A byte beyond the end is the end; a byte
    /// inside a character is that character.
    pub fn line_column(&self, text: &str, byte: usize) -> LineColumn {
        let mut byte = byte.min(text.len());
        while !text.is_char_boundary(byte) {
            byte -= 1;
        }
        let line = self.starts.partition_point(|&start| start <= byte);
        let start = self.starts[line - 1];
        LineColumn { line, column: text[start..byte].chars().count() + 1 }
    }

    /// The byte of a line and column of the `text` this was made from; a column beyond the line's end is its end.
    /// None if there is no such line.
    pub fn byte(&self, text: &str, place: LineColumn) -> Option<usize> {
        let line = self.line(text, place.line)?;
        let written = &text[line.clone()];
        let within = written.char_indices().nth(place.column.checked_sub(1)?).map_or(written.len(), |(at, _)| at);
        Some(line.start + within)
    }

    /// The bytes of a line, counted from 1, without its line break.
    pub fn line(&self, text: &str, line: usize) -> Option<std::ops::Range<usize>> {
        let start = *self.starts.get(line.checked_sub(1)?)?;
        let end = self.starts.get(line).copied().unwrap_or(text.len());
        let written = text.get(start..end)?;
        Some(start..start + written.trim_end_matches(['\r', '\n']).len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_three_line_breaks_end_a_line_and_columns_count_characters() {
        let text = "a\r\nbé\rcd\n";
        let index = LineIndex::new(text);
        assert_eq!(index.lines(), 4);
        let place = |byte| (index.line_column(text, byte).line, index.line_column(text, byte).column);
        assert_eq!(place(0), (1, 1));
        assert_eq!(place(3), (2, 1));
        assert_eq!(place(5), (2, 2), "inside a character is that character");
        assert_eq!(place(6), (2, 3));
        assert_eq!(place(7), (3, 1));
        assert_eq!(place(99), (4, 1));
        for byte in [0, 1, 3, 4, 6, 7, 8, 9] {
            assert_eq!(index.byte(text, index.line_column(text, byte)), Some(byte));
        }
        assert_eq!(index.line(text, 2), Some(3..6));
    }
}
