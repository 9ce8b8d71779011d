//! The smallest part of a record that decides a finding decides it in every completion, and no smaller part does.

use std::sync::Arc;

use purfle::judge::Judge;
use purfle::outcome::At;
use purfle::plan::Plan;
use purfle::trace::{Fact, State, Tracer};
use purfle_lang::book::FindingId;

use super::thinned::{only, said};
use super::{each, state};

/// Calls `tell` with every choice of as many out of these, until it says that it has seen enough.
fn choices(of: &[Fact], many: usize, from: usize, chosen: &mut Vec<Fact>, tell: &mut impl FnMut(&[Fact]) -> bool) -> bool {
    if many == 0 {
        return tell(chosen);
    }
    for at in from..of.len() {
        chosen.push(of[at]);
        if choices(of, many - 1, at + 1, chosen, tell) {
            return true;
        }
        chosen.pop();
    }
    false
}

#[test]
fn what_decides_decides_whatever_else_there_is_and_nothing_smaller_does() {
    let (mut found, mut clear, mut without_anything, mut subsets) = (0, 0, 0, 0);
    each(|book, record| {
        let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
        let Ok(outcome) = judge.judge_in_full(record) else { return Vec::new() };
        let mut lines = Vec::new();
        for finding in (0..book.findings.len()).map(FindingId::from_index) {
            let mut tracer = Tracer::new(&mut judge, record, &outcome);
            for at in tracer.places(finding).into_iter().filter(|at| *at != At::Unnamed) {
                let Some(came) = state(book, record, finding, at).filter(|came| *came != State::Open) else { continue };
                let name = &book[finding].name;
                let Some(deciding) = tracer.short(finding, at).deciding else {
                    lines.push(format!("{name} at {at:?} is {came:?}, and nothing is said to decide it"));
                    continue;
                };
                if !deciding.smallest {
                    lines.push(format!("{name} at {at:?}: the search was given up"));
                }
                *(if came == State::Holds { &mut found } else { &mut clear }) += 1;
                without_anything += usize::from(deciding.facts.is_empty());
                let with = |kept: &[Fact]| state(book, &only(book, record, kept), finding, at);
                if with(&deciding.facts).is_some_and(|with| with != came) {
                    lines.push(format!("{name} at {at:?} is {came:?}, and not decided by {:?}", deciding.facts));
                }
                let Some(fewer) = deciding.facts.len().checked_sub(1) else { continue };
                choices(&said(book, record), fewer, 0, &mut Vec::new(), &mut |kept| {
                    subsets += 1;
                    let decides = with(kept) == Some(came);
                    if decides {
                        lines.push(format!("{name} at {at:?} is {came:?} by {kept:?} as well as by {:?}", deciding.facts));
                    }
                    decides
                });
            }
        }
        lines
    });
    assert!(found > 20 && clear > 20 && without_anything < found + clear && subsets > 100, "{found} {clear} {subsets}");
}
