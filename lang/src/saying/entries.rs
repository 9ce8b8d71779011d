//! A whole record as text, the way an example writes it.

use super::{Saying, format};
use crate::book::{Book, LookId, LookKind, PartId, RecordEntry, RecordPath};
use crate::number::format_rounded;
use crate::unit::format_date;

/// A place as it is written after its part: `.E`, `.1`, or nothing.
pub fn place_suffix(book: &Book, part: PartId, at: RecordPath) -> String {
    match at {
        RecordPath::Single => String::new(),
        RecordPath::Fixed(place) => {
            book[part].fixed_places().get(place.index()).map_or_else(String::new, |place| format!(".{}", place.name))
        }
        RecordPath::Found(number) => format!(".{number}"),
    }
}

/// A look as a record writes it: `button.gap`, `peg.E.turns`, `crack.1.length`.
pub fn look_field(book: &Book, look: LookId, at: RecordPath) -> String {
    let part = book[look].part;
    format!("{}{}.{}", book[part].name, place_suffix(book, part, at), book[look].name)
}

/// The entries of a record with commas between them, as they stand after `record` in an example.
pub fn entries(book: &Book, record: &[RecordEntry]) -> String {
    record.iter().map(|entry| one(book, entry)).collect::<Vec<_>>().join(", ")
}

fn one(book: &Book, entry: &RecordEntry) -> String {
    let place = |part: PartId, at: &Option<RecordPath>| {
        format!("{}{}", book[part].name, at.map(|at| place_suffix(book, part, at)).unwrap_or_default())
    };
    match entry {
        RecordEntry::Look(id, at, saying) => said(book, *id, &look_field(book, *id, *at), saying),
        RecordEntry::Last(id, at, saying) => format!("last {}", said(book, *id, &look_field(book, *id, *at), saying)),
        RecordEntry::Good(part, at) => format!("{} is good", place(*part, at)),
        RecordEntry::Absent(part, at) => format!("{} does not apply", place(*part, at)),
        RecordEntry::NoPlaces(part) => format!("no {}", book[*part].name),
        RecordEntry::MayBeMore(part) => format!("{} may be more", book[*part].name),
        RecordEntry::RestGood => "the rest is good".to_owned(),
        RecordEntry::Quoted(price) => {
            format!("quoted is {} {}", format_rounded(*price, book.money.minor_places()), book.money.code())
        }
        RecordEntry::InspectedOn(day) => format!("inspected-on is {}", format_date(*day)),
    }
}

/// What is said of a look: as a record file has it, but for what only stands alone there, or would end the entry.
fn said(book: &Book, id: LookId, field: &str, saying: &Saying) -> String {
    let look = &book[id];
    let choice = |&at: &usize| look.choices().get(at).map_or_else(String::new, |choice| name_or_quoted(&choice.name));
    match (saying, &look.kind) {
        (Saying::CouldNotTell, _) => format!("{field} not told"),
        (Saying::DoesNotApply, _) => format!("{field} does not apply"),
        (Saying::OneOf(choices), LookKind::YesNo) if choices[..] == [1] => field.to_owned(),
        (Saying::OneOf(choices), LookKind::OneOf(_)) => {
            format!("{field} is {}", choices.iter().map(choice).collect::<Vec<_>>().join(" or "))
        }
        (Saying::Exactly(choices), _) if !choices.is_empty() => {
            format!("{field} is {}", choices.iter().map(choice).collect::<Vec<_>>().join(" and "))
        }
        (Saying::Text(text), _) => format!("{field} is {}", quoted(text)),
        _ => format!("{field} is {}", format(look, saying, book.money)),
    }
}

fn name_or_quoted(name: &str) -> String {
    let is_name = name.starts_with(|first: char| first.is_ascii_alphabetic())
        && name.chars().all(|char| char.is_ascii_alphanumeric() || char == '-');
    if is_name { name.to_owned() } else { quoted(name) }
}

fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n"))
}
