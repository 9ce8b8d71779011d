//! Judges the records, and keeps of each instrument what funds offer.

use purfle_lang::book::{AidWord, Book, StepId};
use purfle_lang::number::{Number, format_decimal};
use rustc_hash::FxHashMap;

use super::budget::MOST;
use super::instrument::Instrument;
use super::ways::{OtherWays, Ways, other_ways};
use crate::judge::Judge;
use crate::outcome::Outcome;
use crate::record::Record;
use crate::records::{Earlier, EarlierCounts, Fault, Refused, Run, Stopped};
use crate::report::{Totals, minor};
use crate::triage::Files;

/// The batch.
pub struct Batch {
    /// The instruments, each by its newest record, in the order read.
    pub instruments: Vec<Instrument>,
    /// How many records there were.
    pub totals: Totals,
    /// Those that were refused.
    pub refused: Vec<Refused>,
    /// Older inspections of instruments that were seen again.
    pub older: u64,
    /// Records of last time, read beside.
    pub earlier: EarlierCounts,
    /// The urgency steps there are, gravest first.
    pub steps: Vec<StepId>,
}

/// Judges all records. With `textbook`, ways other than each finding's first are left aside. `step` is called after each
/// record.
pub fn gather(first: &Judge, files: Files, textbook: bool, mut step: impl FnMut()) -> Result<Batch, Stopped> {
    let plan = first.plan();
    let book = &plan.book;
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let (earlier, counts) = Earlier::read(book, files.last, files.inputs, threads)?;
    let ways = Ways::default();
    let make = || {
        let (mut judge, mut others) = (first.another(), ways.judges(plan.clone()));
        let earlier = &earlier;
        move |record: &mut Record| {
            if let Some(earlier) = earlier {
                earlier.fill(record);
            }
            let outcome = judge.judge(record).map_err(|impossible| Refused::impossible(record, impossible))?;
            if record.seen_again.is_some() {
                return Ok(None);
            }
            if let Some(fault) = beyond(book, &outcome) {
                let (source, record) = (record.source.clone(), Some(record.id.clone()));
                return Err(Refused { source, record, faults: vec![fault], untold: 0 });
            }
            let mut instrument = Instrument::of(book, record, &outcome);
            let other_ways = if textbook { OtherWays::default() } else { other_ways(plan, &outcome) };
            for ways in &other_ways.sets {
                // What a record can be does not hang on the order of ways.
                let Ok(outcome) = others.of(ways).judge(record) else { continue };
                if beyond(book, &outcome).is_some() {
                    instrument.more_ways = true;
                } else {
                    instrument.take(book, &outcome, ways);
                }
            }
            instrument.more_ways |= other_ways.cut;
            instrument.settle();
            Ok(Some(instrument))
        }
    };
    let mut batch = Batch {
        instruments: Vec::new(),
        totals: Totals::default(),
        refused: Vec::new(),
        older: 0,
        earlier: counts,
        steps: (0..book.steps.len()).rev().map(StepId::from_index).collect(),
    };
    let likeness = first.likeness();
    let likeness = |record: &Record| likeness.of_record(record);
    let run = Run { book, inputs: files.inputs, threads, likeness: Some(&likeness) };
    run.each(make, |answer: Result<Option<Instrument>, Refused>| {
        step();
        batch.totals.read += 1;
        match answer {
            Ok(judged) => {
                batch.totals.done += 1;
                match judged {
                    Some(instrument) => {
                        batch.instruments.push(Instrument { number: batch.totals.done, ..instrument });
                    }
                    None => batch.older += 1,
                }
            }
            Err(refused) => {
                batch.totals.refused += 1;
                batch.refused.push(refused);
            }
        }
        Ok(())
    })?;
    batch.keep_newest();
    Ok(batch)
}

/// What of an outcome that some fund may pay for is more than can be shared out: such sums are surely a slip, and many of
/// them could not be added up.
fn beyond(book: &Book, outcome: &Outcome) -> Option<Fault> {
    let places = book.money.minor_places();
    let is_beyond = |sum: Number| minor(sum, places) > i128::from(MOST);
    let most = i128::from(MOST) / 10_i128.pow(places);
    let why = format!("more than can be shared out exactly; a sum may be up to {most} {}", book.money);
    let open = || outcome.aid.iter().filter(|aid| aid.state != AidWord::Refused);
    open().next()?;
    if let Some(quoted) = outcome.quoted.filter(|quoted| is_beyond(*quoted)) {
        let value = format!("{} {}", format_decimal(quoted), book.money);
        return Some(Fault::field("quoted", &value, format!("it is {why}")));
    }
    let sums = [outcome.cost.to, outcome.left.to].into_iter().chain(open().map(|aid| aid.pays.to));
    sums.into_iter().any(is_beyond).then(|| Fault::whole(format!("what it costs, now or if left, can be {why}")))
}

impl Batch {
    /// Of records with the same tag only the newest counts: by its day, and of the same day the one read last.
    fn keep_newest(&mut self) {
        let mut newest: FxHashMap<String, (Option<i64>, u64)> = FxHashMap::default();
        for instrument in &self.instruments {
            if let Some(tag) = &instrument.tag {
                let here = (instrument.inspected_on, instrument.number);
                newest.entry(tag.clone()).and_modify(|known| *known = here.max(*known)).or_insert(here);
            }
        }
        let before = self.instruments.len();
        self.instruments.retain(|instrument| {
            let newest = instrument.tag.as_ref().and_then(|tag| newest.get(tag));
            newest.is_none_or(|(_, number)| *number == instrument.number)
        });
        self.older += (before - self.instruments.len()) as u64;
    }
}
