//! Witnesses as records: what a diagnostic shows in the words of an example, said as a record file says it.

use std::collections::BTreeSet;

use purfle_lang::book::{Book, Example, LookId, PartId, RecordEntry, RecordPath};
use purfle_lang::diagnostic::{Diagnostic, Witness};
use purfle_lang::number::format_decimal;
use purfle_lang::resolve::resolve;
use purfle_lang::saying::{self, Saying};
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_lang::syntax::tree::{Item, Tree};
use purfle_lang::unit::format_date;
use serde::ser::{Serialize, SerializeMap, Serializer};

use crate::records::{INSPECTED_ON, QUOTED, RECORD, TAG, THE_REST, look_field, place_suffix};

/// The day of a witness that says nothing of its own but looks back at a record before: 2000-01-02.
const SOME_DAY: i64 = 10_958;

/// The fields of a record, in order; as JSON they are one record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fields(pub Vec<(String, String)>);

impl Serialize for Fields {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.0.len()))?;
        for (name, value) in &self.0 {
            map.serialize_entry(name, value)?;
        }
        map.end()
    }
}

/// A witness as records.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// The record itself.
    pub record: Fields,
    /// The record before, where the witness says what `last` looks were.
    pub before: Option<Fields>,
}

/// The witnesses as records by a rulebook, each with a mark to be its `record`. None for one that the rulebook cannot
/// take as an example.
pub fn shown(trees: &[Tree], witnesses: &[(String, &Witness)]) -> Vec<Option<Shown>> {
    let mut items: Vec<(usize, FileId, Item)> = Vec::new();
    for ((at, (_, witness)), number) in witnesses.iter().enumerate().zip((0..u16::MAX).rev()) {
        let file = FileId(number);
        let entries = witness.record.split_whitespace().collect::<Vec<_>>().join(" ");
        let parsed = parse(file, &format!("example \"{at}\"\n  record {entries}\n  refused\n"));
        if usize::from(number) >= trees.len() && parsed.diagnostics.is_empty() {
            items.extend(parsed.tree.items.into_iter().map(|item| (at, file, item)));
        }
    }
    let mut shown = vec![None; witnesses.len()];
    let Some((resolved, items)) = resolved(trees, items) else { return shown };
    for (at, file, _) in items {
        let example = resolved.examples.iter().find(|example| example.origin.span.file == file);
        if let (Some(example), Some((mark, _))) = (example, witnesses.get(at)) {
            shown[at] = as_records(&resolved, example, mark);
        }
    }
    shown
}

/// The book with these examples in it, and those of them that it can take.
fn resolved(trees: &[Tree], mut items: Vec<(usize, FileId, Item)>) -> Option<(Book, Vec<(usize, FileId, Item)>)> {
    let (own, parents) = trees.split_first()?;
    for _ in 0..2 {
        let mut own = own.clone();
        own.items.extend(items.iter().map(|(_, _, item)| item.clone()));
        let chain: Vec<Tree> = std::iter::once(own).chain(parents.iter().cloned()).collect();
        let resolved = resolve(&chain);
        if let Some(book) = resolved.book {
            return Some((book, items));
        }
        let refused: BTreeSet<FileId> =
            resolved.diagnostics.iter().filter(|told| told.is_error()).map(|told: &Diagnostic| told.span.file).collect();
        items.retain(|(_, file, _)| !refused.contains(file));
    }
    None
}

/// An example's record as a record file says it. None where no file can say it.
fn as_records(book: &Book, example: &Example, mark: &str) -> Option<Shown> {
    let looks_back = example.record.iter().any(|entry| matches!(entry, RecordEntry::Last(..)));
    let day = example.record.iter().find_map(|entry| match entry {
        RecordEntry::InspectedOn(day) => Some(*day),
        _ => None,
    });
    let day = day.or(looks_back.then_some(SOME_DAY));
    let head = |name: String, day: Option<i64>| {
        let tag = looks_back.then(|| (TAG.to_owned(), mark.to_owned()));
        let day = day.map(|day| (INSPECTED_ON.to_owned(), format_date(day)));
        std::iter::once((RECORD.to_owned(), name)).chain(tag).chain(day).collect::<Vec<_>>()
    };
    let mut record = head(mark.to_owned(), day);
    let mut before = head(format!("{mark}-before"), day.map(|day| day - 1));
    let part = |part: PartId, at: Option<RecordPath>| {
        format!("{}{}", book[part].name, at.map(|at| place_suffix(book, part, at)).unwrap_or_default())
    };
    let said = |look: LookId, saying: &Saying| saying::format(&book[look], saying, book.money);
    for entry in &example.record {
        record.push(match entry {
            RecordEntry::Look(look, at, saying) => (look_field(book, *look, *at), said(*look, saying)),
            RecordEntry::Last(look, at, saying) => {
                before.push((look_field(book, *look, *at), said(*look, saying)));
                continue;
            }
            RecordEntry::Good(of, at) => (part(*of, *at), "good".to_owned()),
            RecordEntry::Absent(_, Some(RecordPath::Found(_))) => return None,
            RecordEntry::Absent(of, at) => (part(*of, *at), "-".to_owned()),
            RecordEntry::NoPlaces(of) => (part(*of, None), "none".to_owned()),
            RecordEntry::MayBeMore(of) => (part(*of, None), "may be more".to_owned()),
            RecordEntry::RestGood => (THE_REST.to_owned(), "good".to_owned()),
            RecordEntry::Quoted(price) => (QUOTED.to_owned(), format!("{} {}", format_decimal(*price), book.money)),
            RecordEntry::InspectedOn(_) => continue,
        });
    }
    // One field cannot say two things, such as that a part is good and that there may be more of it.
    let names: BTreeSet<&str> = record.iter().map(|(name, _)| name.as_str()).collect();
    if names.len() < record.len() {
        return None;
    }
    Some(Shown { record: Fields(record), before: looks_back.then_some(Fields(before)) })
}
