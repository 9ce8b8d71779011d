//! One reading of past records for two rulebooks: where everything that a record may say by the one it may say by the
//! other in the same words, it is read by that other alone.

use std::collections::BTreeSet;
use std::sync::Arc;

use purfle_lang::book::{Book, LookId, LookKind, PartId, Places};
use rustc_hash::FxHashMap;

use crate::compared::compared_looks;
use crate::record::{Entry, Record};
use crate::records::{Field, Target};

/// How two rulebooks read the same records.
pub struct Shared {
    /// Whether it is the new rulebook that they are read by.
    by_new: bool,
    /// What each look and part is in the other; none where the two have the very same ones, under the same numbers.
    there: Option<There>,
}

/// Looks and parts in the other rulebook; none where only the one that is read by has them.
struct There {
    looks: Vec<Option<LookId>>,
    parts: Vec<Option<PartId>>,
}

/// A record cannot be told by the other rulebook: it says something that only the one knows.
#[derive(Debug, Clone, Copy)]
pub struct OnlyOne;

impl Shared {
    /// How one reading does for both; none where each has to read by itself.
    pub fn of(old: &Book, new: &Book) -> Option<Self> {
        if old.money != new.money {
            return None;
        }
        if let Some(there) = there(old, new).filter(|there| same_comparisons(old, new, there)) {
            let same = |at: usize, there: Option<usize>| there == Some(at);
            let looks = there.looks.iter().enumerate().all(|(at, look)| same(at, look.map(|look| look.index())));
            let parts = there.parts.iter().enumerate().all(|(at, part)| same(at, part.map(|part| part.index())));
            let equal = looks && parts && old.looks.len() == new.looks.len() && old.parts.len() == new.parts.len();
            if equal {
                return Some(Self { by_new: false, there: None });
            }
            if covers(&there) {
                // Read by the new one, and told by the old one.
                let back = self::there(new, old).filter(|back| same_comparisons(new, old, back))?;
                return Some(Self { by_new: true, there: Some(back) });
            }
        }
        let there = there(old, new)?;
        let back = self::there(new, old).filter(covers)?;
        (same_comparisons(old, new, &there) && same_comparisons(new, old, &back))
            .then_some(Self { by_new: false, there: Some(there) })
    }

    /// Whether records are read by the new rulebook.
    pub fn by_new(&self) -> bool {
        self.by_new
    }

    /// Whether both have the very same looks, so that whatever one refuses to read the other does.
    pub fn equal(&self) -> bool {
        self.there.is_none()
    }

    /// Whether a record that was read tells, without saying anything of it, a look that only this rulebook has.
    pub fn names_only_one(&self, book: &Book, record: &Record, known: &mut FxHashMap<Box<str>, bool>) -> bool {
        let Some(there) = &self.there else { return false };
        record.written.iter().filter(|written| written.entries.is_empty()).any(|written| {
            if let Some(known) = known.get(&written.field) {
                return *known;
            }
            let alone = match Field::parse(book, &written.field).map(|field| field.target) {
                Ok(Target::Look(look, _)) => there.looks.get(look.index()).is_none_or(Option::is_none),
                Ok(Target::Part(part, _)) => there.parts.get(part.index()).is_none_or(Option::is_none),
                Ok(_) => false,
                Err(_) => true,
            };
            known.insert(written.field.clone(), alone);
            alone
        })
    }

    /// A record as the other rulebook has it; `into` is written over. None where both have it as it is.
    pub fn told<'r>(&self, record: &'r Record, into: &'r mut Record) -> Result<&'r Record, OnlyOne> {
        let Some(there) = &self.there else { return Ok(record) };
        let look = |look: LookId| there.looks.get(look.index()).copied().flatten().ok_or(OnlyOne);
        let part = |part: PartId| there.parts.get(part.index()).copied().flatten().ok_or(OnlyOne);
        into.source.clone_from(&record.source);
        into.id.clone_from(&record.id);
        into.tag.clone_from(&record.tag);
        (into.inspected_on, into.quoted, into.seen_again) = (record.inspected_on, record.quoted, record.seen_again);
        into.entries.clear();
        for entry in &record.entries {
            into.entries.push(match entry {
                Entry::Look(at, path, saying) => Entry::Look(look(*at)?, *path, Arc::clone(saying)),
                Entry::Good(at, path) => Entry::Good(part(*at)?, *path),
                Entry::There(at, path) => Entry::There(part(*at)?, *path),
                Entry::Absent(at, path) => Entry::Absent(part(*at)?, *path),
                Entry::NoPlaces(at) => Entry::NoPlaces(part(*at)?),
                Entry::MayBeMore(at) => Entry::MayBeMore(part(*at)?),
                Entry::RestGood => Entry::RestGood,
            });
        }
        into.last.clear();
        for (at, path, saying) in &record.last {
            into.last.push((look(*at)?, *path, Arc::clone(saying)));
        }
        Ok(into)
    }
}

/// Whether the other has everything.
fn covers(there: &There) -> bool {
    there.looks.iter().all(Option::is_some) && there.parts.iter().all(Option::is_some)
}

/// What the looks and parts of one rulebook are in another; none where something has one name in both and is not told in
/// the same words.
fn there(from: &Book, to: &Book) -> Option<There> {
    let mut there = There { looks: vec![None; from.looks.len()], parts: vec![None; from.parts.len()] };
    for (index, part) in from.parts.iter().enumerate() {
        let Some(id) = to.find_part(&part.name) else { continue };
        if !same_places(&part.places, &to[id].places) {
            return None;
        }
        there.parts[index] = Some(id);
        for look in &part.looks {
            let Some(other) = to.find_look(id, &from[*look].name) else { continue };
            if !same_kind(&from[*look].kind, &to[other].kind) {
                return None;
            }
            there.looks[look.index()] = Some(other);
        }
    }
    Some(there)
}

/// Whether both compare the same looks with the record before.
fn same_comparisons(from: &Book, to: &Book, there: &There) -> bool {
    let compared: Option<BTreeSet<LookId>> =
        compared_looks(from).iter().map(|look| there.looks.get(look.index()).copied().flatten()).collect();
    compared.is_some_and(|looks| looks == compared_looks(to))
}

fn same_places(one: &Places, other: &Places) -> bool {
    match (one, other) {
        (Places::Single, Places::Single) | (Places::AsFound, Places::AsFound) => true,
        (Places::Fixed(one), Places::Fixed(other)) => {
            one.iter().map(|place| &place.name).eq(other.iter().map(|place| &place.name))
        }
        _ => false,
    }
}

fn same_kind(one: &LookKind, other: &LookKind) -> bool {
    match (one, other) {
        (LookKind::YesNo, LookKind::YesNo) | (LookKind::Dated, LookKind::Dated) | (LookKind::Written, LookKind::Written) => true,
        (LookKind::OneOf(one), LookKind::OneOf(other)) | (LookKind::SomeOf(one), LookKind::SomeOf(other)) => one == other,
        (
            LookKind::Measured { unit, from, to, give_or_take },
            LookKind::Measured { unit: unit_there, from: least, to: most, give_or_take: error },
        ) => (unit, from, to, give_or_take) == (unit_there, least, most, error),
        (LookKind::Counted { from, to }, LookKind::Counted { from: least, to: most }) => (from, to) == (least, most),
        (LookKind::Priced { from, to }, LookKind::Priced { from: least, to: most }) => (from, to) == (least, most),
        _ => false,
    }
}
