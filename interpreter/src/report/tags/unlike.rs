//! Tags that stand on instruments which are not alike: a violin on one record, a cello on another.
//!
//! What an instrument is stays as it is, and the rulebook shows which looks say that: a choice of a context, without a
//! good one, by which it is decided what else there is to look at, or which row of a table counts.

use indexmap::IndexMap;
use purfle_lang::book::{Book, LookId, LookKind, Places, TableKey};
use rustc_hash::FxHashMap;
use serde::Serialize;

use super::{MOST_NAMED, MOST_TAGS, choice_name, paragraph_of};
use crate::rehearse::reads::Reads;
use crate::report::text::shown;

/// The looks that say what the instrument is.
pub fn lasting_looks(book: &Book) -> Vec<LookId> {
    let mut reads = Reads::default();
    let parts = book
        .parts
        .iter()
        .flat_map(|part| part.only_when.iter().chain(part.fixed_places().iter().filter_map(|place| place.only_when.as_ref())));
    let looks = book.looks.iter().filter_map(|look| look.only_when.as_ref());
    parts.chain(looks).for_each(|only_when| reads.condition(book, only_when));
    let keys = book.tables.iter().flat_map(|table| &table.keys).filter_map(|key| match key {
        TableKey::Look(at) => Some(at.look),
        TableKey::Place(_) => None,
    });
    let mut deciding: Vec<LookId> = reads.looks.iter().chain(&reads.keys).map(|at| at.look).chain(keys).collect();
    deciding.sort_unstable();
    deciding.dedup();
    deciding.retain(|id| {
        let look = &book[*id];
        let part = &book[look.part];
        let of_a_context = part.context && matches!(part.places, Places::Single);
        of_a_context && matches!(look.kind, LookKind::OneOf(_)) && look.good.is_none() && !look.private
    });
    deciding
}

/// What is said of a tag's instrument first, and where.
type First = (usize, Box<str>);

/// The tags of a batch with what is said of their instruments.
#[derive(Default)]
pub struct Unlike {
    first: FxHashMap<(Box<str>, LookId), First>,
    /// Of each that is said to be several things, these and the first record of each, in the order read.
    several: IndexMap<(Box<str>, LookId), Vec<First>>,
}

/// A tag on instruments that are not alike.
#[derive(Serialize)]
pub struct UnlikeView<'a> {
    tag: &'a str,
    look: String,
    /// The first record of each thing that is said.
    records: Vec<ShowsView<'a>>,
}

#[derive(Serialize)]
struct ShowsView<'a> {
    record: &'a str,
    shows: &'a str,
}

impl Unlike {
    /// Gathers what one more record says; gives back what was said first, and where, if that is something else.
    pub fn add(&mut self, tag: &str, look: LookId, choice: usize, record: &str) -> Option<(usize, &str)> {
        let key = (tag.into(), look);
        if !self.first.contains_key(&key) {
            if self.first.len() < MOST_TAGS {
                self.first.insert(key, (choice, record.into()));
            }
            return None;
        }
        let first = self.first.get(&key)?;
        if first.0 == choice {
            return None;
        }
        let several = self.several.entry(key).or_insert_with(|| vec![first.clone()]);
        if several.iter().all(|(known, _)| *known != choice) {
            several.push((choice, record.into()));
        }
        Some((first.0, &first.1))
    }

    /// What is to be said of them, ready to be printed; none where every tag's instrument is one thing.
    pub fn words(&self, book: &Book) -> Option<String> {
        let named = self.several.iter().take(MOST_NAMED).map(|((tag, look), several)| {
            let several =
                several.iter().map(|(choice, record)| format!("{} on {}", choice_name(book, *look, *choice), shown(record)));
            format!("{}, {}: {}", shown(tag), book.look_path(*look), several.collect::<Vec<_>>().join(", "))
        });
        paragraph_of(
            self.several.len(),
            "instruments that are not alike",
            named.collect(),
            "If it is one instrument, put right the record that is wrong; if not, one of them needs another tag.",
        )
    }

    /// The same as values.
    pub fn view<'a>(&'a self, book: &'a Book) -> Vec<UnlikeView<'a>> {
        let several = self.several.iter().map(|((tag, look), several)| UnlikeView {
            tag,
            look: book.look_path(*look),
            records: several
                .iter()
                .map(|(choice, record)| ShowsView { record, shows: choice_name(book, *look, *choice) })
                .collect(),
        });
        several.collect()
    }
}
