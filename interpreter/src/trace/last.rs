//! Why a counsel is given or not, and whom a fund is for: their conditions, each with what came of it, and what decides them.
//!
//! What such a condition says of the totals is asked of the whole book, and hangs on all that was found; so only for a
//! condition that does not read them the smallest part of the record is sought that decides it.

use purfle_lang::book::{Book, Condition, Cost, Finding, FindingId, PartId, StepId, UrgencyLine};
use purfle_lang::span::Span;

use super::deciding::{Deciding, deciding};
use super::known::Known;
use super::probe::{Ground, Probes, reads_totals};
use super::signs::{Asking, Sign};
use super::trial::Trial;
use crate::outcome::At;
use crate::record::Record;
use crate::slice::{Slice, bare};

/// Why a condition on the whole outcome is as it is.
#[derive(Debug, Clone)]
pub struct Last {
    /// The condition.
    pub sign: Sign,
    /// Whether it reads the totals.
    pub totals: bool,
    /// What decides it; none for one that is open, or reads the totals.
    pub deciding: Option<Deciding>,
}

/// Explains conditions on the whole outcome of a record; none where that cannot be told, as too much is open.
pub fn last(book: &Book, record: &Record, conditions: &[&Condition]) -> Option<Vec<Last>> {
    let like = FindingId::from_index(0);
    let on = always_there(book)?;
    book.findings.first()?;
    let mut probes = Probes::of_totals(bare(book));
    let mut asking = Asking { known: Known { book, record }, probes: &mut probes, finding: like };
    let ground = Ground { on, each: false, at: At::Part };
    let trees: Vec<_> = conditions.iter().map(|condition| asking.tree(condition, ground)).collect();
    let answers = probes.answers(record)?;
    let told = trees.into_iter().zip(conditions).map(|(tree, condition)| {
        let totals = reads_totals(condition);
        let deciding = if totals { None } else { decided(book, record, condition) };
        Last { sign: tree.answered(&answers), totals, deciding }
    });
    Some(told.collect())
}

/// A part that every record has, so that what decides whether it is there decides nothing else.
fn always_there(book: &Book) -> Option<PartId> {
    let parts = (0..book.parts.len()).map(PartId::from_index);
    let always = |part: &PartId| book[*part].only_when.is_none() && !book[*part].repeats();
    parts.filter(always).max_by_key(|part| book[*part].context)
}

/// What decides a condition: it is asked as the signs of a finding of its own.
fn decided(book: &Book, record: &Record, condition: &Condition) -> Option<Deciding> {
    let first = book.findings.first()?;
    let line = UrgencyLine { step: StepId(0), when: None, span: Span::default() };
    let finding = Finding {
        on: always_there(book)?,
        each: false,
        signs: condition.clone(),
        unless: Vec::new(),
        urgency: vec![line],
        cost: Cost::default(),
        ways: Vec::new(),
        becomes: Vec::new(),
        yields_to: Vec::new(),
        ..first.clone()
    };
    let (id, on) = (FindingId::from_index(book.findings.len()), finding.on);
    let mut with = bare(book);
    with.findings.push(finding);
    let slice = Slice::holding(&with, id);
    let mut trial = Trial::new(&slice, id, At::Part);
    deciding(&with, &slice, on, &mut trial, record)
}
