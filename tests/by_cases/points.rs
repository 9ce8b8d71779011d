//! Points of the meaning of a record that are easy to get wrong, each a small rulebook with worked examples. Both judges
//! must bear every example out.

use std::sync::Arc;

use purfle::judge::Judge;
use purfle::plan::Plan;
use purfle::rehearse::record_of;

use super::agrees::differences;
use super::kept::not_kept;
use super::verdict::{Verdict, judge};
use crate::written::{book, diagnostics};

/// The ladders of every point.
const HEAD: &str = include_str!("points/head.purfle");
/// No point has as many cases as this.
const MANY: usize = 50_000;

/// Runs every example of a point by both judges: the cases must bear it out, and the interpreter must agree with them.
fn both_judges(head: &str, point: &str) {
    let book = Arc::new(book(&format!("{head}{point}")));
    assert!(!book.examples.is_empty(), "a point without examples shows nothing");
    let mut by_cells = Judge::new(Arc::new(Plan::new(Arc::clone(&book))));
    let (mut wrong, mut left_open) = (Vec::new(), 0);
    for example in &book.examples {
        let record = record_of(example);
        let verdict = judge(&book, &record, MANY);
        let mut lines = not_kept(&book, example, &verdict);
        match (&verdict, by_cells.judge(&record)) {
            (Verdict::Outcome(cases), Ok(outcome)) => lines.extend(differences(&book, &record, cases, &outcome, &mut left_open)),
            (Verdict::Refused, Err(_)) => {}
            (_, Ok(_)) => lines.push("the interpreter does not refuse it".to_owned()),
            (_, Err(impossible)) => lines.push(format!("the interpreter refuses it: {}", impossible.why)),
        }
        wrong.extend(lines.into_iter().map(|line| format!("{}: {line}", example.words)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(left_open, 0, "counsels left open");
}

macro_rules! points {
    ($($name:ident: $file:literal;)*) => {$(
        #[test]
        fn $name() {
            both_judges(HEAD, include_str!(concat!("points/", $file, ".purfle")));
        }
    )*};
}

points! {
    a_not_is_carried_in: "negation";
    clear_is_in_no_case: "clear";
    unless_no_and_found_take_the_plain_opposite: "opposites";
    what_does_not_apply_answers_neither_way: "quantifiers";
    a_certain_finding_may_yield_to_an_open_cheaper_one: "yields";
    places_as_found_that_nobody_looked_for: "as-found";
    a_raise_and_a_line_that_shut_each_other_out: "raises";
    a_fund_and_a_price_across_its_limit: "fund";
    bench_steps_are_a_set: "steps";
    what_is_left_becomes_something_else: "left";
    readings_ranges_and_good_parts: "readings";
    what_is_written_down_says_that_it_applies: "stated";
}

#[test]
fn the_least_charge_jumps() {
    let head = HEAD.replace("money   USD", "money   USD\n  least charge 40 USD");
    both_judges(&head, include_str!("points/least-charge.purfle"));
}

#[test]
fn a_step_cheaper_than_what_it_includes_is_an_error() {
    let works = "work strings-off \"Slacken the strings\" 30 USD once\nwork set-up \"Set it up\" 20 to 90 USD once\n  includes strings-off\n";
    let errors = diagnostics(&format!("{HEAD}{works}"));
    assert!(errors.iter().any(|error| error.contains("set-up") && error.contains("strings-off")), "{errors:?}");
}
