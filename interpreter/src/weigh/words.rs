//! What came out before and after, in words.

use purfle_lang::book::{Book, FindingId, StateWord};
use purfle_lang::compare::{Kind, Turn, Whole};

use super::replay::counsel as state_of;
use crate::outcome::{Judged, Outcome, Range};
use crate::report::{played, state_name, sum};

/// How a way in which a finding differs is called.
pub fn kind(kind: Kind) -> &'static str {
    match kind {
        Kind::Found => "newly-found",
        Kind::NotFound => "no-longer-found",
        Kind::Graver => "graver",
        Kind::Milder => "milder",
        Kind::OtherStep => "another-step",
        Kind::Hands => "other-hands",
        Kind::Dearer => "dearer",
        Kind::Cheaper => "cheaper",
        Kind::OnSight => "on-sight",
    }
}

/// The figure that a way of the whole outcome is about, and how it is called.
pub fn whole(way: &Whole) -> (String, &'static str) {
    let turned = |turn: &Turn, words: [&'static str; 3]| match turn {
        Turn::Up => words[0],
        Turn::Down => words[1],
        Turn::Aside => words[2],
    };
    match way {
        Whole::Urgency(turn) => ("urgency".to_owned(), turned(turn, ["graver", "milder", "another-step"])),
        Whole::Hands(turn) => ("hands".to_owned(), turned(turn, ["more-skilled", "less-skilled", "other-hands"])),
        Whole::Played { apart, forbidden } => {
            let figure = apart.as_ref().map_or_else(|| "played".to_owned(), |apart| format!("played {apart}"));
            (figure, if *forbidden { "forbidden" } else { "allowed" })
        }
        Whole::Counsel { name, now } => (format!("counsel {name}"), if *now { "newly-met" } else { "no-longer-met" }),
    }
}

/// What came of a finding at one place: `found at E: book, luthier, 47.50 to 88.50 USD`.
pub fn finding(book: &Book, id: Option<FindingId>, judged: Option<&Judged>, place: &Option<String>) -> String {
    let Some(id) = id else { return "not in this rulebook".to_owned() };
    let at = place.as_ref().map_or(String::new(), |place| format!(" at {place}"));
    match judged {
        None => format!("clear{at}"),
        Some(judged) if judged.state == StateWord::Found => {
            let hands = &book.hands[book[id].counted_hands().index()].name;
            format!("found{at}: {}, {hands}, {}", steps(book, judged.urgency), sum(book, &judged.cost))
        }
        Some(judged) => format!("{}{at}", state_name(judged.state)),
    }
}

/// `book`, or `book to halt`.
pub fn steps(book: &Book, Range { from, to }: Range<purfle_lang::book::StepId>) -> String {
    let (from, to) = (&book[from].name, &book[to].name);
    if from == to { from.clone() } else { format!("{from} to {to}") }
}

/// What the whole outcome says of the figure that a way is about.
pub fn outcome(book: &Book, outcome: &Outcome, way: &Whole) -> String {
    match way {
        Whole::Urgency(_) => steps(book, outcome.urgency),
        Whole::Hands(_) => figure::hands(book, outcome),
        Whole::Played { apart: None, .. } => played(outcome.played).to_owned(),
        Whole::Played { apart: Some(apart), .. } => {
            let its = outcome.apart.iter().find(|(part, _)| book[*part].name == *apart);
            its.map_or("yes", |(_, word)| played(*word)).to_owned()
        }
        Whole::Counsel { name, .. } => figure::counsel(state_of(book, outcome, name)),
    }
}

/// Figures of the whole outcome.
pub mod figure {
    use purfle_lang::book::{Book, StateWord, TierId};
    use purfle_lang::unit::format_date;

    use crate::outcome::{AidOutcome, Outcome, Range};
    use crate::report::{aid_name, money_range, state_name, sum};

    /// A sum of minor units without its currency.
    pub fn plain_minor(book: &Book, minor: i128) -> String {
        purfle_lang::number::format_scaled(minor, book.money.minor_places())
    }

    /// What it costs.
    pub fn cost(book: &Book, outcome: &Outcome) -> String {
        sum(book, &outcome.cost)
    }

    /// What it costs if left.
    pub fn left(book: &Book, outcome: &Outcome) -> String {
        sum(book, &outcome.left)
    }

    /// Its tier, and that if left.
    pub fn tier(book: &Book, outcome: &Outcome) -> String {
        tiers(book, [outcome.tier, outcome.left_tier])
    }

    /// A tier, and that if left.
    pub fn tiers(book: &Book, [now, left]: [Range<TierId>; 2]) -> String {
        let one = |Range { from, to }: Range<TierId>| {
            let (from, to) = (&book[from].name, &book[to].name);
            if from == to { from.clone() } else { format!("{from} to {to}") }
        };
        let (now, left) = (one(now), one(left));
        if now == left { now } else { format!("{now}; if left {left}") }
    }

    /// By when, and when to look again.
    pub fn due(_: &Book, outcome: &Outcome) -> String {
        day(outcome.due, outcome.again)
    }

    /// From the first to the last day by when, and when to look again.
    pub fn day(due: Range<Option<i64>>, again: Option<i64>) -> String {
        let day = |day: Option<i64>| day.map_or_else(|| "no day".to_owned(), format_date);
        let (from, to) = (day(due.from), day(due.to));
        let due = if from == to { from } else { format!("{from} to {to}") };
        match again {
            Some(again) => format!("{due}; again {}", format_date(again)),
            None => due,
        }
    }

    /// The most skilled hands it needs.
    pub fn hands(book: &Book, outcome: &Outcome) -> String {
        let name = |hand: Option<purfle_lang::book::HandId>| hand.map_or("none", |hand| book[hand].name.as_str());
        let (from, to) = (name(outcome.hands.from), name(outcome.hands.to));
        if from == to { from.to_owned() } else { format!("{from} to {to}") }
    }

    /// What a fund says.
    pub fn aid(book: &Book, aid: Option<&AidOutcome>) -> String {
        let Some(aid) = aid else { return "not in this rulebook".to_owned() };
        format!("{}, pays {}", aid_name(aid.state), money_range(book, aid.pays.from, aid.pays.to))
    }

    /// Whether a counsel is met.
    pub fn counsel(state: Option<StateWord>) -> String {
        state.map_or("not met", |state| if state == StateWord::Found { "met" } else { state_name(state) }).to_owned()
    }
}
