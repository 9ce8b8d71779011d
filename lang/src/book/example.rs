//! Worked examples: a record in short, and what is agreed to come out of it.

use super::Origin;
use super::id::{AidId, CounselId, FindingId, HandId, LookId, PartId, PlaceId, StepId, TierId};
use crate::number::Number;
use crate::saying::Saying;
use crate::span::Span;

/// A worked case the shop agrees on.
#[derive(Debug, Clone)]
pub struct Example {
    /// Its words.
    pub words: String,
    /// The record.
    pub record: Vec<RecordEntry>,
    /// What must come out, each with the place it was written.
    pub expects: Vec<(Expectation, Span)>,
    /// The rulebook it belongs to and where it was written.
    pub origin: Origin,
}

/// A place in a record: one of the fixed ones, or the n-th recorded one (from 1).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum RecordPath {
    /// The part has no places.
    Single,
    /// A fixed place.
    Fixed(PlaceId),
    /// The n-th place as found, counted from 1.
    Found(u32),
}

/// One entry of an example's record.
#[derive(Debug, Clone)]
pub enum RecordEntry {
    /// A look and what is said of it.
    Look(LookId, RecordPath, Saying),
    /// The same look in the record before.
    Last(LookId, RecordPath, Saying),
    /// A part, or one place of it, is good.
    Good(PartId, Option<RecordPath>),
    /// A part, or one place of it, does not apply.
    Absent(PartId, Option<RecordPath>),
    /// `no crack`: looked, and there are none.
    NoPlaces(PartId),
    /// `crack may be more`.
    MayBeMore(PartId),
    /// `the rest is good`: every look that is not written down and has a `good`, and there are no more places.
    RestGood,
    /// The shop's price.
    Quoted(Number),
    /// The record's date, as a day number.
    InspectedOn(i64),
}

/// What is known of a finding, as an example writes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum StateWord {
    /// `finds`
    Found,
    /// `clear`
    Clear,
    /// `open`: suspected or not ruled out
    Open,
    /// `suspects`
    Suspected,
}

/// A range as an example writes it; both ends the same where one value is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ExpectedRange<T> {
    /// Least.
    pub from: T,
    /// Greatest.
    pub to: T,
}

/// One thing an example expects.
#[derive(Debug, Clone)]
pub enum Expectation {
    /// `finds`, `clear`, `open`, `suspects` a finding, on a place or on any, at a step or steps.
    Finding {
        /// Found, clear, open or suspected.
        state: StateWord,
        /// Which.
        finding: FindingId,
        /// Where; any place where none is written (all places for `clear`).
        place: Option<RecordPath>,
        /// At which steps, where written.
        at: Option<ExpectedRange<StepId>>,
    },
    /// `finds nothing else`: nothing is found beyond the `finds` lines of this example.
    NothingElse,
    /// `urgency STEP [to STEP]`
    Urgency(ExpectedRange<StepId>),
    /// `played yes`, `played no`, `played open`
    Played(PlayedWord),
    /// `cost RANGE`, rounded as printed.
    Cost(ExpectedRange<Number>),
    /// `left RANGE`, rounded as printed.
    Left(ExpectedRange<Number>),
    /// `tier T [to T]`
    Tier(ExpectedRange<TierId>),
    /// `hands H [to H]`; none where nobody is needed (`hands none`).
    Hands(ExpectedRange<Option<HandId>>),
    /// `due DATE [to DATE]`, as day numbers.
    Due(ExpectedRange<i64>),
    /// `looks LOOK`: among the next looks.
    Looks(LookId, Option<RecordPath>),
    /// `looks not LOOK`: not among them.
    LooksNot(LookId, Option<RecordPath>),
    /// `counsel NAME found|clear|open`
    Counsel(CounselId, StateWord),
    /// `refused`: the record cannot be.
    Refused,
    /// `aid A eligible|refused|open`
    Aid(AidId, AidWord),
}

/// Whether it may be played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PlayedWord {
    /// Nothing found forbids it, in any case.
    Yes,
    /// Forbidden in every case.
    No,
    /// Forbidden in some.
    Open,
}

/// What a fund says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum AidWord {
    /// In every case, and everything needed was answered.
    Eligible,
    /// In no case.
    Refused,
    /// Neither.
    Open,
}
