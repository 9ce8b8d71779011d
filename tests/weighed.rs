//! What is proved and shown of two rulebooks, against going through all cases of both with the second judge.

mod applies;
mod beyond;
mod counted;
mod differences;
mod edits;
mod pair;
mod sums;

use std::collections::BTreeMap;
use std::sync::Arc;

use purfle::judge::Judge;
use purfle::plan::Plan;
use purfle::weigh::proven;
use purfle::weigh::view::ProvenView;
use purfle_lang::book::Book;

use crate::random::rulebook::{small, small_pair};
use crate::written::book;
use differences::{Differences, Key};
use pair::{Pair, sound};

/// How many random pairs are weighed.
fn pairs() -> u64 {
    std::env::var("PURFLE_WEIGHED").ok().and_then(|wanted| wanted.parse().ok()).unwrap_or(300)
}

/// What weighing says of one way, by finding or figure and way.
fn said(view: &ProvenView) -> BTreeMap<Key, &'static str> {
    let findings = view.findings.iter().flat_map(|finding| finding.ways.iter().map(move |way| (finding.finding.clone(), way)));
    let figures =
        view.outcome.iter().flat_map(|figure| figure.ways.iter().map(move |way| (format!("the {}", figure.figure), way)));
    findings.chain(figures).map(|(name, way)| ((name, way.way.to_owned()), way.known)).collect()
}

fn weigh(old: &Book, new: &Book) -> ProvenView {
    let judge = |book: &Book| Judge::new(Arc::new(Plan::new(Arc::new(book.clone()))));
    proven(&mut judge(old), &mut judge(new)).unwrap_or_else(|| panic!("cut too finely"))
}

/// Where what is said of a pair and what its cases show contradict each other.
fn contradictions(view: &ProvenView, shown: &Differences, more_places: bool) -> Vec<String> {
    let said = said(view);
    let mut wrong = Vec::new();
    // Of a counsel that asks for totals it is only said that it differs.
    let any =
        |(name, way): &Key| (name.clone(), if name.starts_with("the counsel") { "another".to_owned() } else { way.clone() });
    let seen: Vec<Key> = shown.ways.iter().map(any).collect();
    for (key, known) in &said {
        let seen = shown.ways.contains(key) || seen.contains(key);
        if *known == "can" && !seen && shown.complete && !more_places && differences::gone_through(key) {
            wrong.push(format!("{key:?} is shown, and no case differs"));
        }
    }
    for key in &shown.ways {
        if !said.contains_key(key) && !said.contains_key(&any(key)) {
            wrong.push(format!("{key:?} differs in a case, and is said to be proved the same"));
        }
    }
    wrong
}

#[test]
fn what_is_said_of_random_pairs_is_what_all_their_cases_show() {
    let (mut weighed, mut complete, mut plain, mut missed) = (0_u64, 0_u64, 0_usize, 0_usize);
    let mut idle: BTreeMap<String, usize> = BTreeMap::new();
    let mut kinds: BTreeMap<String, usize> = BTreeMap::new();
    let mut wrong = Vec::new();
    for number in 0..pairs() * 3 {
        if weighed >= pairs() {
            break;
        }
        let (old, new) = if number % 3 == 0 { small_pair(number) } else { edits::edited(small(number), number) };
        let Some(pair) = Pair::of(&old, &new) else { continue };
        let Pair { shown, view, more_places, .. } = &pair;
        weighed += 1;
        complete += u64::from(shown.complete);
        for ((name, way), known) in said(view) {
            *kinds.entry(format!("{} {known}", if name.starts_with("the ") { name } else { way })).or_default() += 1;
        }
        // Where looks stand for themselves and every case was gone through, what differs is to be shown.
        if let Some((differ, not_said)) = pair.differing() {
            (plain, missed) = (plain + differ, missed + not_said);
            let gone_through = |key: &Key| differences::gone_through(key) && !key.0.starts_with("the counsel");
            let open = said(view).into_iter().filter(|(key, known)| *known != "can" && gone_through(key));
            for ((name, way), _) in open.filter(|(key, _)| !shown.ways.contains(key)) {
                *idle.entry(if name.starts_with("the ") { name } else { way }).or_default() += 1;
            }
        }
        let contradictions = contradictions(view, shown, *more_places);
        if !contradictions.is_empty() {
            wrong.push(format!("pair {number}\n{}\n\n{old}\n----\n{new}", contradictions.join("\n")));
        }
    }
    println!(
        "{weighed} pairs, {complete} of them complete; of {plain} ways that differ {missed} are not shown; and of those that no case shows these stay open: {idle:?}\n{kinds:#?}"
    );
    assert!(wrong.is_empty(), "{} of {weighed} contradict\n{}", wrong.len(), wrong[..wrong.len().min(4)].join("\n--------\n"));
    assert!(complete > weighed / 2, "{complete} of {weighed}");
    // A difference that is there and not shown stays the exception.
    assert!(missed * 20 < plain, "{missed} of {plain} differences are not shown");
}

#[test]
fn a_rulebook_weighed_against_itself_is_proved_the_same() {
    for number in 0..40 {
        let text = small(number);
        if !sound(&[&text]) {
            continue;
        }
        let book = book(&text);
        let view = weigh(&book, &book);
        assert_eq!((view.can, view.not_decided), (0, 0), "{text}");
        assert!(view.outcome.iter().all(|figure| figure.known == "same"), "{:?}\n{text}", view.outcome);
    }
}
