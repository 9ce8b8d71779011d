//! Judging one finding again and again, of records that differ in little.

use std::sync::Arc;

use purfle_lang::book::{FindingId, StateWord};

use crate::judge::{Brief, Judge};
use crate::outcome::At;
use crate::plan::Plan;
use crate::record::Record;
use crate::slice::Slice;

/// What comes of a condition over all that a record leaves open.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum State {
    /// It holds in every case.
    Holds,
    /// It holds in none.
    Fails,
    /// In some and not in others.
    Open,
}

impl State {
    /// The state of a finding at a place.
    pub fn of(brief: &Brief, finding: FindingId, at: At) -> Self {
        match brief.findings.iter().find(|line| line.finding == finding && line.at == at).map(|line| line.state) {
            Some(StateWord::Found) => State::Holds,
            Some(_) => State::Open,
            None => State::Fails,
        }
    }
}

/// One finding at a place, judged by a book with nothing else in it, and not more often than is allowed.
pub struct Trial {
    /// The judge of the small book.
    pub judge: Judge,
    finding: FindingId,
    at: At,
    left: u32,
}

/// How often one finding is judged at the most, to find one thing out.
pub const MOST_TRIALS: u32 = 4_000;

impl Trial {
    /// A finding at a place, by its slice.
    pub fn new(slice: &Slice, finding: FindingId, at: At) -> Self {
        let judge = Judge::new(Arc::new(Plan::new(Arc::new(slice.book.clone()))));
        Self { judge, finding, at, left: MOST_TRIALS }
    }

    /// Allows for as many trials again, for another question.
    pub fn begin(&mut self) {
        self.left = MOST_TRIALS;
    }

    /// Whether no trial is left.
    pub fn is_over(&self) -> bool {
        self.left == 0
    }

    /// What comes of the finding; none where the record cannot be, or too much was tried already.
    pub fn state(&mut self, record: &Record) -> Option<State> {
        self.left = self.left.checked_sub(1)?;
        let brief = self.judge.brief(record).ok()?;
        Some(State::of(&brief, self.finding, self.at))
    }

    /// Whether what comes of it is worked out case by case, and not only enclosed.
    pub fn is_exact(&mut self, record: &Record) -> bool {
        self.judge.judge(record).is_ok_and(|outcome| outcome.urgency_exact)
    }
}
