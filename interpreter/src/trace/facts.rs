//! What a record says, look by look, and what would come of it if it said less.

use std::collections::BTreeSet;

use purfle_lang::book::{Book, Condition, LookId, LookKind, PartId, PlaceId, Places, RecordPath};
use purfle_lang::saying::Saying;

use crate::judge::found_places;
use crate::record::{Entry, Record};
use crate::rehearse::reads::Reads;
use crate::slice::Slice;

/// One thing that a record says, and could have left open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Fact {
    /// What was seen at a look, written down or because its part is good.
    Look(LookId, RecordPath),
    /// That a part, or one place of it, does not apply.
    Absent(PartId, Option<RecordPath>),
    /// That there are no more places than are written down.
    NoMore(PartId),
}

impl Fact {
    /// The part it is about.
    pub fn part(self, book: &Book) -> PartId {
        match self {
            Fact::Look(look, _) => book[look].part,
            Fact::Absent(part, _) | Fact::NoMore(part) => part,
        }
    }
}

/// Everything that a record says and that can have to do with a slice: first what is said of the part at hand, last what is
/// said of the context, otherwise in the book's order; what is only said to be good of a part that may not be there comes
/// after everything else.
pub fn facts(book: &Book, slice: &Slice, on: PartId, record: &Record) -> Vec<Fact> {
    let told: Vec<(LookId, RecordPath)> = record.entries.iter().filter_map(tells).collect();
    let near = near(book, slice, record);
    let mut facts: Vec<Fact> = Vec::new();
    for (look, path) in told {
        if near.contains(&look) {
            facts.push(Fact::Look(look, path));
        }
    }
    for look in &slice.looks {
        if book[*look].good.is_none() {
            continue;
        }
        for path in paths(book, record, book[*look].part) {
            if good(record, book[*look].part, path) && !written(record, *look, path) {
                facts.push(Fact::Look(*look, path));
            }
        }
    }
    let parts: BTreeSet<PartId> = near.iter().map(|look| book[*look].part).chain(counted(slice)).collect();
    for entry in &record.entries {
        match entry {
            Entry::Absent(part, path) if parts.contains(part) || decide_part(book, *part).iter().any(|by| near.contains(by)) => {
                facts.push(Fact::Absent(*part, *path));
            }
            _ => {}
        }
    }
    let found = parts.iter().filter(|part| matches!(book[**part].places, Places::AsFound));
    facts.extend(found.filter(|part| no_more(book, record, **part)).map(|part| Fact::NoMore(*part)));
    let rank = |fact: &Fact| {
        let part = fact.part(book);
        // That a part is good where it may not even be there tells less than what decides whether it is.
        let filled = matches!(fact, Fact::Look(look, path) if !written(record, *look, *path)) && book[part].only_when.is_some();
        (filled, part != on, book[part].context, *fact)
    };
    facts.sort_by_key(rank);
    facts.dedup();
    facts
}

/// The record as it would be had it not said some of this.
pub fn without<'f>(book: &Book, record: &Record, forgotten: impl IntoIterator<Item = &'f Fact>) -> Record {
    let mut less = record.clone();
    less.written.clear();
    for fact in forgotten {
        match *fact {
            Fact::Look(look, path) => {
                less.entries.retain(|entry| !matches!(entry, Entry::Look(of, at, _) if (*of, *at) == (look, path)));
                less.left_out.push((look, path));
            }
            Fact::Absent(part, path) => less.entries.retain(|entry| *entry != Entry::Absent(part, path)),
            Fact::NoMore(part) => {
                less.entries.retain(|entry| *entry != Entry::NoPlaces(part));
                less.entries.push(Entry::MayBeMore(part));
            }
        }
    }
    // A place as found is there even where nothing is said of it any more.
    let gone = less.left_out.iter().filter(|(_, path)| matches!(path, RecordPath::Found(_)));
    let places: BTreeSet<(PartId, RecordPath)> = gone.map(|(look, path)| (book[*look].part, *path)).collect();
    less.entries.extend(places.into_iter().map(|(part, path)| Entry::There(part, path)));
    less
}

/// The look that an entry tells something of.
fn tells(entry: &Entry) -> Option<(LookId, RecordPath)> {
    match entry {
        Entry::Look(look, path, saying) if !matches!(**saying, Saying::CouldNotTell | Saying::Text(_)) => Some((*look, *path)),
        _ => None,
    }
}

