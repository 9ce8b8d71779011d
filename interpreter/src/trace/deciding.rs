//! The smallest part of what a record says that decides a finding already, whatever the rest of it had shown.

use purfle_lang::book::{Book, PartId};

use super::facts::{Fact, facts, without};
use super::smallest::smallest;
use super::trial::{State, Trial};
use crate::record::Record;
use crate::slice::Slice;

/// What decides a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Deciding {
    /// What the record says; nothing where a finding comes out so of every record.
    pub facts: Vec<Fact>,
    /// Whether surely nothing smaller does.
    pub smallest: bool,
}

/// What decides that a finding is as it is; none where it is open.
pub fn deciding(book: &Book, slice: &Slice, on: PartId, trial: &mut Trial, record: &Record) -> Option<Deciding> {
    trial.begin();
    let state = trial.state(record).filter(|state| *state != State::Open)?;
    let all = facts(book, slice, on, record);
    let mut decides = |chosen: &[bool]| {
        let forgotten = all.iter().zip(chosen).filter(|(_, chosen)| !**chosen).map(|(fact, _)| fact);
        let came = trial.state(&without(book, record, forgotten));
        if came.is_none() && trial.is_over() { None } else { Some(came == Some(state)) }
    };
    // What the search takes to be possible: that the rest of what is said makes no difference.
    if decides(&vec![true; all.len()]) != Some(true) {
        return None;
    }
    let found = smallest(all.len(), decides);
    Some(Deciding { facts: found.members.iter().map(|at| all[*at]).collect(), smallest: found.surely })
}
