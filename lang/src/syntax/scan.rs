//! A line at a time: where it starts and ends, its first word, its comment, and a quote that is never closed.

use std::borrow::Cow;
use std::ops::Range;

/// One line of a text.
#[derive(Debug, Clone)]
pub(crate) struct Line {
    /// What is written on it, without indentation, comment, trailing spaces and line break. Empty for a blank line.
    pub written: Range<usize>,
    /// Whether it is indented.
    pub indented: bool,
    /// The first word: the longest run of letters, digits and hyphens. Empty where the line begins otherwise.
    pub first: Range<usize>,
    /// Its comment, from the `#`.
    pub comment: Option<Range<usize>>,
    /// The quote that opens a text the line does not close.
    pub unclosed: Option<usize>,
    /// The bytes of the line, its break included.
    pub whole: Range<usize>,
}

impl Line {
    /// Whether it begins with a minus and a space.
    pub fn is_bullet(&self, text: &str) -> bool {
        let written = &text[self.written.clone()];
        written.strip_prefix('-').is_some_and(|rest| rest.is_empty() || rest.starts_with(is_blank))
    }

    /// The first word's text.
    pub fn first_word<'a>(&self, text: &'a str) -> &'a str {
        &text[self.first.clone()]
    }
}

/// Spaces within a line.
pub(crate) fn is_blank(char: char) -> bool {
    matches!(char, ' ' | '\t' | '\u{a0}')
}

/// Spaces and line breaks.
pub(super) fn is_space(char: char) -> bool {
    is_blank(char) || matches!(char, '\r' | '\n' | '\u{feff}')
}

/// What words are made of.
pub(crate) fn is_word(char: char) -> bool {
    char.is_alphanumeric() || char == '-'
}

/// The lines of a text from byte `from` on.
pub(crate) fn lines(text: &str, from: usize) -> impl Iterator<Item = Line> + '_ {
    let mut at = from;
    std::iter::from_fn(move || {
        if at >= text.len() {
            return None;
        }
        let rest = &text.as_bytes()[at..];
        let end = memchr::memchr2(b'\n', b'\r', rest);
        let end = end.map_or(rest.len(), |end| end + if rest[end..].starts_with(b"\r\n") { 2 } else { 1 });
        let line = line(text, at..at + end);
        at += end;
        Some(line)
    })
}

/// A text with spaces in place of its comments, byte for byte.
pub(super) fn without(text: &str, comments: impl Iterator<Item = Range<usize>>) -> Cow<'_, str> {
    let mut plain = Cow::Borrowed(text);
    for comment in comments {
        let spaces = " ".repeat(comment.len());
        plain.to_mut().replace_range(comment, &spaces);
    }
    plain
}

fn line(text: &str, whole: Range<usize>) -> Line {
    let source = &text[whole.clone()];
    let source = source.trim_end_matches(['\n', '\r']);
    let start = whole.start + (source.len() - source.trim_start_matches(is_blank).len());
    let (mut comment, mut quote) = (None, None);
    let bytes = source.as_bytes();
    let mut from = 0;
    // Bytes are enough: nothing looked for is part of a longer character.
    while let Some(at) = memchr::memchr3(b'"', b'\\', b'#', &bytes[from..]).map(|at| from + at) {
        match (bytes[at], quote) {
            (b'"', None) => quote = Some(whole.start + at),
            (b'"', Some(_)) => quote = None,
            (b'#', None) => {
                comment = Some(whole.start + at..whole.start + source.len());
                break;
            }
            _ => {}
        }
        let escapes = bytes[at] == b'\\' && quote.is_some();
        from = (at + if escapes { 2 } else { 1 }).min(bytes.len());
    }
    let end = comment.as_ref().map_or(whole.start + source.len(), |comment| comment.start);
    let start = start.min(end);
    let written = text[start..end].trim_end_matches(is_blank);
    let first = written.find(|char| !is_word(char)).unwrap_or(written.len());
    // A minus that stands alone is a bullet's, and no word.
    let first = if written[..first].chars().all(|char| char == '-') { 0 } else { first };
    Line {
        written: start..start + written.len(),
        indented: start > whole.start,
        first: start..start + first,
        comment,
        unclosed: quote,
        whole,
    }
}
