//! What a record says, thing by thing, and the record without some of it; written without a look at how the trace does it.

use std::sync::Arc;

use purfle::record::{Entry, Record};
use purfle::trace::Fact;
use purfle_lang::book::{Book, LookId, PartId, PlaceId, Places, RecordPath};
use purfle_lang::saying::Saying;

/// Everything that a record says.
pub fn said(book: &Book, record: &Record) -> Vec<Fact> {
    let mut said = Vec::new();
    for part in (0..book.parts.len()).map(PartId::from_index) {
        let recorded = recorded(book, record, part);
        let places: Vec<RecordPath> = match &book[part].places {
            Places::Single => vec![RecordPath::Single],
            Places::Fixed(places) => (0..places.len()).map(|at| RecordPath::Fixed(PlaceId(at as u32))).collect(),
            Places::AsFound => recorded.clone(),
        };
        for place in places {
            let good = record.entries.iter().any(|entry| match entry {
                Entry::Good(of, None) => *of == part,
                Entry::Good(of, Some(at)) => *of == part && *at == place,
                Entry::RestGood => true,
                _ => false,
            });
            for look in &book[part].looks {
                let entry = record.entries.iter().find_map(|entry| match entry {
                    Entry::Look(of, at, saying) if of == look && *at == place => Some(saying),
                    _ => None,
                });
                let tells = match entry.map(AsRef::as_ref) {
                    Some(Saying::CouldNotTell | Saying::Text(_)) => false,
                    Some(_) => true,
                    None => good && book[*look].good.is_some(),
                };
                if tells {
                    said.push(Fact::Look(*look, place));
                }
            }
        }
        if matches!(book[part].places, Places::AsFound) {
            let closed = !recorded.is_empty()
                || record
                    .entries
                    .iter()
                    .any(|entry| matches!(entry, Entry::NoPlaces(of) if *of == part) || *entry == Entry::RestGood);
            if closed && !record.entries.contains(&Entry::MayBeMore(part)) {
                said.push(Fact::NoMore(part));
            }
        }
    }
    for entry in &record.entries {
        if let Entry::Absent(part, place) = entry {
            said.push(Fact::Absent(*part, *place));
        }
    }
    said
}

fn recorded(book: &Book, record: &Record, part: PartId) -> Vec<RecordPath> {
    let mut places: Vec<RecordPath> = record
        .entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::There(of, place) | Entry::Good(of, Some(place)) if *of == part => Some(*place),
            Entry::Look(look, place, _) if book[*look].part == part => Some(*place),
            _ => None,
        })
        .collect();
    places.sort_unstable();
    places.dedup();
    places
}

/// The record with nothing said but this.
pub fn only(book: &Book, record: &Record, kept: &[Fact]) -> Record {
    let gone: Vec<Fact> = said(book, record).into_iter().filter(|fact| !kept.contains(fact)).collect();
    let mut thin = record.clone();
    for part in (0..book.parts.len()).map(PartId::from_index) {
        if matches!(book[part].places, Places::AsFound) {
            let there = recorded(book, record, part).into_iter().map(|place| Entry::There(part, place));
            thin.entries.extend(there);
        }
    }
    thin.entries.retain(|entry| match entry {
        Entry::Look(look, place, _) => !gone.contains(&Fact::Look(*look, *place)),
        Entry::Absent(part, place) => !gone.contains(&Fact::Absent(*part, *place)),
        Entry::NoPlaces(part) => !gone.contains(&Fact::NoMore(*part)),
        _ => true,
    });
    for fact in gone {
        match fact {
            Fact::Look(look, place) => thin.left_out.push((look, place)),
            Fact::NoMore(part) => thin.entries.push(Entry::MayBeMore(part)),
            Fact::Absent(..) => {}
        }
    }
    thin
}

/// The record with a look shown otherwise.
pub fn shown(record: &Record, look: LookId, place: RecordPath, saying: Saying) -> Record {
    let mut shown = record.clone();
    shown.entries.retain(|entry| !matches!(entry, Entry::Look(of, at, _) if *of == look && *at == place));
    shown.entries.push(Entry::Look(look, place, Arc::new(saying)));
    shown
}
