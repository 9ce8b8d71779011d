//! One inspection record, its names looked up and its values understood.

use std::ops::Range;
use std::sync::Arc;

use purfle_lang::book::{LookId, PartId, RecordPath};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

/// One instrument's record.
#[derive(Debug, Clone, Default)]
pub struct Record {
    /// Where it was read.
    pub source: Source,
    /// The inspection's own mark.
    pub id: String,
    /// The instrument's lasting mark.
    pub tag: Option<String>,
    /// The day of the inspection, as a day number.
    pub inspected_on: Option<i64>,
    /// The shop's price, once it has seen the instrument; in the rulebook's money.
    pub quoted: Option<Number>,
    /// What was written down, in the order written.
    pub entries: Vec<Entry>,
    /// What the record before says, for the looks that the rulebook compares with it.
    pub last: Vec<(LookId, RecordPath, Arc<Saying>)>,
    /// The day of the newest inspection of the same instrument, where that is later than this one and the rulebook has
    /// had earlier records read.
    pub seen_again: Option<i64>,
    /// Fields that name no part, carried along as they were.
    pub carried: Vec<(String, String)>,
    /// Looks that are taken as not looked at, even where their part is said to be good. No file says so: it is asked
    /// what would come of the record without them.
    pub left_out: Vec<(LookId, RecordPath)>,
    /// How the entries were written, where the reader was asked to note it.
    pub written: Vec<Written>,
}

/// The field that gave one entry of a record or more, or none where it says that nobody looked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The entries, by their place in the list.
    pub entries: Range<usize>,
    /// The field, as written.
    pub field: Box<str>,
    /// The letter of its column, in a table.
    pub column: Option<Box<str>>,
}

/// Where a record was read.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Source {
    /// The file, as given on the command line.
    pub file: Arc<str>,
    /// The row (CSV: counting the heading as 1) or line, or the place in an array, from 1.
    pub row: u64,
}

/// One thing a record says.
#[derive(Debug, Clone, PartialEq)]
pub enum Entry {
    /// A look, and what is said of it. Equal sayings of one look may share one allocation.
    Look(LookId, RecordPath, Arc<Saying>),
    /// A part, or one place of it, is good.
    Good(PartId, Option<RecordPath>),
    /// A place as found is there, whatever else is said of it.
    There(PartId, RecordPath),
    /// A part, or one place of it, does not apply.
    Absent(PartId, Option<RecordPath>),
    /// Looked for places as found, and there are none.
    NoPlaces(PartId),
    /// There may be more places than are written down.
    MayBeMore(PartId),
    /// Every look that was not written down and has a `good` is good, and there are no more places.
    RestGood,
}
