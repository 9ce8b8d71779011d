//! A stretch of text cut into tokens, for what need not read: whatever it is, it is cut somehow.

use std::ops::Range;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TokenKind {
    /// Letters, digits and hyphens, beginning with a letter; a percent sign as well, for it stands where a unit does.
    Word,
    /// Digits, with a point or the hyphens of a date among them.
    Number,
    /// A text in quotes, closed or running to the end of its line.
    Text,
    /// A comment, from its `#` to the end of the line.
    Comment,
    /// Anything else: one character.
    Sign,
}

/// A token and the bytes it stands at.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Token {
    /// What it is.
    pub kind: TokenKind,
    /// Where, in bytes of the whole text.
    pub range: Range<usize>,
}

impl Token {
    /// What is written.
    pub fn of<'t>(&self, text: &'t str) -> &'t str {
        text.get(self.range.clone()).unwrap_or_default()
    }
}

/// The tokens of `range` of a text; what lies outside of it, or inside a character, is left out.
pub fn tokens(text: &str, range: Range<usize>) -> Vec<Token> {
    let mut tokens = Vec::new();
    let (mut at, end) = (range.start, range.end.min(text.len()));
    while at < end {
        let Some(rest) = text.get(at..end) else { break };
        let Some(first) = rest.chars().next() else { break };
        if first.is_whitespace() || first == '\u{feff}' {
            at += first.len_utf8();
            continue;
        }
        let (kind, length) = match first {
            '"' => (TokenKind::Text, text_length(rest)),
            '#' => (TokenKind::Comment, rest.find(['\n', '\r']).unwrap_or(rest.len())),
            '%' => (TokenKind::Word, 1),
            first if first.is_alphabetic() => (TokenKind::Word, length_while(rest, |char| char.is_alphanumeric() || char == '-')),
            first if first.is_ascii_digit() => (TokenKind::Number, number_length(rest)),
            first => (TokenKind::Sign, first.len_utf8()),
        };
        tokens.push(Token { kind, range: at..at + length });
        at += length.max(1);
    }
    tokens
}

fn length_while(text: &str, keeps: impl Fn(char) -> bool) -> usize {
    text.find(|char| !keeps(char)).unwrap_or(text.len())
}

/// A text ends with its quote, or where its line does.
fn text_length(text: &str) -> usize {
    let mut escaped = false;
    for (at, char) in text.char_indices().skip(1) {
        match char {
            '\n' | '\r' => return at,
            _ if escaped => escaped = false,
            '\\' => escaped = true,
            '"' => return at + 1,
            _ => {}
        }
    }
    text.len()
}

/// Digits; a point or a hyphen only where a digit follows it.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
    let mut at = 0;
    while digit(at) || (matches!(bytes.get(at), Some(b'.' | b'-')) && digit(at + 1)) {
        at += 1;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_cut_into_words_numbers_texts_and_signs() {
        let text = "goods \"A \\\"b\\\"\" 5 to 12.5 % # why\ncrack.1.length 2026-03-02 \"open";
        let cut: Vec<(&str, TokenKind)> = tokens(text, 0..text.len()).iter().map(|token| (token.of(text), token.kind)).collect();
        use TokenKind::*;
        assert_eq!(
            cut,
            [
                ("goods", Word),
                ("\"A \\\"b\\\"\"", Text),
                ("5", Number),
                ("to", Word),
                ("12.5", Number),
                ("%", Word),
                ("# why", Comment),
                ("crack", Word),
                (".", Sign),
                ("1", Number),
                (".", Sign),
                ("length", Word),
                ("2026-03-02", Number),
                ("\"open", Text),
            ]
        );
    }
}
