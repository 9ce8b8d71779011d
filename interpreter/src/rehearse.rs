//! Runs a book's worked examples and compares what comes out with what was agreed.

pub mod coverage;

use std::sync::Arc;

use purfle_lang::book::{
    Book, Condition, Example, Expectation, ExpectedRange, FindingId, HandId, LookAt, LookId, PlaceAt, RecordEntry, RecordPath,
    StateWord, StepId, Test, TierId, Value,
};
use purfle_lang::number::Number;
use purfle_lang::saying;
use purfle_lang::span::Span;
use purfle_lang::unit::format_date;

use crate::judge::Judge;
use crate::outcome::{At, Impossible, Judged, Outcome, Range};
use crate::record::{Entry, Record};
use crate::records::look_field;
use crate::report::{aid_name, minor, money_range, place_name, played, state_name};

/// What came of one example.
#[derive(Debug)]
pub struct Rehearsed<'a> {
    /// The example.
    pub example: &'a Example,
    /// What was expected and did not come out.
    pub misses: Vec<Miss>,
}

/// One thing that was expected and did not come out.
#[derive(Debug, PartialEq, Eq)]
pub struct Miss {
    /// Where the expectation is written.
    pub span: Span,
    /// What came out instead.
    pub came_out: String,
    /// What decides it: looks with what the record says of them.
    pub because: Vec<String>,
}

/// Runs one example.
pub fn rehearse<'a>(book: &'a Arc<Book>, judge: &mut Judge, example: &'a Example) -> Rehearsed<'a> {
    let record = record_of(example);
    let outcome = judge.judge(&record);
    let check = Check { book, record: &record, example };
    let misses = example.expects.iter().filter_map(|(expectation, span)| check.miss(&outcome, expectation, *span)).collect();
    Rehearsed { example, misses }
}

/// An example's record as a record.
pub fn record_of(example: &Example) -> Record {
    let mut record = Record { id: example.words.clone(), ..Record::default() };
    for entry in &example.record {
        match entry {
            RecordEntry::Look(look, at, saying) => record.entries.push(Entry::Look(*look, *at, Arc::new(saying.clone()))),
            RecordEntry::Last(look, at, saying) => record.last.push((*look, *at, Arc::new(saying.clone()))),
            RecordEntry::Good(part, at) => record.entries.push(Entry::Good(*part, *at)),
            RecordEntry::Absent(part, at) => record.entries.push(Entry::Absent(*part, *at)),
            RecordEntry::NoPlaces(part) => record.entries.push(Entry::NoPlaces(*part)),
            RecordEntry::MayBeMore(part) => record.entries.push(Entry::MayBeMore(*part)),
            RecordEntry::RestGood => record.entries.push(Entry::RestGood),
            RecordEntry::Quoted(price) => record.quoted = Some(*price),
            RecordEntry::InspectedOn(day) => record.inspected_on = Some(*day),
        }
    }
    record
}

/// An example's record in the words of an example.
pub fn record_words(book: &Book, example: &Example) -> String {
    let look = |look: LookId, at: RecordPath, saying| {
        format!("{} is {}", look_field(book, look, at), saying::format(&book[look], saying, book.money))
    };
    let place = |part: purfle_lang::book::PartId, at: &Option<RecordPath>| {
        let place = at.and_then(|at| place_name(book, part, At::Place(at))).map(|place| format!(".{place}")).unwrap_or_default();
        format!("{}{place}", book[part].name)
    };
    let words: Vec<String> = example
        .record
        .iter()
        .map(|entry| match entry {
            RecordEntry::Look(id, at, saying) => look(*id, *at, saying),
            RecordEntry::Last(id, at, saying) => format!("last {}", look(*id, *at, saying)),
            RecordEntry::Good(part, at) => format!("{} is good", place(*part, at)),
            RecordEntry::Absent(part, at) => format!("{} does not apply", place(*part, at)),
            RecordEntry::NoPlaces(part) => format!("no {}", book[*part].name),
            RecordEntry::MayBeMore(part) => format!("{} may be more", book[*part].name),
            RecordEntry::RestGood => "the rest is good".to_owned(),
            RecordEntry::Quoted(price) => format!("quoted is {}", money_range(book, *price, *price)),
            RecordEntry::InspectedOn(day) => format!("inspected-on is {}", format_date(*day)),
        })
        .collect();
    words.join(", ")
}

/// Compares one example's outcome with what it expects.
struct Check<'a> {
    book: &'a Book,
    record: &'a Record,
    example: &'a Example,
}

impl Check<'_> {
    fn miss(&self, outcome: &Result<Outcome, Impossible>, expectation: &Expectation, span: Span) -> Option<Miss> {
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
        let mut looks = Vec::new();
        std::iter::once(&finding.signs).chain(&finding.unless).for_each(|condition| condition_looks(condition, &mut looks));
        let mut words = Vec::new();
        for look in looks {
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

fn condition_looks(condition: &Condition, looks: &mut Vec<LookAt>) {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
            all.iter().for_each(|condition| condition_looks(condition, looks));
        }
        Condition::Not(inner) | Condition::Places { with: inner, .. } => condition_looks(inner, looks),
        Condition::Test(test, _) => match test {
            Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => looks.push(*look),
            Test::Compare(_, left, right) => [left, right].into_iter().for_each(|value| value_looks(value, looks)),
            Test::Between(value, low, high) => [value, low, high].into_iter().for_each(|value| value_looks(value, looks)),
            Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
        },
        Condition::Found(..) => {}
    }
}

fn value_looks(value: &Value, looks: &mut Vec<LookAt>) {
    match value {
        Value::Look(at) => looks.push(*at),
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => {
            value_looks(left, looks);
            value_looks(right, looks);
        }
        Value::Negative(inner) => value_looks(inner, looks),
        Value::Formula(_, all) => all.iter().for_each(|value| value_looks(value, looks)),
        _ => {}
    }
}
