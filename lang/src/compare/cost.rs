//! What a finding costs by itself in two books, and for which choices of the looks that decide it the two differ.

use num_traits::{CheckedAdd, CheckedMul, One, Zero};

use super::both::add;
use super::carry::{Carry, bare, place_at};
use crate::book::{
    Book, Condition, Cost, Finding, FindingId, HandId, LookAt, PlaceId, Places, StepId, Test, UrgencyLine, Value, WorkId,
};
use crate::evaluate::{InHand, Input, LookSpot, Spot, evaluate, inputs_of};
use crate::finite::classify::{Fixed, key_combinations};
use crate::number::Number;
use crate::span::Span;

/// The most combinations of choices that are gone through for one finding.
const MOST_COMBINATIONS: usize = 1_024;

/// What a finding costs by itself.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Own {
    /// Amounts and what one unit of each costs, in an order of their own; whether the place in hand decides each.
    pieces: Vec<(Value, Number, bool)>,
    /// The least charge, where there is any work.
    least: Option<Number>,
    /// Whether more is known only on sight.
    pub on_sight: bool,
    /// Whether it hangs on something of which the one book says otherwise than the other when it applies.
    pub doubtful: bool,
}

/// When a finding's own cost is higher at an end, and when it is lower.
pub(super) struct Dearer {
    /// When it is higher; nowhere where there is none.
    pub dearer: Option<Condition>,
    /// When it is lower.
    pub cheaper: Option<Condition>,
}

/// What a finding of a book costs by itself, in the terms of the book it is carried into.
pub(super) fn of(book: &Book, finding: &Finding, carry: &mut Carry<'_>) -> Own {
    let mut doubtful = false;
    let own = own(book, finding, &mut |value| {
        doubtful |= carry.doubtful(value);
        carry.value(value)
    });
    Own { doubtful, ..own }
}

fn own(book: &Book, finding: &Finding, carried: &mut dyn FnMut(&Value) -> Value) -> Own {
    let Cost { work, goods, on_sight } = finding.counted_cost();
    let mut steps: Vec<WorkId> = Vec::new();
    for step in work {
        let falls_away = work.iter().any(|other| book.includes(*other, *step));
        if !steps.contains(step) && !falls_away {
            steps.push(*step);
        }
    }
    let mut pieces: Vec<(Value, Number, bool)> = steps
        .iter()
        .map(|step| {
            let step = &book[*step];
            (carried(&step.amount), rate(book, step.timed, step.by), !step.once)
        })
        .collect();
    pieces.extend(goods.iter().map(|goods| (carried(&goods.price), Number::one(), true)));
    // Where nothing is looked up, no place decides, and what is added up has no order.
    for (value, rate, here) in &mut pieces {
        let flat = match value {
            Value::Number(number) => Some((*number, *number)),
            Value::Range(low, high) => Some((*low, *high)),
            _ => None,
        };
        if let Some((low, high)) = flat
            && let (Some(low), Some(high)) = (low.checked_mul(rate), high.checked_mul(rate))
        {
            (*value, *rate, *here) = (Value::Range(low, high), Number::one(), false);
        }
    }
    let (mut low, mut high) = (Number::zero(), Number::zero());
    pieces.retain(|(value, _, here)| match value {
        Value::Range(from, to) if !here => match (low.checked_add(from), high.checked_add(to)) {
            (Some(from), Some(to)) => {
                (low, high) = (from, to);
                false
            }
            _ => true,
        },
        _ => true,
    });
    pieces.push((Value::Range(low, high), Number::one(), false));
    Own { pieces, least: book.least_charge.filter(|_| !steps.is_empty()), on_sight: *on_sight, doubtful: false }
}

/// What one unit of an amount costs: an hour at a hand's rate, in minutes; money as it is.
fn rate(book: &Book, timed: bool, by: HandId) -> Number {
    let hour = || book.hands.get(by.index()).and_then(|hand| hand.rate).unwrap_or_else(Number::one);
    if timed { hour() / Number::from_integer(60) } else { Number::one() }
}

