//! What a look can still be: one sample for every stretch of values that nothing in the book tells apart.

use std::collections::BTreeSet;

use num_traits::Zero;
use purfle_lang::book::{Look, LookKind};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

/// What a look shows in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Answer {
    /// That choice; for yes or no: 0 is no, 1 is yes.
    Choice(usize),
    /// Those choices, one bit each.
    Set(u64),
    /// That number, or the number of that day.
    Number(Number),
    /// A dated look without a date.
    NoDate,
    /// Some text.
    Text,
}

/// How finely a stretch between two cuts is sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    /// One sample: nothing tells its values apart.
    Coarse,
    /// Three, so that up to three looks can stand in any order to each other.
    Ordered,
    /// One in the middle and one close to each end, because the very value counts.
    Fluid,
}

/// Whole numbers up to this many are all taken.
const ALL_TAKEN: i128 = 20;
/// How far beyond the outermost cut a look without an end is sampled.
const BEYOND: i128 = 400;

/// Whether every value of such a look is a sample by itself.
pub fn all_taken(kind: &LookKind) -> bool {
    match kind {
        LookKind::YesNo | LookKind::OneOf(_) | LookKind::SomeOf(_) | LookKind::Written => true,
        LookKind::Counted { from, to } => i128::from(*to) - i128::from(*from) < ALL_TAKEN,
        LookKind::Measured { .. } | LookKind::Priced { .. } | LookKind::Dated => false,
    }
}

/// What is said of a look, as far as it narrows the look: `None` says nothing of its value.
pub fn answers(look: &Look, saying: Option<&Saying>, points: &[Number], grain: Grain) -> Vec<Answer> {
    let choices = |count: usize| (0..count).map(Answer::Choice).collect::<Vec<_>>();
    match (&look.kind, saying) {
        (LookKind::YesNo | LookKind::OneOf(_), Some(Saying::OneOf(said))) => {
            said.iter().copied().collect::<BTreeSet<_>>().into_iter().map(Answer::Choice).collect()
        }
        (LookKind::YesNo, _) => choices(2),
        (LookKind::OneOf(all), _) => choices(all.len()),
        (LookKind::SomeOf(_), Some(Saying::Exactly(said))) => vec![Answer::Set(set(said))],
        (LookKind::SomeOf(all), _) => (0..1_u64 << all.len()).map(Answer::Set).collect(),
        (LookKind::Measured { from, to, give_or_take, .. }, said) => {
            let (low, high) = stretch(said, *from, *to, give_or_take.unwrap_or_else(Number::zero));
            numbers(low, high, points, grain, false)
        }
        (LookKind::Priced { from, to }, said) => {
            let (low, high) = stretch(said, *from, *to, Number::zero());
            numbers(low, high, points, grain, false)
        }
        (LookKind::Counted { from, to }, said) => {
            let (from, to) = (Number::from_integer(i128::from(*from)), Number::from_integer(i128::from(*to)));
            let (low, high) = stretch(said, from, to, Number::zero());
            numbers(low.ceil(), high.floor(), points, grain, true)
        }
        (LookKind::Dated, Some(Saying::NoDate)) => vec![Answer::NoDate],
        (LookKind::Dated, said) => dates(said, points, grain),
        (LookKind::Written, _) => vec![Answer::Text],
    }
}

fn set(choices: &[usize]) -> u64 {
    choices.iter().fold(0, |set, choice| set | 1 << choice)
}

/// The stretch that a saying leaves of a look's range; a reading widens by the reading error.
fn stretch(saying: Option<&Saying>, from: Number, to: Number, error: Number) -> (Number, Number) {
    let Some(Saying::Between { low, high, reading }) = saying else { return (from, to) };
    let widening = if *reading { error } else { Number::zero() };
    let low = low.map_or(from, |low| (low - widening).max(from));
    let high = high.map_or(to, |high| (high + widening).min(to));
    (low, high)
}

fn dates(saying: Option<&Saying>, points: &[Number], grain: Grain) -> Vec<Answer> {
    let whole = |day: &i64| Number::from_integer(i128::from(*day));
    let (said_low, said_high) = match saying {
        Some(Saying::DateBetween(low, high)) => (low.as_ref().map(whole), high.as_ref().map(whole)),
        _ => (None, None),
    };
    let all = || points.iter().copied().chain(said_low).chain(said_high);
    let beyond = Number::from_integer(BEYOND);
    let today = Number::from_integer(20_000);
    let low = said_low.unwrap_or_else(|| (all().min().unwrap_or(today) - beyond).floor());
    let high = said_high.unwrap_or_else(|| (all().max().unwrap_or(today) + beyond).ceil());
    let mut answers = numbers(low, high, points, grain, true);
    if !matches!(saying, Some(Saying::DateBetween(..))) {
        answers.push(Answer::NoDate);
    }
    answers
}

/// Samples from `low` to `high`, ends included: each cut there, and what lies between.
fn numbers(low: Number, high: Number, points: &[Number], grain: Grain, whole: bool) -> Vec<Answer> {
    if low > high {
        return Vec::new();
    }
    let mut samples = BTreeSet::new();
    if whole && (high - low).to_integer() < ALL_TAKEN {
        samples.extend((low.to_integer()..=high.to_integer()).map(Number::from_integer));
        return samples.into_iter().map(Answer::Number).collect();
    }
    let mut cuts: Vec<Number> = points.iter().copied().filter(|point| *point >= low && *point <= high).collect();
    if grain != Grain::Coarse {
        cuts.extend([low, high]);
    }
    cuts.sort_unstable();
    cuts.dedup();
    // Stretches between neighbours; the outermost ones hold the end of the range where no cut lies on it.
    let mut gaps: Vec<(Number, Number)> = cuts.windows(2).map(|pair| (pair[0], pair[1])).collect();
    match (cuts.first(), cuts.last()) {
        (Some(first), Some(last)) => gaps.extend([(low, *first), (*last, high)]),
        _ => gaps.push((low, high)),
    }
    for (from, to) in gaps {
        let inner = between(from, to, grain);
        if whole {
            let is_end = |point: &Number| (*point == low || *point == high) && !cuts.contains(point);
            let inside = |point: &Number| (*point > from && *point < to) || is_end(point);
            samples.extend(inner.iter().flat_map(|point| [point.floor(), point.ceil()]).filter(inside));
            samples
                .extend([from.floor() + Number::from_integer(1), to.ceil() - Number::from_integer(1)].into_iter().filter(inside));
        } else if from < to || cuts.is_empty() {
            samples.extend(inner);
        }
    }
    samples.extend(cuts.into_iter().filter(|cut| !whole || cut.is_integer()));
    samples.into_iter().map(Answer::Number).collect()
}

/// Samples strictly between two numbers; the number itself where they are the same.
fn between(from: Number, to: Number, grain: Grain) -> Vec<Number> {
    let at = |share: Number| from + (to - from) * share;
    match grain {
        Grain::Coarse => vec![at(Number::new(1, 2))],
        Grain::Ordered => vec![at(Number::new(1, 4)), at(Number::new(1, 2)), at(Number::new(3, 4))],
        Grain::Fluid => vec![at(Number::new(1, 1_000_003)), at(Number::new(1, 2)), at(Number::new(1_000_002, 1_000_003))],
    }
}
