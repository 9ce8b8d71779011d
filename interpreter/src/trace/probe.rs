//! Asking a judge for the state of any condition: each is added to a small book as a finding of its own.

use std::sync::Arc;

use purfle_lang::book::{
    Book, Condition, Cost, Counsel, CounselId, Finding, FindingId, LookAt, PartId, PlaceAt, PlaceId, StateWord, StepId, TableKey,
    Test, UrgencyLine, Value,
};
use purfle_lang::span::Span;

use super::trial::State;
use crate::judge::{Brief, Judge};
use crate::outcome::At;
use crate::plan::Plan;
use crate::record::Record;

/// Where a condition is asked: with which place in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ground {
    /// The part.
    pub on: PartId,
    /// Whether one of its places is in hand.
    pub each: bool,
    /// That place, or the part as a whole.
    pub at: At,
}

/// A condition that is asked, by number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked(usize);

/// As what a condition was added to the book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum As {
    Finding(FindingId, At),
    Counsel(CounselId),
}

/// Conditions that are asked together.
pub struct Probes {
    book: Book,
    asked: Vec<As>,
    /// Whether conditions may read the totals: those without a place in hand are then asked as counsels are.
    totals: bool,
}

/// What came of them.
pub struct Answers {
    brief: Brief,
    counsel: Vec<(CounselId, StateWord)>,
    exact: bool,
    asked: Vec<As>,
}

impl Probes {
    /// None yet; conditions are understood as in this book.
    pub fn new(book: Book) -> Self {
        Self { book, asked: Vec::new(), totals: false }
    }

    /// None yet; conditions may read the totals, as they come out by this book.
    pub fn of_totals(book: Book) -> Self {
        Self { totals: true, ..Self::new(book) }
    }

    /// Asks when a condition is met and none of the others is.
    pub fn ask(&mut self, ground: Ground, when: Condition, unless: Vec<Condition>, like: FindingId) -> Asked {
        if self.totals && !ground.each && unless.is_empty() {
            let id = CounselId::from_index(self.book.counsels.len());
            let words = String::new();
            let (tell, first, basis, origin) = (Vec::new(), Vec::new(), Vec::new(), Default::default());
            self.book.counsels.push(Counsel { name: words.clone(), words, when, tell, first, basis, origin });
            self.asked.push(As::Counsel(id));
            return Asked(self.asked.len() - 1);
        }
        // The places at which it is asked are few, so one finding does for all of them.
        let wanted = |finding: &Finding| {
            (finding.on, finding.each) == (ground.on, ground.each) && finding.signs == when && finding.unless == unless
        };
        let findings = self.asked.iter().filter_map(|asked| match asked {
            As::Finding(id, _) => Some(*id),
            As::Counsel(_) => None,
        });
        let known = findings.into_iter().find(|id| wanted(&self.book[*id]));
        let id = known.unwrap_or_else(|| {
            let id = FindingId::from_index(self.book.findings.len());
            let line = UrgencyLine { step: StepId(0), when: None, span: Span::default() };
            let like = self.book[like].clone();
            let mut asked = Finding { on: ground.on, each: ground.each, signs: when, unless, urgency: vec![line], ..like };
            // It must not change what anything comes to.
            asked.cost = Cost::default();
            asked.ways.clear();
            asked.becomes.clear();
            asked.yields_to.clear();
            self.book.findings.push(asked);
            id
        });
        self.asked.push(As::Finding(id, ground.at));
        Asked(self.asked.len() - 1)
    }

    /// Judges a record, and all that is asked; none where the record cannot be.
    pub fn answers(self, record: &Record) -> Option<Answers> {
        let mut judge = Judge::new(Arc::new(Plan::new(Arc::new(self.book))));
        let outcome = judge.judge(record).ok()?;
        let (brief, exact) = (Brief::of(&outcome), outcome.urgency_exact);
        Some(Answers { brief, counsel: outcome.counsel, exact, asked: self.asked })
    }
}

impl Answers {
    /// The state of a condition.
    pub fn of(&self, asked: Asked) -> State {
        match self.asked[asked.0] {
            As::Finding(id, at) => State::of(&self.brief, id, at),
            As::Counsel(id) => match self.counsel.iter().find(|(known, _)| *known == id) {
                Some((_, StateWord::Found)) => State::Holds,
                Some(_) => State::Open,
                None => State::Fails,
            },
        }
    }

    /// Whether they are worked out case by case, and not only enclosed.
    pub fn are_exact(&self) -> bool {
        self.exact
    }
}

/// A condition with a place of a part in the stead of the one in hand; none where that cannot be written.
pub fn at_place(book: &Book, condition: &Condition, part: PartId, place: PlaceId) -> Option<Condition> {
    let all = |all: &[Condition]| all.iter().map(|one| at_place(book, one, part, place)).collect::<Option<Vec<_>>>();
    let look = |at: &LookAt| {
        let here = book[at.look].part == part && at.place == PlaceAt::Here;
        LookAt { look: at.look, place: if here { PlaceAt::Fixed(place) } else { at.place } }
    };
    let value = |value: &Value| value_at(book, value, &look, part);
    Some(match condition {
        Condition::All(inner) => Condition::All(all(inner)?),
        Condition::Any(inner) => Condition::Any(all(inner)?),
        Condition::AtLeast(count, inner) => Condition::AtLeast(*count, all(inner)?),
        Condition::Not(inner) => Condition::Not(Box::new(at_place(book, inner, part, place)?)),
        Condition::Test(test, span) => {
            let test = match test {
                Test::IsOneOf { look: at, choices, not } => Test::IsOneOf { look: look(at), choices: choices.clone(), not: *not },
                Test::HasAny { look: at, choices } => Test::HasAny { look: look(at), choices: choices.clone() },
                Test::NoDate { look: at, not } => Test::NoDate { look: look(at), not: *not },
                Test::Compare(comparison, left, right) => Test::Compare(*comparison, value(left)?, value(right)?),
                Test::Between(one, low, high) => Test::Between(value(one)?, value(low)?, value(high)?),
                Test::PlaceIs { part: of, .. } if *of == part => return None,
                Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => test.clone(),
            };
            Condition::Test(test, *span)
        }
        // What a finding at the place in hand means, or the places of the same part within, would change.
        Condition::Found(..) => return None,
        Condition::Places { part: of, .. } if *of == part => condition.clone(),
        Condition::Places { count, part: of, with, span } => {
            Condition::Places { count: *count, part: *of, with: Box::new(at_place(book, with, part, place)?), span: *span }
        }
    })
}

