//! From what the grammar saw to the tree. Nothing outside this module and `explain` knows the grammar's own types.

mod clause;
mod condition;
mod expression;
mod line;

use super::explain;
use super::grammar::{self, Failure, Pair, Rule};
use super::scan;
use super::split::Slice;
use super::tree::{Name, Path, Quantity, Text};
use crate::diagnostic::Diagnostic;
use crate::span::{FileId, Span, Spanned};

pub(super) use line::Line;

/// How deep brackets may nest, and how many signs of arithmetic one value may have.
pub(super) const MOST_NESTED: usize = 64;

/// The longest line or clause, in bytes, what goes on with it included.
pub(super) const MOST_BYTES: usize = 1 << 18;

/// Reads slices of one text.
pub(super) struct Lower<'a> {
    pub file: FileId,
    pub text: &'a str,
    /// The text without its comments, byte for byte: what the grammar reads.
    plain: &'a str,
    pub diagnostics: Vec<Diagnostic>,
    /// Words that begin no clause, of the item in hand.
    pub unknown_clauses: Vec<Span>,
    /// Where the slice in hand begins.
    base: usize,
}

/// Why a slice could not be read.
pub(super) enum Unread {
    /// It was reported, here or before.
    Reported,
    /// The grammar stopped; not yet reported.
    Stopped(Failure),
}

impl<'a> Lower<'a> {
    pub fn new(file: FileId, text: &'a str, plain: &'a str) -> Self {
        Self { file, text, plain, diagnostics: Vec::new(), unknown_clauses: Vec::new(), base: 0 }
    }

    /// Reads a slice by an entry rule. `skip` bytes are left out at its start (a bullet's minus).
    pub fn read(&mut self, rule: Rule, slice: &Slice, skip: usize) -> Result<Pair<'a>, Unread> {
        let start = slice.range.start + skip;
        let source = &self.plain[start..slice.range.end];
        if source.len() > MOST_BYTES {
            if !slice.spoiled {
                let at = Span::new(self.file, slice.range.start, slice.range.start + 1);
                let says = format!("This goes on for {} bytes, and {MOST_BYTES} are the most.", source.len());
                self.diagnostics.push(
                    Diagnostic::error("too-long", at, says).label("begins here").help("Write it in several clauses or items."),
                );
            }
            return Err(Unread::Reported);
        }
        if let Some(deep) = too_deep(source) {
            let at = Span::new(self.file, start + deep, start + deep + 1);
            self.diagnostics.push(
                Diagnostic::error("nested-too-deep", at, format!("Brackets nest {MOST_NESTED} deep at the most."))
                    .label("one bracket too deep")
                    .help("Give a part of it a name of its own with `reckon`, or write bullets."),
            );
            return Err(Unread::Reported);
        }
        self.base = start;
        grammar::read(rule, source).map_err(|mut failure| {
            failure.at += start;
            if slice.spoiled { Unread::Reported } else { Unread::Stopped(failure) }
        })
    }

    /// Goes back to a slice that was read before, and begins at this byte.
    pub fn begin(&mut self, at: usize) {
        self.base = at;
    }

    /// Tells why the grammar stopped. `shape` and `example` show how it should look.
    pub fn report(&mut self, rule: Rule, failure: &Failure, end: usize, shape: &str, example: &str) {
        let place = explain::Place { file: self.file, text: self.text, plain: self.plain, start: self.base, end };
        self.diagnostics.push(explain::explain(&place, rule, failure, shape, example));
    }

    /// Where a pair stands, without the spaces and comments after it.
    fn span(&self, pair: &Pair<'_>) -> Span {
        Span::new(self.file, self.base + pair.as_span().start(), self.base + end(pair))
    }

    /// The text of a pair that is one token, and where it stands.
    fn token(&self, pair: &Pair<'_>) -> Name {
        Spanned::new(pair.as_str().to_owned(), self.span(pair))
    }

    /// Text as meant.
    fn text(&mut self, pair: &Pair<'_>) -> Text {
        let span = self.span(pair);
        let mut value = String::new();
        for (index, string) in pair.clone().into_inner().enumerate() {
            if index > 0 {
                value.push(' ');
            }
            self.unescape(&string, &mut value);
        }
        Spanned::new(value, span)
    }

    /// One quoted text.
    fn unescape(&mut self, string: &Pair<'_>, value: &mut String) {
        let source = string.as_str();
        let inner = source.get(1..source.len().saturating_sub(1)).unwrap_or_default();
        if !inner.contains('\\') {
            value.push_str(inner);
            return;
        }
        let mut chars = inner.char_indices();
        while let Some((at, char)) = chars.next() {
            if char != '\\' {
                value.push(char);
                continue;
            }
            match chars.next() {
                Some((_, 'n')) => value.push('\n'),
                Some((_, escaped @ ('"' | '\\'))) => value.push(escaped),
                other => {
                    let escaped = other.map_or(String::new(), |(_, char)| char.to_string());
                    let start = self.base + string.as_span().start() + 1 + at;
                    let span = Span::new(self.file, start, start + 1 + escaped.len());
                    self.diagnostics.push(
                        Diagnostic::error("unknown-escape", span, format!("`\\{escaped}` means nothing in a text."))
                            .help("Write `\\\\` for a backslash, `\\\"` for a quote, `\\n` for a line break.")
                            .fix("Double the backslash", false, span, format!("\\\\{escaped}")),
                    );
                    value.push('\\');
                    value.push_str(&escaped);
                }
            }
        }
    }

    fn path(&self, pair: &Pair<'_>) -> Path {
        let span = self.span(pair);
        let mut start = span.start as usize;
        let mut segments = Vec::new();
        for segment in pair.as_str().split('.') {
            segments.push(Spanned::new(segment.to_owned(), Span::new(self.file, start, start + segment.len())));
            start += segment.len() + 1;
        }
        Path { segments, span }
    }

    fn quantity(&self, pair: &Pair<'_>) -> Quantity {
        let mut inner = pair.clone().into_inner();
        let number = inner.next().map_or_else(|| self.token(pair), |number| self.token(&number));
        Quantity { number, unit: inner.next().map(|unit| self.token(&unit)) }
    }

    /// A name or a quoted text, as it is written in a list of choices.
    fn choice(&mut self, pair: &Pair<'_>) -> Name {
        if pair.as_rule() == Rule::quoted { self.text(pair) } else { self.token(pair) }
    }
}

