//! What a record says of a look, in words, with where it was recorded and what it can still be.

use num_traits::Signed;
use purfle_lang::book::{LookKind, RecordPath, Value};
use purfle_lang::number::{Number, format_rounded};
use purfle_lang::saying::{Saying, look_field, place_suffix};
use purfle_lang::unit::{Dimension, format_date};
use purfle_lang::wording::reading_error;
use serde::Serialize;

use super::saying;
use super::view::{AppliesView, Teller};
use crate::report::money_range;
use crate::trace::{Fact, Known, Met, ReadAt, Told};

/// A look with what the record says of it.
#[derive(Serialize, Clone)]
#[serde(rename_all = "kebab-case")]
pub struct ReadView {
    /// The look, as a record writes it; a part, where the record says something of a whole part.
    pub look: String,
    /// Whether it is that of the record before.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub last: bool,
    /// `written`, `good`, `not looked at`, `could not tell`, `does not apply`, `no earlier record` or `no more`.
    pub how: &'static str,
    /// What it shows, as a record writes it.
    pub value: Option<String>,
    /// Its reading error, where that widens it.
    pub give_or_take: Option<String>,
    /// What it can still be, where that is more than what was written.
    pub can_be: Option<String>,
    /// Where that was recorded.
    pub recorded: Option<RecordedView>,
    /// What decides whether it applies, where that is not settled or is not so.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub only_when: Vec<AppliesView>,
}

/// Where something was recorded.
#[derive(Serialize, Clone)]
pub struct RecordedView {
    /// The file.
    pub file: String,
    /// The row, line or place in the array, from 1.
    pub row: u64,
    /// The letter of the column, in a table.
    pub column: Option<String>,
    /// The field, as it is written there.
    pub field: Option<String>,
}

/// A table or a reckoning in a condition, with what it comes to.
#[derive(Serialize, Clone)]
#[serde(rename_all = "kebab-case")]
pub struct WorkedView {
    /// Its name.
    pub name: String,
    /// What it comes to; none where it has no value.
    pub comes_to: Option<String>,
}

/// Where an entry of the record was written.
fn recorded(teller: &Teller<'_>, entry: usize) -> RecordedView {
    let record = teller.record;
    let written = record.written.iter().find(|written| written.entries.contains(&entry));
    RecordedView {
        file: record.source.file.to_string(),
        row: record.source.row,
        column: written.and_then(|written| written.column.as_deref()).map(str::to_owned),
        field: written.map(|written| written.field.to_string()),
    }
}

/// A look that a condition reads.
pub fn read(teller: &Teller<'_>, read: &ReadAt) -> ReadView {
    let book = teller.book;
    let doubtful: Vec<_> = read.applies.iter().filter(|(_, met)| *met != Met::Met).copied().collect();
    let only_when = teller.applies(&doubtful);
    let blank = |look: String, how| ReadView {
        look,
        last: read.last,
        how,
        value: None,
        give_or_take: None,
        can_be: None,
        recorded: None,
        only_when: Vec::new(),
    };
    let Some(path) = read.path else {
        return blank(format!("{}.any.{}", book[book[read.look].part].name, book[read.look].name), "not looked at");
    };
    if read.last {
        let field = look_field(book, read.look, path);
        let said = teller.record.last.iter().find(|(look, at, _)| (*look, *at) == (read.look, path));
        return match said {
            Some((.., said)) => ReadView { value: Some(saying::value(book, read.look, said)), ..blank(field, "written") },
            None => blank(field, "no earlier record"),
        };
    }
    ReadView { only_when, ..look(teller, read.look, path) }
}

