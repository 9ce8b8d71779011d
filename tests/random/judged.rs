//! Random rulebooks and records, judged twice.

use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use purfle::judge::Judge;
use purfle::plan::Plan;

use super::dice::Dice;
use super::records::{record, words};
use super::rulebook::rulebook;
use crate::by_cases::{Verdict, differences, judge};
use crate::written::book;

/// Which rulebooks are tried, unless `PURFLE_RULEBOOKS` says otherwise, as in `0-20000`.
const RULEBOOKS: Range<u64> = 0..200;
/// How many records are tried with each.
const RECORDS: u64 = 12;
/// Records with more cases are passed over.
const MOST_CASES: usize = 2_000;
/// After so many that come out differently the rest is not looked at, unless `PURFLE_SHOWN` says otherwise.
const ENOUGH: usize = 3;

fn rulebooks() -> Range<u64> {
    let Ok(wanted) = std::env::var("PURFLE_RULEBOOKS") else { return RULEBOOKS };
    let ends: Vec<u64> = wanted.split('-').filter_map(|end| end.parse().ok()).collect();
    match ends[..] {
        [from, to] if from < to => from..to,
        _ => panic!("PURFLE_RULEBOOKS is {wanted}; write it as 0-20000"),
    }
}

fn shown() -> usize {
    std::env::var("PURFLE_SHOWN").ok().and_then(|most| most.parse().ok()).unwrap_or(ENOUGH)
}

/// How the records of a run were spread.
#[derive(Debug, Default)]
struct Counts {
    judged: usize,
    refused: usize,
    too_many: usize,
    cases: usize,
    cost_exact: usize,
    urgency_exact: usize,
    counsels: usize,
    left_open: usize,
}

#[test]
fn judging_by_cells_and_by_cases_agree() {
    let rulebooks = rulebooks();
    let (mut counts, mut wrong) = (Counts::default(), Vec::new());
    for number in rulebooks.clone() {
        let text = rulebook(number);
        let book = Arc::new(book(&text));
        let mut by_cells = Judge::new(Arc::new(Plan::new(Arc::clone(&book))));
        for at in 0..RECORDS {
            let record = record(&book, &mut Dice::new(number << 8 | at));
            let by_cases = judge(&book, &record, MOST_CASES);
            if matches!(by_cases, Verdict::TooMany) {
                counts.too_many += 1;
                continue;
            }
            let Ok(came) = catch_unwind(AssertUnwindSafe(|| by_cells.judge(&record))) else {
                wrong.push(format!("rulebook {number}, record {at}\npanicked\n\n{}\n\n{text}", words(&book, &record)));
                by_cells = Judge::new(Arc::new(Plan::new(Arc::clone(&book))));
                continue;
            };
            let lines = match (&by_cases, came) {
                (Verdict::TooMany, _) => Vec::new(),
                (Verdict::Refused, Err(_)) => {
                    counts.refused += 1;
                    Vec::new()
                }
                (Verdict::Refused, Ok(_)) => vec!["judged, and by cases it cannot be".to_owned()],
                (Verdict::Outcome(_), Err(impossible)) => vec![format!("refused, and by cases it can be: {}", impossible.why)],
                (Verdict::Outcome(cases), Ok(outcome)) => {
                    counts.judged += 1;
                    counts.cases += cases.cases;
                    counts.cost_exact += usize::from(outcome.cost.exact);
                    counts.urgency_exact += usize::from(outcome.urgency_exact);
                    counts.counsels += book.counsels.len();
                    differences(&book, &record, cases, &outcome, &mut counts.left_open)
                }
            };
            if !lines.is_empty() {
                let lines = lines.join("\n");
                wrong.push(format!("rulebook {number}, record {at}\n{lines}\n\n{}\n\n{text}", words(&book, &record)));
            }
        }
        if wrong.len() >= shown() {
            break;
        }
    }
    assert!(wrong.is_empty(), "{} differ:\n{}", wrong.len(), wrong.join("\n--------\n"));
    // A run that compares next to nothing, or nothing exactly, shows nothing.
    let tried = rulebooks.count() * RECORDS as usize;
    assert!(counts.judged * 2 > tried, "{counts:?} of {tried}");
    assert!(counts.cost_exact * 5 > counts.judged * 4 && counts.urgency_exact * 5 > counts.judged * 4, "{counts:?}");
    assert!(counts.left_open * 50 < counts.counsels, "{counts:?}");
}