fn value_at(book: &Book, value: &Value, look: &impl Fn(&LookAt) -> LookAt, part: PartId) -> Option<Value> {
    let again = |value: &Value| value_at(book, value, look, part);
    let boxed = |value: &Value| again(value).map(Box::new);
    Some(match value {
        Value::Look(at) => Value::Look(look(at)),
        Value::Last(at) => Value::Last(look(at)),
        Value::Arithmetic(sign, left, right) => Value::Arithmetic(*sign, boxed(left)?, boxed(right)?),
        Value::Lower(left, right) => Value::Lower(boxed(left)?, boxed(right)?),
        Value::Higher(left, right) => Value::Higher(boxed(left)?, boxed(right)?),
        Value::DaysFrom(left, right) => Value::DaysFrom(boxed(left)?, boxed(right)?),
        Value::Negative(inner) => Value::Negative(boxed(inner)?),
        Value::Formula(formula, all) => Value::Formula(*formula, all.iter().map(again).collect::<Option<_>>()?),
        Value::Table(_) | Value::Reckon(_) if in_hand(book, value).contains(&part) => return None,
        _ => value.clone(),
    })
}

/// The parts of which a condition reads the place in hand.
pub fn hands(book: &Book, condition: &Condition) -> Vec<PartId> {
    let mut parts = Vec::new();
    hands_of(book, condition, &mut parts);
    parts.sort_unstable();
    parts.dedup();
    parts
}

fn hands_of(book: &Book, condition: &Condition, into: &mut Vec<PartId>) {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
            all.iter().for_each(|one| hands_of(book, one, into));
        }
        Condition::Not(inner) => hands_of(book, inner, into),
        Condition::Places { part, with, .. } => {
            let mut inner = Vec::new();
            hands_of(book, with, &mut inner);
            into.extend(inner.into_iter().filter(|of| of != part));
        }
        Condition::Found(..) => {}
        Condition::Test(test, _) => match test {
            Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => {
                into.extend((look.place == PlaceAt::Here).then_some(book[look.look].part));
            }
            Test::Compare(_, left, right) => [left, right].into_iter().for_each(|value| into.extend(in_hand(book, value))),
            Test::Between(one, low, high) => [one, low, high].into_iter().for_each(|value| into.extend(in_hand(book, value))),
            Test::PlaceIs { part, .. } => into.push(*part),
            Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
        },
    }
}

/// The parts of which a value reads the place in hand.
fn in_hand(book: &Book, value: &Value) -> Vec<PartId> {
    match value {
        Value::Look(at) | Value::Last(at) => (at.place == PlaceAt::Here).then_some(book[at.look].part).into_iter().collect(),
        Value::Table(table) => {
            let keys = book[*table].keys.iter().filter_map(|key| match key {
                TableKey::Look(at) => (at.place == PlaceAt::Here).then_some(book[at.look].part),
                TableKey::Place(part) => Some(*part),
            });
            keys.chain(book[*table].rows.iter().flat_map(|row| in_hand(book, &row.value))).collect()
        }
        Value::Reckon(reckon) => in_hand(book, &book[*reckon].value),
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => [left, right].into_iter().flat_map(|value| in_hand(book, value)).collect(),
        Value::Negative(inner) => in_hand(book, inner),
        Value::Formula(_, all) => all.iter().flat_map(|value| in_hand(book, value)).collect(),
        Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::InspectedOn | Value::TotalCost => Vec::new(),
    }
}

/// Whether a condition reads what the whole outcome comes to.
pub fn reads_totals(condition: &Condition) -> bool {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => all.iter().any(reads_totals),
        Condition::Not(inner) | Condition::Places { with: inner, .. } => reads_totals(inner),
        Condition::Found(..) => false,
        Condition::Test(test, _) => match test {
            Test::TotalUrgency { .. } | Test::TotalTier { .. } => true,
            Test::Compare(_, left, right) => total_in(left) || total_in(right),
            Test::Between(one, low, high) => [one, low, high].into_iter().any(total_in),
            _ => false,
        },
    }
}

/// Whether a value reads the total cost.
fn total_in(value: &Value) -> bool {
    match value {
        Value::TotalCost => true,
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => total_in(left) || total_in(right),
        Value::Negative(inner) => total_in(inner),
        Value::Formula(_, all) => all.iter().any(total_in),
        _ => false,
    }
}

/// Whether a condition asks for another finding.
pub fn asks_for_findings(condition: &Condition) -> bool {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => all.iter().any(asks_for_findings),
        Condition::Not(inner) | Condition::Places { with: inner, .. } => asks_for_findings(inner),
        Condition::Found(..) => true,
        Condition::Test(..) => false,
    }
}
