//! A text with its lines, as the client counts them: from bytes to positions and back.

use std::ops;

use purfle_lang::source::LineIndex;
use tower_lsp::lsp_types::{Position, Range};

use super::encoding::Encoding;

/// A text, its lines, and the unit of its columns. Nothing here fails: what lies outside is moved to the nearest place.
#[derive(Debug, Clone, Copy)]
pub struct Page<'a> {
    /// The text.
    pub text: &'a str,
    /// Its lines.
    pub lines: &'a LineIndex,
    /// The unit of a column.
    pub encoding: Encoding,
}

impl Page<'_> {
    /// Where a byte is. A byte beyond the end is the end; one inside a character or a line break is before it.
    pub fn position(&self, byte: usize) -> Position {
        let line = self.lines.line_column(self.text, byte).line;
        let written = self.lines.line(self.text, line).unwrap_or_default();
        let mut end = byte.clamp(written.start, written.end);
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        let before = self.text.get(written.start..end).unwrap_or_default();
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        Position { line: number(line - 1), character: number(self.encoding.units(before)) }
    }

    /// Where a range of bytes is.
    pub fn range(&self, bytes: ops::Range<usize>) -> Range {
        Range { start: self.position(bytes.start), end: self.position(bytes.end) }
    }

    /// The byte at a position. A column beyond the line's end is its end, a line beyond the last is the end of the text,
    /// and a column inside a character is the character's start.
    pub fn byte(&self, position: Position) -> usize {
        let Some(line) = self.lines.line(self.text, (position.line as usize).saturating_add(1)) else {
            return self.text.len();
        };
        let written = self.text.get(line.clone()).unwrap_or_default();
        line.start + self.encoding.byte(written, position.character as usize)
    }

    /// The bytes of a range; one that ends before it starts is taken the other way round.
    pub fn bytes(&self, range: Range) -> ops::Range<usize> {
        let (one, other) = (self.byte(range.start), self.byte(range.end));
        one.min(other)..one.max(other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn with<T>(text: &str, encoding: Encoding, look: impl FnOnce(Page) -> T) -> T {
        look(Page { text, lines: &LineIndex::new(text), encoding })
    }

    /// The position of a byte, as line and column from 0.
    fn at(text: &str, encoding: Encoding, byte: usize) -> (u32, u32) {
        let position = with(text, encoding, |page| page.position(byte));
        (position.line, position.character)
    }

    fn byte(text: &str, encoding: Encoding, line: u32, character: u32) -> usize {
        with(text, encoding, |page| page.byte(Position { line, character }))
    }

    use Encoding::{Utf8, Utf16};

    #[test]
    fn an_empty_text_has_one_place() {
        for encoding in [Utf8, Utf16] {
            assert_eq!(at("", encoding, 0), (0, 0));
            assert_eq!(at("", encoding, 9), (0, 0));
            assert_eq!(byte("", encoding, 0, 0), 0);
            assert_eq!(byte("", encoding, 3, 7), 0);
        }
    }

    #[test]
    fn an_empty_last_line_is_a_line() {
        assert_eq!(at("ab\n", Utf16, 3), (1, 0));
        assert_eq!(byte("ab\n", Utf16, 1, 0), 3);
        assert_eq!(byte("ab\n", Utf16, 1, 5), 3);
    }

    #[test]
    fn characters_of_two_three_and_four_bytes_count_as_the_client_counts_them() {
        // é is two bytes and one unit, € three bytes and one unit, 𝄞 four bytes and two units.
        let text = "é€𝄞x";
        let bytes = [0, 2, 5, 9, 10];
        for (byte_at, (in_bytes, in_units)) in bytes.into_iter().zip([(0, 0), (2, 1), (5, 2), (9, 4), (10, 5)]) {
            assert_eq!(at(text, Utf8, byte_at), (0, in_bytes));
            assert_eq!(at(text, Utf16, byte_at), (0, in_units));
            assert_eq!(byte(text, Utf8, 0, in_bytes), byte_at);
            assert_eq!(byte(text, Utf16, 0, in_units), byte_at);
        }
    }

    #[test]
    fn no_pair_and_no_character_is_split() {
        assert_eq!(byte("𝄞x", Utf16, 0, 1), 0, "between the two units of a pair");
        for column in 1..4 {
            assert_eq!(byte("𝄞x", Utf8, 0, column), 0);
        }
        assert_eq!(at("𝄞x", Utf16, 2), (0, 0), "inside a character");
    }

    #[test]
    fn beyond_the_end_of_a_line_is_its_end_and_beyond_the_end_of_the_text_too() {
        assert_eq!(byte("ab\ncd", Utf16, 0, 99), 2);
        assert_eq!(byte("ab\ncd", Utf16, 1, 99), 5);
        assert_eq!(byte("ab\ncd", Utf16, 99, 0), 5);
        assert_eq!(byte("ab\ncd", Utf16, u32::MAX, u32::MAX), 5);
        assert_eq!(at("ab\ncd", Utf16, 99), (1, 2));
    }

    #[test]
    fn all_three_line_breaks_end_a_line_and_belong_to_no_column() {
        let text = "a\r\nb\rc\nd";
        assert_eq!(byte(text, Utf16, 0, 9), 1);
        assert_eq!(byte(text, Utf16, 1, 9), 4);
        assert_eq!(byte(text, Utf16, 2, 9), 6);
        assert_eq!(byte(text, Utf16, 3, 9), 8);
        assert_eq!(at(text, Utf16, 2), (0, 1), "between the two halves of a line break");
        assert_eq!(at(text, Utf16, 3), (1, 0));
        assert_eq!(at(text, Utf16, 5), (2, 0));
        assert_eq!(at(text, Utf16, 7), (3, 0));
    }

    #[test]
    fn a_reversed_range_is_turned_round() {
        let range = Range { start: Position::new(1, 1), end: Position::new(0, 1) };
        assert_eq!(with("ab\ncd", Utf16, |page| page.bytes(range)), 1..4);
    }

    #[test]
    fn every_place_is_found_again() {
        let text = "é€𝄞x\r\n\r\r\n𝄞\n\u{301}e\nend";
        for encoding in [Utf8, Utf16] {
            for (at, _) in text.char_indices().chain([(text.len(), 'x')]) {
                let inside = at > 0 && text.as_bytes()[at - 1] == b'\r' && text.as_bytes().get(at) == Some(&b'\n');
                if !inside {
                    assert_eq!(with(text, encoding, |page| page.byte(page.position(at))), at, "{encoding:?} {at}");
                }
            }
        }
    }
}
