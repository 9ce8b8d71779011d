//! Runs a book's worked examples and compares what comes out with what was agreed.

mod check;
pub mod coverage;
pub mod mutants;
mod numbers;
pub(crate) mod reads;
mod rows;

use std::sync::Arc;

use purfle_lang::book::{Book, Example, RecordEntry};
use purfle_lang::span::Span;

use self::check::Check;
use self::coverage::Coverage;
use crate::judge::Judge;
use crate::record::{Entry, Record};

/// What came of all examples of a book.
pub struct Rehearsal<'a> {
    /// Its own examples.
    pub own: Vec<Rehearsed<'a>>,
    /// Those of the rulebooks it is built on, which may come out differently.
    pub inherited: Vec<Rehearsed<'a>>,
    /// What all of them reach.
    pub coverage: Coverage,
}

impl<'a> Rehearsal<'a> {
    /// Runs them all.
    pub fn of(book: &'a Arc<Book>, judge: &mut Judge) -> Self {
        let mut coverage = Coverage::new(Arc::clone(book));
        let mut run = |examples: &'a [Example]| -> Vec<Rehearsed<'a>> {
            examples.iter().inspect(|example| coverage.add(example)).map(|example| rehearse(book, judge, example)).collect()
        };
        let (own, inherited) = (run(&book.examples), run(&book.inherited_examples));
        Self { own, inherited, coverage }
    }

    /// How many of its own examples do not come out as agreed.
    pub fn failed(&self) -> usize {
        self.own.iter().filter(|rehearsed| !rehearsed.misses.is_empty()).count()
    }

    /// How many of the inherited examples come out differently.
    pub fn different(&self) -> usize {
        self.inherited.iter().filter(|rehearsed| !rehearsed.misses.is_empty()).count()
    }
}

/// What came of one example.
#[derive(Debug)]
pub struct Rehearsed<'a> {
    /// The example.
    pub example: &'a Example,
    /// What was expected and did not come out.
    pub misses: Vec<Miss>,
}

/// One thing that was expected and did not come out.
#[derive(Debug, PartialEq, Eq)]
pub struct Miss {
    /// Where the expectation is written.
    pub span: Span,
    /// What came out instead.
    pub came_out: String,
    /// What decides it: looks with what the record says of them.
    pub because: Vec<String>,
}

/// Runs one example.
pub fn rehearse<'a>(book: &'a Arc<Book>, judge: &mut Judge, example: &'a Example) -> Rehearsed<'a> {
    let record = record_of(example);
    let outcome = judge.judge(&record);
    let check = Check { book, record: &record, example };
    let misses = example.expects.iter().filter_map(|(expectation, span)| check.miss(&outcome, expectation, *span)).collect();
    Rehearsed { example, misses }
}

/// An example's record as a record.
pub fn record_of(example: &Example) -> Record {
    Record { id: example.words.clone(), ..record_of_entries(&example.record) }
}

/// The entries of an example as a record without a mark.
pub fn record_of_entries(entries: &[RecordEntry]) -> Record {
    let mut record = Record::default();
    for entry in entries {
        match entry {
            RecordEntry::Look(look, at, saying) => record.entries.push(Entry::Look(*look, *at, Arc::new(saying.clone()))),
            RecordEntry::Last(look, at, saying) => record.last.push((*look, *at, Arc::new(saying.clone()))),
            RecordEntry::Good(part, at) => record.entries.push(Entry::Good(*part, *at)),
            RecordEntry::Absent(part, at) => record.entries.push(Entry::Absent(*part, *at)),
            RecordEntry::NoPlaces(part) => record.entries.push(Entry::NoPlaces(*part)),
            RecordEntry::MayBeMore(part) => record.entries.push(Entry::MayBeMore(*part)),
            RecordEntry::RestGood => record.entries.push(Entry::RestGood),
            RecordEntry::Quoted(price) => record.quoted = Some(*price),
            RecordEntry::InspectedOn(day) => record.inspected_on = Some(*day),
        }
    }
    record
}
