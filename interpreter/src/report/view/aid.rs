//! What each repair fund says.

use purfle_lang::book::{AidWord, Book};
use purfle_lang::number::Number;

use super::super::figures::{money_range, unaided_words};
use super::super::text::plain;
use crate::outcome::{AidOutcome, Outcome, Unaided};

/// What the funds say.
pub struct Aids {
    /// Each that is worth a word.
    pub lines: Vec<AidLine>,
    /// Whether one of them may pay.
    pub may_pay: bool,
}

/// What one fund says.
pub struct AidLine {
    /// The fund.
    pub words: String,
    /// What it says: `eligible; pays 44.00 USD`.
    pub says: String,
    /// The looks it still needs: the question, and the field as a record writes it.
    pub missing: Vec<(String, String)>,
}

impl Aids {
    /// What the funds say of one outcome.
    pub fn of(book: &Book, outcome: &Outcome) -> Self {
        let may_pay = outcome.aid.iter().any(|aid| aid.state != AidWord::Refused);
        // A fund that does not pay where nothing is to be paid is not worth a word.
        let worth_a_word = may_pay || outcome.cost.to != Number::from_integer(0);
        let aids = outcome.aid.iter().filter(|_| worth_a_word);
        // What is mended by each finding's first way may be within a fund by another.
        let other_way = outcome.findings.iter().any(|judged| book[judged.finding].ways.len() > 1);
        Self { lines: aids.map(|aid| line(book, aid, other_way)).collect(), may_pay }
    }
}

fn line(
    book: &Book,
    AidOutcome { aid, state, pays, and_more, exact, missing, why, .. }: &AidOutcome,
    other_way: bool,
) -> AidLine {
    let bound = if *exact { "" } else { " at the outside" };
    let more = if *and_more { " and more" } else { "" };
    let pays = format!("{}{more}{bound}", money_range(book, pays.from, pays.to));
    let refused = *state == AidWord::Refused;
    AidLine {
        words: plain(&book[*aid].words).into_owned(),
        says: match state {
            AidWord::Eligible => format!("eligible; pays {pays}"),
            AidWord::Refused => {
                let beyond = other_way && *why == Some(Unaided::BeyondWorth);
                let why = why.map(|why| format!(": {}", unaided_words(why))).unwrap_or_default();
                let but = if beyond { "; a cheaper way of mending it may be within it" } else { "" };
                format!("not for this one{why}{but}")
            }
            AidWord::Open => format!("not certain yet; may pay {pays}"),
        },
        missing: missing
            .iter()
            .filter(|_| !refused)
            .map(|look| (plain(&book[*look].question).into_owned(), book.look_path(*look)))
            .collect(),
    }
}
