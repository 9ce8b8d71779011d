//! What is known so far, in a few short lines: so that whoever answers sees the outcome narrow.

use purfle_lang::book::{Book, PlayedWord, StateWord, StepId};

use crate::outcome::Outcome;
use crate::report::{first_lines, plain, step_words, sum};

/// What comes out so far: each figure with its name, in the order of gravity.
pub fn status(book: &Book, outcome: &Outcome) -> Vec<(&'static str, String)> {
    let played = match outcome.played {
        PlayedWord::Yes => "yes",
        PlayedWord::No => "NO",
        PlayedWord::Open => "not settled",
    };
    let mut lines = vec![("May it be played?", played.to_owned())];
    lines.extend(first_lines(book, outcome).into_iter().map(|line| ("First of all", plain(line).into_owned())));
    let step = |step: StepId| step_words(book, step, outcome.played, &outcome.apart);
    let (from, suspected, to) = (outcome.urgency.from, outcome.suspected, outcome.urgency.to);
    let mut soon = step(from);
    if suspected > from {
        soon.push_str(&format!("; suspected: {}", step(suspected)));
    }
    if to > suspected {
        soon.push_str(&format!("; not ruled out: {}", step(to)));
    }
    lines.push(("How soon?", soon));
    let hands = [outcome.hands.from, outcome.hands.to]
        .map(|hand| hand.map_or("nobody".to_owned(), |hand| plain(&book[hand].words).into_owned()));
    lines.push(("By whom?", if hands[0] == hands[1] { hands[0].clone() } else { format!("{} to {}", hands[0], hands[1]) }));
    lines.push(("Cost now", sum(book, &outcome.cost)));
    lines.push(("Cost if left", sum(book, &outcome.left)));
    for (name, state) in [("Found", StateWord::Found), ("Suspected", StateWord::Suspected)] {
        let found = outcome.findings.iter().filter(|judged| judged.state == state);
        let mut words: Vec<String> = found.map(|judged| plain(&book[judged.finding].words).into_owned()).collect();
        words.dedup();
        lines.push((name, if words.is_empty() { "nothing".to_owned() } else { words.join("; ") }));
    }
    lines.push((
        "Not ruled out",
        match outcome.not_ruled_out.len() {
            1 => "1 finding".to_owned(),
            count => format!("{count} findings"),
        },
    ));
    lines
}
