//! Findings by their names, as they stand in records and reports.

use purfle_lang::book::FindingId;

use super::super::document::{Block, Chapter, Head, Item, Line};
use super::super::maker::Maker;

/// The chapter.
pub fn chapter(maker: &Maker<'_>) -> Chapter {
    let mut ids: Vec<FindingId> = (0..maker.book.findings.len()).map(FindingId::from_index).collect();
    ids.sort_by(|one, other| maker.book[*one].name.cmp(&maker.book[*other].name));
    let items = ids.into_iter().map(|id| Item::of(Line::default().name(&maker.book[id].name).say(" ").then(maker.finding(id))));
    Chapter {
        head: Head::plain("index", "Index of findings by name"),
        blocks: vec![Block::List(items.collect())],
        sections: Vec::new(),
    }
}
