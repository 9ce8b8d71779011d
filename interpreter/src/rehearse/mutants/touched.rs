//! Which examples a change can touch.

use std::collections::BTreeSet;

use purfle_lang::book::{Book, Example, Expectation, FindingId, LookId};

use super::{Change, Reach};
use crate::judge::Judge;
use crate::outcome::{Impossible, Outcome};
use crate::record::{Entry, Record};
use crate::rehearse::check::Check;
use crate::rehearse::record_of;
use crate::rehearse::rows::could_read;
use crate::slice::Slice;

/// An example, with what came of it by the book as it is.
pub struct Case<'a> {
    example: &'a Example,
    /// Its record.
    pub record: Record,
    /// The expectations that are met.
    agreed: Vec<&'a Expectation>,
    /// Findings that are not clear.
    alive: BTreeSet<FindingId>,
    refused: bool,
}

impl<'a> Case<'a> {
    /// Judges an example by the book as it is.
    pub fn new(book: &'a Book, judge: &mut Judge, example: &'a Example) -> Self {
        let record = record_of(example);
        let outcome = judge.judge(&record);
        let check = Check { book, record: &record, example };
        let agreed = example.expects.iter().map(|(expectation, _)| expectation).filter(|e| check.agrees(&outcome, e)).collect();
        let alive = outcome.iter().flat_map(alive).collect();
        Self { example, agreed, alive, refused: outcome.is_err(), record }
    }

    /// Whether something that is met by the book as it is is not met by this outcome.
    pub fn notices(&self, book: &Book, outcome: &Result<Outcome, Impossible>) -> bool {
        let check = Check { book, record: &self.record, example: self.example };
        self.agreed.iter().any(|expectation| !check.agrees(outcome, expectation))
    }

    /// The same, of what it expects of these findings alone.
    pub fn notices_of(&self, book: &Book, findings: &BTreeSet<FindingId>, outcome: &Result<Outcome, Impossible>) -> bool {
        let check = Check { book, record: &self.record, example: self.example };
        let of = |expectation: &&&Expectation| matches!(expectation, Expectation::Finding { finding, .. } if findings.contains(finding));
        self.agreed.iter().filter(of).any(|expectation| !check.agrees(outcome, expectation))
    }

    /// Whether it expects more than what single findings come to.
    pub fn has_figures(&self) -> bool {
        !self.refused && self.agreed.iter().any(|expectation| !matches!(expectation, Expectation::Finding { .. }))
    }

    /// Whether it expects something that prices, hands or what is left can change; a look is next for their sake too.
    fn has_sums(&self) -> bool {
        self.agreed.iter().any(|expectation| match expectation {
            Expectation::Cost(_)
            | Expectation::Left(_)
            | Expectation::Tier(_)
            | Expectation::Hands(_)
            | Expectation::Looks(..)
            | Expectation::LooksNot(..)
            | Expectation::Counsel(..)
            | Expectation::Aid(..) => true,
            Expectation::Finding { .. }
            | Expectation::NothingElse
            | Expectation::Urgency(_)
            | Expectation::Played(_)
            | Expectation::Due(_)
            | Expectation::Refused => false,
        })
    }

    /// What the record says of these looks, and what closes them: all that a slice with these looks can depend on.
    fn saying_of(&self, book: &Book, looks: &BTreeSet<LookId>) -> Record {
        let part = |part| looks.iter().any(|look| book[*look].part == part);
        let mut record = Record { inspected_on: self.record.inspected_on, ..Record::default() };
        let kept = self.record.entries.iter().filter(|entry| match entry {
            Entry::Look(look, ..) => looks.contains(look),
            Entry::Good(of, _) | Entry::There(of, _) | Entry::Absent(of, _) | Entry::NoPlaces(of) | Entry::MayBeMore(of) => {
                part(*of)
            }
            Entry::RestGood => true,
        });
        record.entries = kept.cloned().collect();
        record.last = self.record.last.iter().filter(|(look, ..)| looks.contains(look)).cloned().collect();
        record
    }
}

fn alive(outcome: &Outcome) -> impl Iterator<Item = FindingId> {
    outcome.findings.iter().chain(&outcome.not_ruled_out).map(|judged| judged.finding)
}

/// The examples whose records say the same of a slice's looks.
pub struct Alike {
    /// What they say.
    pub record: Record,
    /// Which they are.
    pub cases: Vec<usize>,
}

/// All examples, by what they say of a slice's looks.
pub fn alike(book: &Book, cases: &[Case<'_>], slice: &Slice) -> Vec<Alike> {
    let mut all: Vec<Alike> = Vec::new();
    for (at, case) in cases.iter().enumerate().filter(|(_, case)| !case.refused) {
        let record = case.saying_of(book, &slice.looks);
        let same = |other: &&mut Alike| {
            let other = &other.record;
            other.entries == record.entries && other.last == record.last && other.inspected_on == record.inspected_on
        };
        match all.iter_mut().find(same) {
            Some(known) => known.cases.push(at),
            None => all.push(Alike { record, cases: vec![at] }),
        }
    }
    all
}

/// The examples that a change which does not touch when findings hold can touch.
pub fn touched(book: &Book, cases: &[Case<'_>], change: &Change) -> Vec<usize> {
    let expects = |case: &Case<'_>, of: &dyn Fn(&Expectation) -> bool| case.agreed.iter().any(|expectation| of(expectation));
    let looks = |expectation: &Expectation| matches!(expectation, Expectation::Looks(..) | Expectation::LooksNot(..));
    let touches = |case: &Case<'_>| match &change.reach {
        Reach::Everything => true,
        Reach::Row(table, row) => could_read(book, case.example, *table, *row),
        _ if case.refused => false,
        Reach::Holding(finding) => case.alive.contains(finding),
        Reach::Figures(findings) => case.has_sums() && leading_to(book, findings).iter().any(|id| case.alive.contains(id)),
        Reach::Parts(parts) => case.alive.iter().any(|id| parts.contains(&book[*id].on)),
        Reach::Counsel(counsel) => expects(case, &|expectation| {
            matches!(expectation, Expectation::Counsel(id, _) if id == counsel) || looks(expectation)
        }),
        Reach::Aid(aid) => {
            expects(case, &|expectation| matches!(expectation, Expectation::Aid(id, _) if id == aid) || looks(expectation))
        }
    };
    quickest_first(cases, (0..cases.len()).filter(|at| touches(&cases[*at])).collect())
}

/// An example that leaves much open is dear to judge, and is asked only when the others have noticed nothing.
pub fn quickest_first(cases: &[Case<'_>], mut touched: Vec<usize>) -> Vec<usize> {
    touched.sort_by_key(|at| cases[*at].alive.len());
    touched
}

/// These findings and all that can become one of them.
fn leading_to(book: &Book, findings: &[FindingId]) -> BTreeSet<FindingId> {
    let mut all: BTreeSet<FindingId> = findings.iter().copied().collect();
    let leads = |all: &BTreeSet<FindingId>| {
        let ids = (0..book.findings.len()).map(FindingId::from_index);
        ids.into_iter().find(|id| !all.contains(id) && book[*id].becomes.iter().any(|arrow| all.contains(&arrow.to)))
    };
    while let Some(next) = leads(&all) {
        all.insert(next);
    }
    all
}
