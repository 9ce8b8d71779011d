//! Runs a book's worked examples and compares what comes out with what was agreed.

mod check;
pub mod coverage;
pub mod mutants;
mod numbers;
mod reads;
mod rows;

use std::sync::Arc;

use purfle_lang::book::{Book, Example, LookId, RecordEntry, RecordPath};
use purfle_lang::saying;
use purfle_lang::span::Span;
use purfle_lang::unit::format_date;

use self::check::Check;
use self::coverage::Coverage;
use crate::judge::Judge;
use crate::outcome::At;
use crate::record::{Entry, Record};
use crate::records::look_field;
use crate::report::{money_range, place_name};

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
    let mut record = Record { id: example.words.clone(), ..Record::default() };
    for entry in &example.record {
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

/// An example's record in the words of an example.
pub fn record_words(book: &Book, example: &Example) -> String {
    let look = |look: LookId, at: RecordPath, saying| {
        format!("{} is {}", look_field(book, look, at), saying::format(&book[look], saying, book.money))
    };
    let place = |part: purfle_lang::book::PartId, at: &Option<RecordPath>| {
        let place = at.and_then(|at| place_name(book, part, At::Place(at))).map(|place| format!(".{place}")).unwrap_or_default();
        format!("{}{place}", book[part].name)
    };
    let words: Vec<String> = example
        .record
        .iter()
        .map(|entry| match entry {
            RecordEntry::Look(id, at, saying) => look(*id, *at, saying),
            RecordEntry::Last(id, at, saying) => format!("last {}", look(*id, *at, saying)),
            RecordEntry::Good(part, at) => format!("{} is good", place(*part, at)),
            RecordEntry::Absent(part, at) => format!("{} does not apply", place(*part, at)),
            RecordEntry::NoPlaces(part) => format!("no {}", book[*part].name),
            RecordEntry::MayBeMore(part) => format!("{} may be more", book[*part].name),
            RecordEntry::RestGood => "the rest is good".to_owned(),
            RecordEntry::Quoted(price) => format!("quoted is {}", money_range(book, *price, *price)),
            RecordEntry::InspectedOn(day) => format!("inspected-on is {}", format_date(*day)),
        })
        .collect();
    words.join(", ")
}
