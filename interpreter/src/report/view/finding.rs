//! A finding as a slip tells it: everywhere where all that is said of it is the same.

use purfle_lang::book::{Book, StateWord, StepId};
use purfle_lang::number::{Number, format_decimal};

use super::super::figures::{NOTHING, money_range, place_words, sum};
use super::super::layout::Ink;
use super::super::text::plain;
use super::lines;
use crate::outcome::{At, Judged, Outcome, Sum};

/// A finding.
pub struct FindingView {
    /// Its name in the rulebook.
    pub name: String,
    /// Its words.
    pub words: String,
    /// Where, in words; nothing where there is only one place.
    pub places: Vec<String>,
    /// What it costs if it were the only job; none where it adds none.
    pub cost: Option<String>,
    /// How soon: one step, or from one to another.
    pub steps: String,
    /// How grave that is.
    pub ink: Ink,
    /// By whom.
    pub hands: String,
    /// The finding that it is listed under.
    pub goes_with: Option<String>,
    /// For the player.
    pub tell: Vec<String>,
    /// Cautions.
    pub care: Vec<String>,
    /// Ways to mend it, where there are several.
    pub ways: Vec<WayView>,
    /// What becomes of it if it is left.
    pub left: Option<LeftView>,
    /// For the luthier.
    pub refer: Vec<String>,
    /// Which house rulebooks have changed it, and why.
    pub changes: Vec<String>,
}

/// One way to mend a finding.
pub struct WayView {
    /// Its words.
    pub words: String,
    /// What it costs by itself.
    pub cost: String,
    /// For the player.
    pub tell: Vec<String>,
    /// For the luthier.
    pub refer: Vec<String>,
}

/// What becomes of a finding if it is left.
pub struct LeftView {
    /// Each thing that it can become, with odds and time where they are known.
    pub becomes: Vec<String>,
    /// What it costs then.
    pub cost: String,
    /// What is to be expected on average, beyond what it costs now.
    pub extra: Option<String>,
}

/// The findings of one state, in the outcome's order.
pub fn of(book: &Book, outcome: &Outcome, state: StateWord) -> Vec<FindingView> {
    let mut groups: Vec<(&Judged, Vec<At>)> = Vec::new();
    for judged in outcome.findings.iter().filter(|judged| judged.state == state) {
        let same = groups.iter_mut().find(|(known, _)| Judged { at: judged.at, ..(*known).clone() } == *judged);
        match same {
            Some((_, places)) => places.push(judged.at),
            None => groups.push((judged, vec![judged.at])),
        }
    }
    groups.iter().map(|(judged, places)| one(book, judged, places)).collect()
}

fn one(book: &Book, judged: &Judged, places: &[At]) -> FindingView {
    let finding = &book[judged.finding];
    let apart = book[finding.on].apart;
    let step = |id: StepId| match apart && book[id].not_played {
        true => "Do not use it".to_owned(),
        false => plain(&book[id].words).into_owned(),
    };
    let steps = if judged.urgency.from == judged.urgency.to {
        step(judged.urgency.to)
    } else {
        format!("{}, or up to: {}", step(judged.urgency.from), step(judged.urgency.to))
    };
    let each = if places.len() > 1 && judged.cost.to > Number::from_integer(0) { "each " } else { "" };
    let ways = finding.ways.iter().enumerate().filter(|_| finding.ways.len() > 1);
    FindingView {
        name: finding.name.clone(),
        words: plain(&finding.words).into_owned(),
        places: places
            .iter()
            .filter_map(|at| place_words(book, finding.on, *at))
            .map(|words| plain(&words).into_owned())
            .collect(),
        cost: judged.yields_to.is_none().then(|| format!("{each}{}", short_sum(book, &judged.cost))),
        steps,
        ink: if book[judged.urgency.to].not_played { Ink::Grave } else { Ink::Warn },
        hands: plain(&book[finding.counted_hands()].words).into_owned(),
        goes_with: judged.yields_to.map(|other| plain(&book[other].words).into_owned()),
        tell: lines(&finding.tell),
        care: lines(&finding.care),
        ways: ways
            .map(|(at, way)| WayView {
                words: plain(&way.words).into_owned(),
                cost: judged.ways.get(at).map(|price| short_sum(book, price)).unwrap_or_default(),
                tell: lines(&way.tell),
                refer: lines(&way.refer),
            })
            .collect(),
        left: left(book, judged).filter(|_| judged.yields_to.is_none()),
        refer: lines(&finding.refer),
        changes: finding
            .origin
            .changes
            .iter()
            .map(|change| format!("{} has changed this: {}", change.rulebook, plain(&change.because)))
            .collect(),
    }
}

fn left(book: &Book, judged: &Judged) -> Option<LeftView> {
    let arrows = &book[judged.finding].becomes;
    if arrows.is_empty() {
        return None;
    }
    let becomes = arrows.iter().map(|arrow| {
        let odds = arrow.odds.map(|odds| format!("{} %", format_decimal(odds * Number::from_integer(100))));
        let within = arrow.within.map(|within| format!("within {within}"));
        let about: Vec<String> = odds.into_iter().chain(within).collect();
        let about = if about.is_empty() { String::new() } else { format!(" ({})", about.join(" ")) };
        format!("{}{about}", plain(&book[arrow.to].words))
    });
    Some(LeftView {
        becomes: becomes.collect(),
        cost: sum(book, &judged.left),
        extra: judged.expected_extra.map(|extra| money_range(book, extra.from, extra.to)),
    })
}

/// A price beside a finding.
fn short_sum(book: &Book, price: &Sum) -> String {
    if price.and_more && price.to == Number::from_integer(0) {
        return "known only on sight".to_owned();
    }
    let nothing = price.to == Number::from_integer(0);
    let mut text = if nothing { NOTHING.to_owned() } else { money_range(book, price.from, price.to) };
    if !price.exact && !nothing {
        text.push_str(" at the outside");
    }
    if price.and_more || price.or_more {
        text.push_str(" and more");
    }
    text
}
