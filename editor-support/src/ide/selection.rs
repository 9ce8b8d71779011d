//! What is selected when a selection grows: the word, what it belongs to, the clause, the entry, the item, the text.

use std::ops::Range;

use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::Says;

use super::cursor::Cursor;
use super::tokens::{TokenKind, tokens};
use crate::analysis::Analysis;

/// The stretches round a byte, each within the next.
pub fn selection(analysis: &Analysis, file: FileId, offset: u32) -> Vec<Span> {
    let cursor = Cursor::new(analysis, file, offset);
    let mut ranges: Vec<Range<usize>> = Vec::new();
    let whole = |range: &Range<usize>| range.start <= cursor.offset && cursor.offset <= range.end;
    for token in tokens(cursor.text, cursor.line.clone()) {
        if whole(&token.range) {
            ranges.push(token.range.clone());
            // Within a text, first without its quotes.
            if token.kind == TokenKind::Text && token.range.len() > 2 {
                ranges.push(token.range.start + 1..token.range.end - 1);
            }
        }
    }
    ranges.push(path_round(cursor.text, cursor.offset, &cursor.line));
    ranges.extend(cursor.clause.map(|clause| clause.span.range()));
    for entry in &cursor.entries {
        ranges.push(entry.line.range());
        ranges.push(entry.span.range());
        // The innermost clause of a bullet list and the like.
        ranges.extend(
            entry.clauses.iter().filter(|clause| matches!(clause.says, Says::Entry(_))).map(|clause| clause.span.range()),
        );
    }
    ranges.push(cursor.line.start + indentation(cursor.text, &cursor.line)..cursor.line.end);
    ranges.push(0..cursor.text.len());
    ranges.retain(|range| whole(range) && !range.is_empty());
    ranges.sort_by_key(|range| (range.len(), range.start));
    // Each must lie within the next.
    let mut nested: Vec<Range<usize>> = Vec::new();
    for range in ranges {
        match nested.last() {
            Some(inner) if inner.start < range.start || range.end < inner.end || *inner == range => {}
            _ => nested.push(range),
        }
    }
    nested.into_iter().map(|range| Span::new(file, range.start, range.end)).collect()
}

fn indentation(text: &str, line: &Range<usize>) -> usize {
    let written = text.get(line.clone()).unwrap_or_default();
    written.len() - written.trim_start().len()
}

/// The path round a byte: `peg.E.turns`.
fn path_round(text: &str, offset: usize, line: &Range<usize>) -> Range<usize> {
    let part = |char: char| char.is_alphanumeric() || matches!(char, '-' | '.');
    let before = text.get(line.start..offset).unwrap_or_default();
    let after = text.get(offset..line.end).unwrap_or_default();
    let start = before.rfind(|char| !part(char)).map_or(0, |at| at + before[at..].chars().next().map_or(1, char::len_utf8));
    let end = after.find(|char| !part(char)).unwrap_or(after.len());
    line.start + start..offset + end
}