/// A look at a place.
pub fn look(teller: &Teller<'_>, look: purfle_lang::book::LookId, path: RecordPath) -> ReadView {
    let book = teller.book;
    let known = Known { book, record: teller.record };
    let kind = &book[look].kind;
    let mut view = ReadView {
        look: look_field(book, look, path),
        last: false,
        how: "not looked at",
        value: None,
        give_or_take: None,
        can_be: None,
        recorded: None,
        only_when: Vec::new(),
    };
    match known.told(look, path) {
        Told::NotLookedAt => {}
        Told::Absent(entry) => (view.how, view.recorded) = ("does not apply", Some(recorded(teller, entry))),
        Told::Written(entry, said) => {
            view.recorded = Some(recorded(teller, entry));
            view.how = match said {
                Saying::CouldNotTell => "could not tell",
                Saying::DoesNotApply => "does not apply",
                _ => "written",
            };
            if view.how == "written" {
                view.value = Some(saying::value(book, look, said));
            }
            if let (LookKind::Measured { unit, give_or_take: Some(error), .. }, Saying::Between { reading: true, .. }) =
                (kind, said)
            {
                view.give_or_take = Some(reading_error(*error, *unit));
                view.can_be = known.extent(look, path).and_then(|extent| extent.ends).map(|ends| saying::range(book, look, ends));
            }
        }
        Told::Good(entry) => {
            view.recorded = Some(recorded(teller, entry));
            view.how = "good";
            view.value = known.saying(look, path).map(|said| match (known.stretch(look, path), &said) {
                (Some(ends), Saying::Between { .. }) => saying::range(book, look, ends),
                _ => saying::value(book, look, &said),
            });
        }
    }
    view
}

/// Something that the record says.
pub fn fact(teller: &Teller<'_>, fact: Fact) -> ReadView {
    let book = teller.book;
    let record = teller.record;
    let whole = |look: String, how, entry: Option<usize>| ReadView {
        look,
        last: false,
        how,
        value: None,
        give_or_take: None,
        can_be: None,
        recorded: entry.map(|entry| recorded(teller, entry)),
        only_when: Vec::new(),
    };
    match fact {
        Fact::Look(id, path) => look(teller, id, path),
        Fact::Absent(part, path) => {
            let entry = record.entries.iter().position(|entry| *entry == crate::record::Entry::Absent(part, path));
            let place = path.map(|path| place_suffix(book, part, path)).unwrap_or_default();
            whole(format!("{}{place}", book[part].name), "does not apply", entry)
        }
        Fact::NoMore(part) => whole(book[part].name.clone(), "no more", None),
    }
}

/// A table or a reckoning in a condition; none for arithmetic, which is quoted as it is written.
pub fn worked(teller: &Teller<'_>, value: &Value, ends: Option<(Number, Number)>) -> Option<WorkedView> {
    let book = teller.book;
    let (name, dimension) = match value {
        Value::Table(table) => (&book[*table].name, book[*table].dimension),
        Value::Reckon(reckon) => (&book[*reckon].name, book[*reckon].dimension),
        _ => return None,
    };
    let comes_to = ends.map(|(low, high)| amount(teller, dimension, low, high));
    Some(WorkedView { name: name.clone(), comes_to })
}

/// An amount of a kind, in its base unit.
fn amount(teller: &Teller<'_>, dimension: Dimension, low: Number, high: Number) -> String {
    if dimension == Dimension::MONEY {
        return money_range(teller.book, low, high);
    }
    if dimension == Dimension::DATE {
        let day = |at: Number| i64::try_from(at.to_integer()).map(format_date).unwrap_or_default();
        return if low == high { day(low) } else { format!("{} to {}", day(low), day(high)) };
    }
    let (per, unit) = match dimension {
        Dimension::LENGTH => (1, " mm"),
        Dimension::ANGLE => (1, " deg"),
        Dimension::PERCENT => (1, " %"),
        Dimension::MONTHS => (1, " months"),
        Dimension::TEMPERATURE => (1, " degC"),
        Dimension::TIME if low.abs() >= Number::from_integer(24 * 60) => (24 * 60, " days"),
        Dimension::TIME => (1, " min"),
        _ => (1, ""),
    };
    let shown =
        |at: Number| format_rounded(at / Number::from_integer(per), 2).trim_end_matches('0').trim_end_matches('.').to_owned();
    if low == high { format!("{}{unit}", shown(low)) } else { format!("{} to {}{unit}", shown(low), shown(high)) }
}
