//! Where a byte stands: on which line, in which item, entry and clause, and what is written before it.

use std::ops::Range;

use purfle_lang::span::FileId;
use purfle_lang::syntax::tree::{Clause, Doing, Entry, Item, Kind, Says};

use super::tokens::{Token, TokenKind, tokens};
use crate::analysis::Analysis;

/// A byte of a text and what is round it.
pub struct Cursor<'a> {
    /// The whole text.
    pub text: &'a str,
    /// The byte, never inside a character.
    pub offset: usize,
    /// The item it stands in, or below: it reaches to where the next one begins.
    pub item: Option<&'a Item>,
    /// The entries it stands in, from the item's own to the innermost: a look of a part, a way of a finding, a rung.
    pub entries: Vec<&'a Entry>,
    /// The clause it stands in; none on the entry's own line.
    pub clause: Option<&'a Clause>,
    /// The bytes of its line, without the line break.
    pub line: Range<usize>,
}

impl<'a> Cursor<'a> {
    /// Finds out where a byte stands. A byte beyond the end is the end; one inside a character is its start.
    pub fn new(analysis: &'a Analysis, file: FileId, offset: u32) -> Self {
        let text = analysis.text(file);
        let offset = boundary(text, offset as usize);
        let items = analysis.items(file);
        let at = items.partition_point(|item| item.entry.keyword.start as usize <= offset);
        let item = at.checked_sub(1).and_then(|at| items.get(at));
        let mut cursor = Self { text, offset, item, entries: Vec::new(), clause: None, line: line_of(text, offset) };
        cursor.descend();
        cursor
    }

    fn descend(&mut self) {
        let Some(item) = self.item else { return };
        let mut entry: &'a Entry = &item.entry;
        self.entries.push(entry);
        loop {
            // A clause reaches to where the next one begins.
            let before = entry.clauses.iter().filter(|clause| clause.keyword.start as usize <= self.offset);
            let Some(clause) = before.max_by_key(|clause| clause.keyword.start) else { return };
            match &clause.says {
                Says::Entry(inner) => {
                    self.entries.push(inner);
                    entry = inner;
                }
                _ => {
                    self.clause = Some(clause);
                    return;
                }
            }
        }
    }

    /// The innermost entry.
    pub fn entry(&self) -> Option<&'a Entry> {
        self.entries.last().copied()
    }

    /// The item's kind.
    pub fn kind(&self) -> Option<Kind> {
        self.item.map(|item| item.entry.kind)
    }

    /// Whether the item alters something or drops it.
    pub fn changes(&self) -> bool {
        self.item.is_some_and(|item| item.doing != Doing::Writes)
    }

    /// What is written on its line before it.
    pub fn before_on_line(&self) -> &'a str {
        self.text.get(self.line.start..self.offset).unwrap_or_default()
    }

    /// The word that ends at the byte, as far as it is written; empty where none does. A path is a word: `peg.E.tu`.
    pub fn typed(&self) -> Range<usize> {
        let before = self.before_on_line();
        let part = |char: char| char.is_alphanumeric() || matches!(char, '-' | '.');
        let start = before.rfind(|char| !part(char)).map_or(0, |at| at + before[at..].chars().next().map_or(1, char::len_utf8));
        // A bullet's minus is no part of a word.
        let typed = &before[start..];
        let start = start + (typed.len() - typed.trim_start_matches('-').len());
        self.line.start + start..self.offset
    }

    /// The tokens of the clause (or of the entry's own line) before the word that is being written, without comments and
    /// without the word of the clause.
    pub fn tokens_before(&self) -> Vec<Token> {
        let start = match (self.clause, self.entry()) {
            (Some(clause), _) => clause.keyword.end as usize,
            (None, Some(entry)) => entry.keyword.end as usize,
            (None, None) => self.line.start,
        };
        let mut tokens = tokens(self.text, start..self.typed().start.max(start));
        tokens.retain(|token| token.kind != TokenKind::Comment);
        tokens
    }

    /// Whether the byte stands in a comment.
    pub fn in_comment(&self) -> bool {
        let last = tokens(self.text, self.line.start..self.offset).pop();
        last.is_some_and(|token| token.kind == TokenKind::Comment)
    }

    /// Whether the byte stands in a text in quotes.
    pub fn in_text(&self) -> bool {
        let Some(last) = tokens(self.text, self.line.start..self.offset).pop() else { return false };
        let written = last.of(self.text);
        last.kind == TokenKind::Text && last.range.end == self.offset && (written.len() < 2 || !written.ends_with('"'))
    }
}

/// The nearest byte at or before this one that begins a character.
pub fn boundary(text: &str, offset: usize) -> usize {
    let mut offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    offset
}

/// The bytes of the line on which a byte stands, without the line break.
pub fn line_of(text: &str, offset: usize) -> Range<usize> {
    let breaks = ['\n', '\r'];
    let start = text[..offset].rfind(breaks).map_or(0, |at| at + 1);
    let end = text[offset..].find(breaks).map_or(text.len(), |at| offset + at);
    start..end
}
