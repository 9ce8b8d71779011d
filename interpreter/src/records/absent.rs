//! A part that does not apply, beside something that was seen of it: the two disagree.

use purfle_lang::book::{Book, PartId, RecordPath};
use purfle_lang::saying::Saying;
use purfle_lang::saying::{look_field, place_suffix};

use super::refused::Fault;
use crate::record::Entry;

/// Adds a fault for each part (or place) said not to apply of which a look was seen, or that is said to be good.
pub fn check(book: &Book, entries: &[Entry], faults: &mut Vec<Fault>) {
    for entry in entries {
        let Entry::Absent(part, at) = entry else { continue };
        let Some(seen) = entries.iter().find_map(|other| seen_of(book, other, *part, *at)) else { continue };
        let field = format!("{}{}", book[*part].name, at.map(|at| place_suffix(book, *part, at)).unwrap_or_default());
        faults.push(Fault::field(
            &field,
            "-",
            format!("it says that `{field}` does not apply, and `{seen}` is written down; empty one of the two"),
        ));
    }
}

fn seen_of(book: &Book, entry: &Entry, part: PartId, at: Option<RecordPath>) -> Option<String> {
    let covers = |place: RecordPath| at.is_none_or(|at| at == place);
    match entry {
        Entry::Look(look, place, saying)
            if book[*look].part == part && covers(*place) && !matches!(**saying, Saying::CouldNotTell | Saying::DoesNotApply) =>
        {
            Some(look_field(book, *look, *place))
        }
        Entry::Good(other, Some(place)) | Entry::There(other, place) if *other == part && covers(*place) => {
            Some(format!("{}{}", book[part].name, place_suffix(book, part, *place)))
        }
        _ => None,
    }
}
