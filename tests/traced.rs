//! What a trace says decides, turns or settles a finding, held against every case by the second judge.

mod changes;
mod smallest;
mod thinned;

use std::sync::Arc;

use purfle::outcome::At;
use purfle::record::Record;
use purfle::trace::State;
use purfle_lang::book::{Book, FindingId};

use crate::by_cases::{Verdict, judge};
use crate::random::dice::Dice;
use crate::random::records::{record, words};
use crate::random::rulebook::small;
use crate::written::{book, diagnostics};

/// Records with more cases are passed over.
const MOST_CASES: usize = 3_000;

/// How many random rulebooks are tried, unless `PURFLE_TRACED` says otherwise.
const RULEBOOKS: u64 = 60;

/// How many random rulebooks are tried.
fn rulebooks() -> u64 {
    std::env::var("PURFLE_TRACED").ok().and_then(|most| most.parse().ok()).unwrap_or(RULEBOOKS)
}

/// The state of a finding by going through every case; none where there are too many, or cases that stand for more than
/// themselves, or none at all.
fn state(book: &Book, record: &Record, finding: FindingId, at: At) -> Option<State> {
    let Verdict::Outcome(cases) = judge(book, record, MOST_CASES) else { return None };
    if !cases.complete || cases.linked {
        return None;
    }
    Some(match cases.findings.get(&(finding, at)).map_or(0, |tally| tally.holds) {
        0 => State::Fails,
        holds if holds == cases.cases => State::Holds,
        _ => State::Open,
    })
}

/// Calls `tell` for every random rulebook with a record that its cases can be gone through of; what comes of it are
/// lines about what is wrong.
fn each(mut tell: impl FnMut(&Arc<Book>, &Record) -> Vec<String>) {
    let mut wrong = Vec::new();
    for number in 0..rulebooks() {
        let text = small(number);
        if !diagnostics(&text).is_empty() {
            continue;
        }
        let book = Arc::new(book(&text));
        for at in 0..2 {
            let record = record(&book, &mut Dice::new(number << 9 | at));
            let lines = tell(&book, &record);
            if !lines.is_empty() {
                let lines = lines.join("\n");
                wrong.push(format!("rulebook {number}, record {at}\n{lines}\n\n{}\n\n{text}", words(&book, &record)));
            }
        }
        if wrong.len() > 3 {
            break;
        }
    }
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n--------\n"));
}
