//! Where the clauses of a book are written: in the rulebook nearest to the one at hand that writes them.

use std::borrow::Cow;

use purfle_lang::book::{Book, TableId};
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::parse;
use purfle_lang::syntax::tree::{Doing, Entry, Head, Kind, Says, Tree};

use crate::load::SourceText;
use crate::rehearse::coverage::row_words;

/// The texts of a rulebook and its parents, with their trees.
pub struct Texts<'a> {
    sources: &'a [SourceText],
    trees: Cow<'a, [Tree]>,
}

impl<'a> Texts<'a> {
    /// Reads the texts once more, for where everything stands.
    pub fn new(sources: &'a [SourceText]) -> Self {
        let trees = sources.iter().enumerate().map(|(at, source)| parse(FileId(at as u16), &source.text).tree);
        Self { sources, trees: trees.collect() }
    }

    /// Texts that were read already.
    pub fn of(sources: &'a [SourceText], trees: &'a [Tree]) -> Self {
        Self { sources, trees: Cow::Borrowed(trees) }
    }

    /// The text at a span, on one line.
    pub fn written(&self, span: Span) -> String {
        let text = self.sources.get(span.file.0 as usize).and_then(|source| source.text.get(span.range()));
        text.unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// The entries of that kind and name, the nearest rulebook's first.
    fn entries<'t>(&'t self, kind: Kind, name: &'t str) -> impl Iterator<Item = &'t Entry> {
        let whole = self.trees.iter().flat_map(|tree| &tree.items);
        let entries = whole.filter(|item| !matches!(item.doing, Doing::Drops { .. })).map(|item| &*item.entry);
        let inside = move |entry: &'t Entry| entry.entries(kind);
        entries
            .flat_map(move |entry| std::iter::once(entry).chain(inside(entry)))
            .filter(move |entry| entry.kind == kind && (entry.name_text() == name || name.is_empty()))
    }

    /// The `nth` clause of that word of an item.
    pub fn clause(&self, kind: Kind, name: &str, word: &str, nth: usize) -> Option<Span> {
        let entry = self.entries(kind, name).find(|entry| entry.first(word).is_some())?;
        entry.all(word).nth(nth).or_else(|| entry.first(word)).map(|clause| clause.span)
    }

    /// The `nth` clause of that word of a way of a finding.
    pub fn way_clause(&self, finding: &str, way: &str, word: &str, nth: usize) -> Option<Span> {
        let ways = self.entries(Kind::Finding, finding).flat_map(|entry| entry.entries(Kind::Way));
        let way = ways.filter(|entry| entry.name_text() == way).find(|entry| entry.first(word).is_some())?;
        way.all(word).nth(nth).or_else(|| way.first(word)).map(|clause| clause.span)
    }

    /// The line of an item that says its amount or rate.
    pub fn head(&self, kind: Kind, name: &str) -> Option<Span> {
        let says = |entry: &&Entry| match &entry.head {
            Head::Work { amount, .. } => amount.is_some(),
            Head::Hand { rate } => rate.is_some(),
            _ => true,
        };
        self.entries(kind, name).find(says).map(|entry| entry.line)
    }

    /// A row of a table.
    pub fn row(&self, book: &Book, table: TableId, row: usize) -> Option<Span> {
        let wanted = row_words(book, table, row);
        let clauses = self.entries(Kind::Table, &book[table].name).flat_map(|entry| entry.all("row"));
        let words =
            |row: &purfle_lang::syntax::tree::Row| row.keys.iter().map(|key| key.value.as_str()).collect::<Vec<_>>().join(", ");
        let mut fitting = clauses.filter(|clause| matches!(&clause.says, Says::Row(row) if words(row) == wanted));
        fitting.next().map(|clause| clause.span)
    }
}