/// Where the last token of a pair ends.
fn end(pair: &Pair<'_>) -> usize {
    let mut pair = pair.clone();
    while let Some(last) = pair.clone().into_inner().next_back() {
        if last.as_rule() == Rule::EOI {
            break;
        }
        pair = last;
    }
    pair.as_span().end()
}

/// The first bracket that nests too deep.
fn too_deep(source: &str) -> Option<usize> {
    if source.bytes().filter(|byte| *byte == b'(').count() <= MOST_NESTED {
        return None;
    }
    let mut depth = 0_usize;
    brackets(source).find_map(|(at, opens)| {
        depth = if opens { depth + 1 } else { depth.saturating_sub(1) };
        (depth > MOST_NESTED).then_some(at)
    })
}

/// The brackets of a text, and whether each opens. Those in quotes and comments count for nothing.
pub(super) fn brackets(source: &str) -> impl Iterator<Item = (usize, bool)> + '_ {
    let (mut quoted, mut comment, mut escaped) = (false, false, false);
    source.bytes().enumerate().filter_map(move |(at, byte)| {
        if std::mem::take(&mut escaped) {
            return None;
        }
        match byte {
            b'\n' | b'\r' => (quoted, comment) = (false, false),
            _ if comment => {}
            b'\\' if quoted => escaped = true,
            b'"' => quoted = !quoted,
            _ if quoted => {}
            b'#' => comment = true,
            b'(' | b')' => return Some((at, byte == b'(')),
            _ => {}
        }
        None
    })
}

/// Where a slice of text goes on after spaces and comments; its end if nothing follows.
pub(super) fn skip(text: &str, mut at: usize, end: usize) -> usize {
    while at < end {
        let rest = &text[at..end];
        let Some(char) = rest.chars().next() else { break };
        if scan::is_space(char) {
            at += char.len_utf8();
        } else if char == '#' {
            at += rest.find(['\n', '\r']).unwrap_or(rest.len());
        } else {
            break;
        }
    }
    at
}
