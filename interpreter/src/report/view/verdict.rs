//! May it be played, how soon must it be seen to, and by whom.

use purfle_lang::book::{Book, HandId, PartId, PlayedWord, StepId, Within};
use purfle_lang::unit::format_date;

use super::super::figures::{due_words, pointed};
use super::super::layout::Ink;
use super::super::text::plain;
use crate::outcome::Outcome;
use crate::record::Record;

/// A short answer, and how grave it is.
pub struct Answer {
    /// What it is painted for.
    pub ink: Ink,
    /// The words.
    pub words: &'static str,
}

/// A piece that stands apart, and whether it may be used.
pub struct Apart {
    /// The piece.
    pub part: String,
    /// Whether it may be used.
    pub answer: Answer,
}

/// The head of a slip.
pub struct Verdict {
    /// May it be played?
    pub played: Answer,
    /// Pieces that stand apart and may not, or perhaps not, be used.
    pub apart: Vec<Apart>,
    /// How soon, and by which day: a sentence each.
    pub soon: Vec<String>,
    /// By whom.
    pub hands: String,
}

impl Verdict {
    /// The head of one outcome's slip.
    pub fn of(book: &Book, record: &Record, outcome: &Outcome) -> Self {
        let apart = outcome.apart.iter().map(|(part, word)| Apart {
            part: plain(&book[*part].words).into_owned(),
            answer: match word {
                PlayedWord::No => Answer { ink: Ink::Grave, words: "NO. Do not use it." },
                _ if pointed(book, outcome, Some(*part)) => {
                    Answer { ink: Ink::Warn, words: "NOT CERTAIN: what was seen may forbid its use." }
                }
                _ => Answer { ink: Ink::Faint, words: "not settled: too little of it was looked at." },
            },
        });
        Self {
            played: played(book, outcome),
            apart: apart.collect(),
            soon: soon(book, record, outcome),
            hands: hands(book, outcome),
        }
    }
}

fn played(book: &Book, outcome: &Outcome) -> Answer {
    let (ink, words) = match outcome.played {
        PlayedWord::Yes => (Ink::Well, "Yes."),
        PlayedWord::No => (Ink::Grave, "NO. Do not play it."),
        PlayedWord::Open if pointed(book, outcome, None) => {
            (Ink::Warn, "NOT CERTAIN: what was seen may forbid it. Look again first, as asked below.")
        }
        PlayedWord::Open => (Ink::Warn, "NOT SETTLED: too little was looked at to say."),
    };
    Answer { ink, words }
}

/// A step in words. What stops a piece that stands apart does not stop the instrument.
pub fn step_words(book: &Book, step: StepId, played: PlayedWord, apart: &[(PartId, PlayedWord)]) -> String {
    if played == PlayedWord::Yes && book[step].not_played {
        let stopped: Vec<String> = apart.iter().map(|(part, _)| plain(&book[*part].words).into_owned()).collect();
        return format!("Do not use: {}", stopped.join(", "));
    }
    plain(&book[step].words).into_owned()
}

fn soon(book: &Book, record: &Record, outcome: &Outcome) -> Vec<String> {
    let step = |id: StepId| step_words(book, id, outcome.played, &outcome.apart);
    let (from, to) = (outcome.urgency.from, outcome.urgency.to);
    let mut soon = Vec::new();
    if from == to {
        soon.push(format!("{}.", step(from)));
    } else {
        soon.push(format!("At least: {}.", step(from)));
        if outcome.suspected > from {
            soon.push(format!("Suspected: {}.", step(outcome.suspected)));
        }
        if to > outcome.suspected {
            soon.push(format!("Possible, as not everything was seen: {}.", step(to)));
        }
    }
    if !outcome.urgency_exact && from != to {
        soon.push("(These steps are bounds; not both need be reached.)".to_owned());
    }
    let surely_limited = book[from].within != Within::Whenever || book[to].within != Within::Whenever;
    match due_words(book, outcome.urgency, &outcome.due) {
        Some(due) => soon.push(format!("To be seen to {due}.")),
        None if surely_limited && record.inspected_on.is_none() => {
            soon.push("The record has no date, so no day can be named.".to_owned());
        }
        None => {}
    }
    if let Some(again) = outcome.again {
        soon.push(format!("Look again on {}.", format_date(again)));
    }
    soon
}

fn hands(book: &Book, outcome: &Outcome) -> String {
    let hand = |id: HandId| plain(&book[id].words).into_owned();
    match (outcome.hands.from, outcome.hands.to) {
        (None, None) => "Nothing to be done.".to_owned(),
        (Some(from), Some(to)) if from == to => format!("{}.", hand(from)),
        (None, Some(to)) => format!("Perhaps nobody. At most: {}.", hand(to)),
        (Some(from), Some(to)) => format!("At least: {}. Perhaps: {}.", hand(from), hand(to)),
        // A least one without a greatest does not come out.
        (Some(from), None) => format!("{}.", hand(from)),
    }
}
