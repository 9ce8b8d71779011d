//! Holds what came out of an example against what was expected of it, and says what decided it.

use purfle_lang::book::{
    Book, Example, Expectation, ExpectedRange, FindingId, HandId, LookId, PlaceAt, RecordPath, StateWord, StepId, TierId,
};
use purfle_lang::number::Number;
use purfle_lang::saying;
use purfle_lang::saying::look_field;
use purfle_lang::span::Span;
use purfle_lang::unit::format_date;

use super::Miss;
use super::reads::Reads;
use crate::outcome::{At, Impossible, Judged, Outcome, Range};
use crate::record::{Entry, Record};
use crate::report::{aid_name, minor, money_range, place_name, played, state_name};

/// Compares one example's outcome with what it expects.
pub struct Check<'a> {
    /// The book.
    pub book: &'a Book,
    /// The example's record.
    pub record: &'a Record,
    /// The example.
    pub example: &'a Example,
}

impl Check<'_> {
    /// Whether what came out is what was expected.
    pub fn agrees(&self, outcome: &Result<Outcome, Impossible>, expectation: &Expectation) -> bool {
        match outcome {
            Ok(outcome) => self.otherwise(outcome, expectation).is_none(),
            Err(_) => matches!(expectation, Expectation::Refused),
        }
    }

    /// What came out and why, where it is not what was expected.
    pub fn miss(&self, outcome: &Result<Outcome, Impossible>, expectation: &Expectation, span: Span) -> Option<Miss> {
        let outcome = match outcome {
            Ok(outcome) => outcome,
            Err(_) if matches!(expectation, Expectation::Refused) => return None,
            Err(impossible) => {
                let came_out = format!("the record is refused: {}", impossible.why);
                return Some(Miss { span, came_out, because: impossible.fields.clone() });
            }
        };
        let came_out = self.otherwise(outcome, expectation)?;
        let because = match expectation {
            Expectation::Finding { finding, .. } => self.deciding(*finding),
            Expectation::Urgency(_)
            | Expectation::Played(_)
            | Expectation::Cost(_)
            | Expectation::Left(_)
            | Expectation::Tier(_)
            | Expectation::Hands(_)
            | Expectation::Due(_)
            | Expectation::Counsel(..)
            | Expectation::Aid(..) => self.standing(outcome),
            Expectation::NothingElse | Expectation::Looks(..) | Expectation::LooksNot(..) | Expectation::Refused => Vec::new(),
        };
        Some(Miss { span, came_out, because })
    }

    /// What came out, in words, where it is not what was expected.
    fn otherwise(&self, outcome: &Outcome, expectation: &Expectation) -> Option<String> {
        let book = self.book;
        match expectation {
            Expectation::Finding { state, finding, place, at } => self.finding(outcome, *state, *finding, *place, at.as_ref()),
            Expectation::NothingElse => {
                let others: Vec<String> =
                    self.found(outcome).filter(|judged| !self.expected(judged)).map(|judged| self.judged_words(judged)).collect();
                (!others.is_empty()).then(|| format!("found as well: {}", others.join(", ")))
            }
            Expectation::Urgency(expected) => differs(&outcome.urgency, expected, |id: StepId| book[id].name.clone()),
            Expectation::Hands(expected) => differs(&outcome.hands, expected, |id: Option<HandId>| {
                id.map_or_else(|| "none".to_owned(), |id| book[id].name.clone())
            }),
            Expectation::Tier(expected) => differs(&outcome.tier, expected, |id: TierId| book[id].name.clone()),
            Expectation::Due(expected) => {
                let expected = ExpectedRange { from: Some(expected.from), to: Some(expected.to) };
                differs(&outcome.due, &expected, |day: Option<i64>| day.map_or_else(|| "no day".to_owned(), format_date))
            }
            Expectation::Played(expected) => (outcome.played != *expected).then(|| format!("played {}", played(outcome.played))),
            Expectation::Cost(expected) => self.sum(outcome.cost.from, outcome.cost.to, expected),
            Expectation::Left(expected) => self.sum(outcome.left.from, outcome.left.to, expected),
            Expectation::Looks(look, place) => {
                (!self.asks(outcome, *look, *place)).then(|| format!("the next looks are {}", self.looks(outcome)))
            }
            Expectation::LooksNot(look, place) => {
                self.asks(outcome, *look, *place).then(|| format!("the next looks are {}", self.looks(outcome)))
            }
            Expectation::Counsel(counsel, expected) => {
                let state = outcome.counsel.iter().find(|(id, _)| id == counsel).map_or(StateWord::Clear, |(_, state)| *state);
                (state != *expected).then(|| format!("it is {}", state_name(state)))
            }
            Expectation::Aid(aid, expected) => {
                let said = outcome.aid.iter().find(|said| said.aid == *aid)?;
                let missing: Vec<String> = said.missing.iter().map(|look| book.look_path(*look)).collect();
                let missing = if missing.is_empty() { String::new() } else { format!("; not answered: {}", missing.join(", ")) };
                (said.state != *expected).then(|| format!("it is {}{missing}", aid_name(said.state)))
            }
            Expectation::Refused => Some("the record is judged, not refused".to_owned()),
        }
    }

    fn finding(
        &self,
        outcome: &Outcome,
        state: StateWord,
        finding: FindingId,
        place: Option<RecordPath>,
        at: Option<&ExpectedRange<StepId>>,
    ) -> Option<String> {
        let here = |judged: &&Judged| judged.finding == finding && place.is_none_or(|place| judged.at == At::Place(place));
        let all: Vec<&Judged> = outcome.findings.iter().chain(&outcome.not_ruled_out).filter(here).collect();
        let fits = |judged: &&&Judged| {
            let state_fits = match state {
                StateWord::Open => judged.state != StateWord::Found,
                other => judged.state == other,
            };
            state_fits && at.is_none_or(|at| (at.from, at.to) == (judged.urgency.from, judged.urgency.to))
        };
        let as_expected = match state {
            StateWord::Clear => all.is_empty(),
            _ => all.iter().any(|judged| fits(&judged)),
        };
        if as_expected {
            return None;
        }
        if all.is_empty() {
            return Some(format!("{} is clear", self.book[finding].name));
        }
        Some(all.into_iter().map(|judged| self.judged_words(judged)).collect::<Vec<_>>().join(", "))
    }

    fn found<'o>(&self, outcome: &'o Outcome) -> impl Iterator<Item = &'o Judged> {
        outcome.findings.iter().filter(|judged| judged.state == StateWord::Found)
    }

    /// Whether the example says that this is found.
    fn expected(&self, judged: &Judged) -> bool {
        self.example.expects.iter().any(|(expectation, _)| match expectation {
            Expectation::Finding { state: StateWord::Found, finding, place, .. } => {
                *finding == judged.finding && place.is_none_or(|place| judged.at == At::Place(place))
            }
            _ => false,
        })
    }

    /// `peg-stuck on E is found at book to soon`
    fn judged_words(&self, judged: &Judged) -> String {
        let finding = &self.book[judged.finding];
        let place = place_name(self.book, finding.on, judged.at).map(|place| format!(" on {place}")).unwrap_or_default();
        let (from, to) = (&self.book[judged.urgency.from].name, &self.book[judged.urgency.to].name);
        let to = if from == to { String::new() } else { format!(" to {to}") };
        format!("{}{place} is {} at {from}{to}", finding.name, state_name(judged.state))
    }

    fn sum(&self, from: Number, to: Number, expected: &ExpectedRange<Number>) -> Option<String> {
        let places = self.book.money.minor_places();
        let printed = |number| minor(number, places);
        let same = (printed(from), printed(to)) == (printed(expected.from), printed(expected.to));
        (!same).then(|| money_range(self.book, from, to))
    }

    fn asks(&self, outcome: &Outcome, look: LookId, place: Option<RecordPath>) -> bool {
        let here = |at: At| place.is_none_or(|place| at == At::Place(place));
        outcome.looks.iter().any(|next| next.look == look && here(next.at))
    }

    fn looks(&self, outcome: &Outcome) -> String {
        let names: Vec<String> = outcome
            .looks
            .iter()
            .map(|next| {
                let part = &self.book[self.book[next.look].part].name;
                let place = place_name(self.book, self.book[next.look].part, next.at);
                let place = place.map(|place| format!("{place}.")).unwrap_or_default();
                format!("{part}.{place}{}", self.book[next.look].name)
            })
            .collect();
        if names.is_empty() { "none".to_owned() } else { names.join(", ") }
    }

    /// The findings that a figure is made of, certain ones first.
    fn standing(&self, outcome: &Outcome) -> Vec<String> {
        const SHOWN: usize = 8;
        let all = || outcome.findings.iter().chain(&outcome.not_ruled_out);
        let mut words: Vec<String> = all().take(SHOWN).map(|judged| self.judged_words(judged)).collect();
        let more = all().count().saturating_sub(SHOWN);
        if more > 0 {
            words.push(format!("and {more} more that are not ruled out"));
        }
        if words.is_empty() {
            words.push("nothing is found, and all is ruled out".to_owned());
        }
        words
    }

    /// The looks that a finding reads, with what the record says of each.
    fn deciding(&self, finding: FindingId) -> Vec<String> {
        let finding = &self.book[finding];
        let mut reads = Reads::default();
        std::iter::once(&finding.signs).chain(&finding.unless).for_each(|condition| reads.condition(self.book, condition));
        let mut words: Vec<String> = Vec::new();
        for look in reads.looks.iter().chain(&reads.keys) {
            let said_of: Vec<String> = self
                .record
                .entries
                .iter()
                .filter_map(|entry| match entry {
                    Entry::Look(id, at, saying) if *id == look.look && meets(look.place, *at) => Some(format!(
                        "{} is {}",
                        look_field(self.book, *id, *at),
                        saying::format(&self.book[*id], saying, self.book.money)
                    )),
                    _ => None,
                })
                .collect();
            let told = match said_of.is_empty() {
                true => vec![format!("{} was not written down", self.book.look_path(look.look))],
                false => said_of,
            };
            words.extend(told.into_iter().filter(|told| !words.contains(told)).collect::<Vec<_>>());
        }
        words
    }
}

fn meets(place: PlaceAt, at: RecordPath) -> bool {
    match place {
        PlaceAt::Fixed(place) => at == RecordPath::Fixed(place),
        PlaceAt::Single | PlaceAt::Here => true,
    }
}

/// The range in words, where it is not the expected one.
fn differs<T: Copy + PartialEq>(range: &Range<T>, expected: &ExpectedRange<T>, name: impl Fn(T) -> String) -> Option<String> {
    if (range.from, range.to) == (expected.from, expected.to) {
        return None;
    }
    Some(if range.from == range.to { name(range.from) } else { format!("{} to {}", name(range.from), name(range.to)) })
}