/// The looks of a slice, and those of which a record says something that narrows them: what is written down applies, what is
/// said not to apply does not, and so tells something of whatever decides that.
fn near(book: &Book, slice: &Slice, record: &Record) -> BTreeSet<LookId> {
    let mut near = slice.looks.clone();
    let mut said: Vec<(Option<LookId>, BTreeSet<LookId>)> = Vec::new();
    for entry in &record.entries {
        match entry {
            Entry::Absent(part, _) => said.push((None, decide_part(book, *part))),
            entry => said.extend(tells(entry).map(|(look, _)| (Some(look), decide_look(book, look)))),
        }
    }
    said.retain(|(_, by)| !by.is_empty());
    loop {
        let before = near.len();
        for (look, by) in &said {
            if look.is_some_and(|look| near.contains(&look)) || by.iter().any(|by| near.contains(by)) {
                near.extend(look);
                near.extend(by);
            }
        }
        if near.len() == before {
            return near;
        }
    }
}

/// The looks that decide whether a look applies.
fn decide_look(book: &Book, look: LookId) -> BTreeSet<LookId> {
    let mut reads = Reads::default();
    book[look].only_when.iter().for_each(|when| reads.condition(book, when));
    let own = reads.looks.iter().chain(&reads.keys).map(|at| at.look);
    own.chain(decide_part(book, book[look].part)).collect()
}

/// The looks that decide whether a part and its places are there.
fn decide_part(book: &Book, part: PartId) -> BTreeSet<LookId> {
    let part = &book[part];
    let places = part.fixed_places().iter().flat_map(|place| &place.only_when);
    let mut reads = Reads::default();
    part.only_when.iter().chain(places).for_each(|when| reads.condition(book, when));
    reads.looks.iter().chain(&reads.keys).map(|at| at.look).collect()
}

/// The parts whose places are counted in a slice.
pub fn counted(slice: &Slice) -> BTreeSet<PartId> {
    let mut parts = BTreeSet::new();
    for finding in &slice.book.findings {
        std::iter::once(&finding.signs).chain(&finding.unless).for_each(|condition| quantified(condition, &mut parts));
    }
    parts
}

/// Adds the parts whose places a condition asks for.
pub fn quantified(condition: &Condition, into: &mut BTreeSet<PartId>) {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
            all.iter().for_each(|one| quantified(one, into))
        }
        Condition::Not(inner) => quantified(inner, into),
        Condition::Places { part, with, .. } => {
            into.insert(*part);
            quantified(with, into);
        }
        Condition::Test(..) | Condition::Found(..) => {}
    }
}

/// The places of a part, as far as a record has them.
pub fn paths(book: &Book, record: &Record, part: PartId) -> Vec<RecordPath> {
    match &book[part].places {
        Places::Single => vec![RecordPath::Single],
        Places::Fixed(places) => (0..places.len() as u32).map(|place| RecordPath::Fixed(PlaceId(place))).collect(),
        Places::AsFound => {
            let found = found_places(book, record).into_iter().filter(|(of, _)| *of == part);
            found.map(|(_, number)| RecordPath::Found(number)).collect()
        }
    }
}

/// Whether a record says of a place that it is good, or of all of its part, or of all the rest.
pub fn good(record: &Record, part: PartId, path: RecordPath) -> bool {
    record.entries.iter().any(|entry| match entry {
        Entry::Good(of, at) => *of == part && at.is_none_or(|at| at == path),
        Entry::RestGood => true,
        _ => false,
    })
}

/// Whether a record says anything of a look itself.
pub fn written(record: &Record, look: LookId, path: RecordPath) -> bool {
    record.entries.iter().any(|entry| matches!(entry, Entry::Look(of, at, _) if (*of, *at) == (look, path)))
}

/// Whether a record says how many places of a part there are.
pub fn no_more(book: &Book, record: &Record, part: PartId) -> bool {
    let says = |wanted: &dyn Fn(&Entry) -> bool| record.entries.iter().any(wanted);
    let closed = says(&|entry| match entry {
        Entry::NoPlaces(of) | Entry::Good(of, None) | Entry::Absent(of, None) => *of == part,
        Entry::RestGood => true,
        _ => false,
    });
    let recorded = found_places(book, record).iter().any(|(of, _)| *of == part);
    (closed || recorded) && !says(&|entry| *entry == Entry::MayBeMore(part))
}

/// Whether text holds no sign.
pub fn is_sign(kind: &LookKind) -> bool {
    !matches!(kind, LookKind::Written)
}
