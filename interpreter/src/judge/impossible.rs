//! Records that cannot be: which of their fields disagree.

use purfle_lang::book::{Book, PlaceId, RecordPath};
use purfle_lang::saying::{self, Saying};

use super::contexts::Working;
use super::intake::{Seen, found_places};
use crate::outcome::Impossible;
use crate::plan::build::TooFine;
use crate::record::{Entry, Record};

/// A look with more limits than can be kept apart.
pub fn too_fine(book: &Book, fine: TooFine) -> Impossible {
    let path = book.look_path(fine.look);
    Impossible { why: format!("the rulebook compares {path} with more limits than can be kept apart"), fields: vec![path] }
}

/// The fewest fields that cannot be together: each is left out in turn, and stays out if the rest still cannot be.
pub fn explain(working: &mut Working<'_>, seen: &mut Seen, record: &Record) -> Impossible {
    let mut kept: Vec<Entry> = record.entries.clone();
    let mut at = 0;
    while at < kept.len() {
        let mut fewer = kept.clone();
        fewer.remove(at);
        let trial = Record { entries: fewer, ..record.clone() };
        let found = found_places(working.bench.book, &trial);
        seen.take(working.bench.book, working.bench.prepared, (&trial, found), &mut Default::default(), working.bench.scale);
        if seen.empty.is_some() || !working.possible(seen) {
            kept = trial.entries;
        } else {
            at += 1;
        }
    }
    let fields: Vec<String> = kept.iter().map(|entry| field(working.bench.book, entry)).collect();
    let why = match fields.as_slice() {
        [] => "no instrument can be like this record".to_owned(),
        [only] => match kept.first() {
            Some(Entry::Look(_, _, said)) if **said != Saying::DoesNotApply => {
                format!("{only}: by this rulebook that look applies to no instrument; leave it empty")
            }
            _ => format!(
                "{only} says that it does not apply, and it applies to every instrument: write what was seen, `?` if \
                 nobody could tell, or leave it empty"
            ),
        },
        [rest @ .., last] => format!("{} and {last} cannot both be so on one instrument", rest.join(", ")),
    };
    Impossible { fields, why }
}

fn field(book: &Book, entry: &Entry) -> String {
    let part_at = |part: &purfle_lang::book::PartId, path: Option<RecordPath>| {
        let name = &book[*part].name;
        match path.map(|path| place(book, *part, path)) {
            Some(place) if !place.is_empty() => format!("{name}.{place}"),
            _ => name.clone(),
        }
    };
    match entry {
        Entry::Look(look, path, said) => {
            let look = &book[*look];
            let value = saying::format(look, said, book.money);
            format!("{}.{} = {value}", part_at(&look.part, Some(*path)), look.name)
        }
        Entry::Good(part, path) => format!("{} = good", part_at(part, *path)),
        Entry::There(part, path) => format!("{} is there", part_at(part, Some(*path))),
        Entry::Absent(part, path) => format!("{} = -", part_at(part, *path)),
        Entry::NoPlaces(part) => format!("{} = none", book[*part].name),
        Entry::MayBeMore(part) => format!("{} = may be more", book[*part].name),
        Entry::RestGood => "the rest is good".to_owned(),
    }
}

fn place(book: &Book, part: purfle_lang::book::PartId, path: RecordPath) -> String {
    match path {
        RecordPath::Single => String::new(),
        RecordPath::Fixed(PlaceId(at)) => book[part].fixed_places().get(at as usize).map_or_else(String::new, |p| p.name.clone()),
        RecordPath::Found(n) => n.to_string(),
    }
}