/// When two costs differ at the places of a finding; none where that hangs on measures, or on too many looks at once.
pub(super) fn compared(book: &mut Book, finding: &Finding, before: &Own, after: &Own) -> Option<Dearer> {
    let (mut dearer, mut cheaper) = (Vec::new(), Vec::new());
    let mut tried = 0;
    for spot in spots(book, finding) {
        let hand = if finding.each { InHand::nothing().with(finding.on, spot) } else { InHand::nothing() };
        let keys = keys(book, &hand, before.pieces.iter().chain(&after.pieces), &mut tried)?;
        for choices in key_combinations(book, &keys) {
            let (was, now) = (before.at(book, &hand, &choices)?, after.at(book, &hand, &choices)?);
            if was == now {
                continue;
            }
            let mut when: Vec<Condition> = Vec::new();
            if let Spot::Fixed(at) = spot {
                when.push(test(Test::PlaceIs { part: finding.on, places: vec![PlaceId(at)], not: false }));
            }
            for (key, choice) in &choices {
                when.push(shows(book, finding, *key, *choice));
            }
            let when = Condition::All(when);
            if now.0 > was.0 || now.1 > was.1 {
                dearer.push(when.clone());
            }
            if now.0 < was.0 || now.1 < was.1 {
                cheaper.push(when);
            }
        }
    }
    let any = |all: Vec<Condition>| (!all.is_empty()).then_some(Condition::Any(all));
    Some(Dearer { dearer: any(dearer), cheaper: any(cheaper) })
}

/// The most that a finding costs by itself at any of its places, whatever decides it; none where that hangs on measures, or
/// on too many looks at once.
pub(super) fn most(book: &Book, finding: &Finding, own: &Own) -> Option<Number> {
    let mut most = Number::zero();
    let mut tried = 0;
    for spot in spots(book, finding) {
        let hand = if finding.each { InHand::nothing().with(finding.on, spot) } else { InHand::nothing() };
        let keys = keys(book, &hand, own.pieces.iter(), &mut tried)?;
        for choices in key_combinations(book, &keys) {
            most = most.max(own.at(book, &hand, &choices)?.1);
        }
    }
    Some(most)
}

fn spots(book: &Book, finding: &Finding) -> Vec<Spot> {
    match &book[finding.on].places {
        _ if !finding.each => vec![Spot::Single],
        Places::Single => vec![Spot::Single],
        Places::Fixed(places) => (0..places.len() as u32).map(Spot::Fixed).collect(),
        Places::AsFound => vec![Spot::Found(0)],
    }
}

/// The looks that decide all these amounts; none where measures do, or where there are too many combinations to go through.
fn keys<'p>(
    book: &Book,
    hand: &InHand,
    pieces: impl Iterator<Item = &'p (Value, Number, bool)>,
    tried: &mut usize,
) -> Option<Vec<LookSpot>> {
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    for (value, _, here) in pieces {
        let hand = if *here { hand.clone() } else { InHand::nothing() };
        inputs_of(book, value, &hand, &mut numbers, &mut keys);
    }
    *tried += keys.iter().map(|key| book[key.look].choices().len().max(2) + 1).product::<usize>();
    (numbers.is_empty() && *tried <= MOST_COMBINATIONS).then_some(keys)
}

fn test(test: Test) -> Condition {
    Condition::Test(test, Span::default())
}

/// That a look shows this choice, or that it does not apply.
fn shows(book: &mut Book, finding: &Finding, key: LookSpot, choice: Option<usize>) -> Condition {
    let here = finding.each.then_some(finding.on);
    let look = LookAt { look: key.look, place: place_at(book, key.look, key.spot, here) };
    let one_of = |choices: Vec<usize>| test(Test::IsOneOf { look, choices, not: false });
    match choice {
        Some(choice) => one_of(vec![choice]),
        None => {
            let all = one_of((0..book[key.look].choices().len().max(2)).collect());
            let line = UrgencyLine { step: StepId(0), when: None, span: Span::default() };
            let applies = Finding { signs: all, unless: Vec::new(), urgency: vec![line], ..bare(finding) };
            let known = book.findings.iter().position(|known| {
                known.name.is_empty() && (known.on, known.each) == (applies.on, applies.each) && known.signs == applies.signs
            });
            let applies = known.map_or_else(|| add(book, applies.clone()), FindingId::from_index);
            Condition::Not(Box::new(Condition::Found(applies, Span::default())))
        }
    }
}

impl Own {
    /// Both ends for a choice of all that decides it, the least charge counted; none where a number grows too large.
    fn at(&self, book: &Book, hand: &InHand, choices: &[(LookSpot, Option<usize>)]) -> Option<(Number, Number)> {
        let inputs = Fixed { numbers: &[] as &[(Input, Number)], keys: choices };
        let (mut low, mut high) = (Number::zero(), Number::zero());
        for (value, rate, here) in &self.pieces {
            let hand = if *here { hand.clone() } else { InHand::nothing() };
            let Some(worked) = evaluate(book, value, &hand, &inputs) else { continue };
            low = low.checked_add(&worked.low.0.checked_mul(rate)?)?;
            high = high.checked_add(&worked.high.1.checked_mul(rate)?)?;
        }
        let charged = |end: Number| match self.least {
            Some(least) if end > Number::zero() => end.max(least),
            _ => end,
        };
        Some((charged(low), charged(high)))
    }
}
