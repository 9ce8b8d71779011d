//! A record of both books in the terms of one of them.

use crate::book::{Book, LookId, LookKind, PartId, PlaceId, Places, RecordEntry, RecordPath};
use crate::saying::Saying;

/// A record as one of two books can take it.
#[derive(Debug, Clone)]
pub struct Said {
    /// Its entries.
    pub entries: Vec<RecordEntry>,
    /// What the book has no look or part for, by name.
    pub left_out: Vec<String>,
}

/// A record of `both` in the terms of `book`, by name; none where it says something of a look that this book refuses.
pub fn said(both: &Book, book: &Book, record: &[RecordEntry]) -> Option<Said> {
    let mut said = Said { entries: Vec::new(), left_out: Vec::new() };
    for entry in record {
        let there = match entry {
            RecordEntry::Look(look, path, saying) | RecordEntry::Last(look, path, saying) => {
                let Some(there) = look_of(both, book, *look) else {
                    said.left_out.push(both.look_path(*look));
                    continue;
                };
                let part = both[*look].part;
                let Some(path) = place_of(both, book, part, book[there].part, *path) else {
                    said.left_out.push(both.look_path(*look));
                    continue;
                };
                let saying = saying_of(both, book, *look, there, saying)?;
                match entry {
                    RecordEntry::Last(..) => RecordEntry::Last(there, path, saying),
                    _ => RecordEntry::Look(there, path, saying),
                }
            }
            RecordEntry::Good(part, at) | RecordEntry::Absent(part, at) => {
                let there = book.find_part(&both[*part].name);
                let place = |there: PartId| match at {
                    Some(at) => place_of(both, book, *part, there, *at).map(Some),
                    None => Some(None),
                };
                let Some((there, at)) = there.and_then(|there| Some((there, place(there)?))) else {
                    said.left_out.push(both[*part].name.clone());
                    continue;
                };
                match entry {
                    RecordEntry::Good(..) => RecordEntry::Good(there, at),
                    _ => RecordEntry::Absent(there, at),
                }
            }
            RecordEntry::NoPlaces(part) | RecordEntry::MayBeMore(part) => {
                let repeats = |there: &PartId| matches!(book[*there].places, Places::AsFound);
                let Some(there) = book.find_part(&both[*part].name).filter(repeats) else {
                    said.left_out.push(both[*part].name.clone());
                    continue;
                };
                match entry {
                    RecordEntry::NoPlaces(_) => RecordEntry::NoPlaces(there),
                    _ => RecordEntry::MayBeMore(there),
                }
            }
            other => other.clone(),
        };
        said.entries.push(there);
    }
    said.left_out.dedup();
    Some(said)
}

fn look_of(both: &Book, book: &Book, look: LookId) -> Option<LookId> {
    let look = &both[look];
    let part = book.find_part(&both[look.part].name)?;
    let there = book.find_look(part, &look.name)?;
    let same = std::mem::discriminant(&book[there].kind) == std::mem::discriminant(&look.kind);
    (same && book[there].dimension() == look.dimension()).then_some(there)
}

fn place_of(both: &Book, book: &Book, from: PartId, to: PartId, path: RecordPath) -> Option<RecordPath> {
    match (path, &book[to].places) {
        (RecordPath::Single, Places::Single) => Some(RecordPath::Single),
        (RecordPath::Found(number), Places::AsFound) => Some(RecordPath::Found(number)),
        (RecordPath::Fixed(place), Places::Fixed(places)) => {
            let name = &both[from].fixed_places().get(place.index())?.name;
            let at = places.iter().position(|place| place.name == *name)?;
            Some(RecordPath::Fixed(PlaceId(u32::try_from(at).ok()?)))
        }
        _ => None,
    }
}

/// What is said of a look, its choices by name; none where the other book's look does not take it.
fn saying_of(both: &Book, book: &Book, from: LookId, to: LookId, saying: &Saying) -> Option<Saying> {
    let choices = |choices: &[usize]| -> Option<Vec<usize>> {
        if matches!(book[to].kind, LookKind::YesNo) {
            return Some(choices.to_vec());
        }
        let place = |choice: &usize| {
            let name = &both[from].choices().get(*choice)?.name;
            book[to].choices().iter().position(|known| known.name == *name)
        };
        choices.iter().map(place).collect()
    };
    match saying {
        Saying::OneOf(said) => choices(said).map(Saying::OneOf),
        Saying::Exactly(said) => choices(said).map(Saying::Exactly),
        other => Some(other.clone()),
    }
}
