//! Whether a record can cost more by one book than by another at all, by what costs are made of.
//!
//! It cannot where, case by case, what stands by the one stands by the other too, takes no step that it does not take there,
//! and no step, no goods and no least charge costs more. A step that falls away may bring back what it includes, so only
//! steps that include nothing may fall away; and a finding that falls away makes room for those that yield to it, so only
//! those may fall away to which nothing with a price yields.

use std::collections::BTreeSet;

use num_traits::{CheckedMul, Zero};

use super::both::Both;
use super::money::{Bench, Money, Work};
use crate::book::{Book, FindingId, PartId, Places, Value};
use crate::evaluate::{InHand, Input, Spot, evaluate, inputs_of};
use crate::finite::classify::{Fixed, key_combinations};
use crate::number::Number;

/// The most combinations of choices that are gone through for one price.
const MOST_COMBINATIONS: usize = 1_024;

/// One way of going from a book to another.
pub(super) struct Way<'a> {
    /// Both books in one, in whose terms prices are.
    pub both: &'a Both<'a>,
    /// The book that is gone from, and its money.
    pub from: (&'a Book, &'a Money),
    /// The book that is gone to.
    pub to: (&'a Book, &'a Money),
    /// Findings that can hold where they did not, or may.
    pub gained: BTreeSet<&'a str>,
    /// Findings that can fail to hold where they did, or may.
    pub lost: BTreeSet<&'a str>,
}

/// What is never higher.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Never {
    /// What a record costs.
    pub dearer: bool,
    /// What it costs if left.
    pub dearer_if_left: bool,
}

impl Way<'_> {
    /// What is proved never to be higher.
    pub fn never(&self) -> Never {
        let dearer = self.prices_no_higher() && self.jobs_no_more(false);
        Never { dearer, dearer_if_left: dearer && self.both.applies_alike() && self.jobs_no_more(true) }
    }

    fn names(&self) -> impl Iterator<Item = &str> {
        self.both.pairs.iter().map(|pair| pair.name.as_str())
    }

    fn before(&self, name: &str) -> Option<&Work> {
        self.from.1.findings.get(name)
    }

    fn after(&self, name: &str) -> Option<&Work> {
        self.to.1.findings.get(name)
    }

    /// Whether no step, no goods and no least charge that both know costs more.
    fn prices_no_higher(&self) -> bool {
        let (from, to) = (self.from.0, self.to.0);
        let charge = to.least_charge.is_none_or(|now| from.least_charge.is_some_and(|was| now <= was));
        charge && from.money == to.money && self.names().all(|name| self.goods_no_higher(name) && self.steps_no_higher(name))
    }

    fn goods_no_higher(&self, name: &str) -> bool {
        let (Some(before), Some(after)) = (self.before(name), self.after(name)) else { return true };
        if before.doubtful || after.doubtful {
            return false;
        }
        let one = Number::from_integer(1);
        let part = self.each_on(name);
        let mut left: Vec<&Value> = before.goods.iter().collect();
        // Each is held against one of those that were asked for, and against no other.
        after.goods.iter().all(|now| {
            let alike = left.iter().position(|was| *was == now);
            let at = alike.or_else(|| left.iter().position(|was| no_higher(&self.both.book, part, (was, one), (now, one))));
            at.map(|at| left.swap_remove(at)).is_some()
        })
    }

    fn steps_no_higher(&self, name: &str) -> bool {
        let Some(after) = self.after(name) else { return true };
        let mut seen = BTreeSet::new();
        let mut waiting: Vec<&String> = after.steps.iter().collect();
        while let Some(step) = waiting.pop() {
            if !seen.insert(step) {
                continue;
            }
            let (Some(was), Some(now)) = (self.from.1.works.get(step), self.to.1.works.get(step)) else {
                // Only the one has it, so nothing that holds there may ask for it.
                if self.before(name).is_some() || self.gained.contains(name) {
                    return false;
                }
                continue;
            };
            if !self.bench_no_higher(name, was, now) {
                return false;
            }
            waiting.extend(&now.includes);
        }
        true
    }

    fn bench_no_higher(&self, name: &str, was: &Bench, now: &Bench) -> bool {
        let part = self.each_on(name).filter(|_| !now.once);
        !(was.doubtful || now.doubtful)
            && (was.once, &was.includes) == (now.once, &now.includes)
            && no_higher(&self.both.book, part, (&was.amount, was.rate), (&now.amount, now.rate))
    }

    /// The part of a finding that is judged at each of its places.
    fn each_on(&self, name: &str) -> Option<PartId> {
        self.place_of(name).and_then(|(part, each)| each.then_some(part))
    }

    /// Whether what stands by the one stands by the other, or has no price; with `left`, what comes of it if left as well.
    fn jobs_no_more(&self, left: bool) -> bool {
        let mut falls_away: BTreeSet<&str> = self.lost.clone();
        let mut fewer_steps: BTreeSet<&String> = BTreeSet::new();
        for name in self.names() {
            let gained = self.gained.contains(name);
            match (self.before(name), self.after(name)) {
                (Some(before), Some(after)) => {
                    let placed = self.placed_alike(name);
                    let fewer = after.steps.is_subset(&before.steps) && before.yields_to.is_subset(&after.yields_to);
                    let leads = !left || after.becomes.is_subset(&before.becomes);
                    if !(placed && fewer && leads) {
                        return false;
                    }
                    if gained && !(after.steps.is_empty() && after.goods.is_empty() && (!left || after.becomes.is_empty())) {
                        return false;
                    }
                    let yields_more = before.yields_to != after.yields_to
                        || before.yields_to.iter().any(|to| self.gained.contains(to.as_str()));
                    fewer_steps.extend(before.steps.difference(&after.steps));
                    if yields_more {
                        fewer_steps.extend(&before.steps);
                    }
                    if left {
                        falls_away.extend(before.becomes.difference(&after.becomes).map(String::as_str));
                    }
                }
                (None, Some(after)) => {
                    let priced = !(after.steps.is_empty() && after.goods.is_empty()) || (left && !after.becomes.is_empty());
                    if gained && priced {
                        return false;
                    }
                    // What yields to it stands less.
                    if gained {
                        let yielders = self.to.1.findings.values().filter(|work| work.yields_to.contains(name));
                        fewer_steps.extend(yielders.flat_map(|work| &work.steps));
                    }
                }
                (Some(_), None) | (None, None) => {}
            }
        }
        if left {
            // With what falls away goes all that it becomes.
            while let Some(next) = falls_away
                .iter()
                .filter_map(|name| self.before(name))
                .flat_map(|work| &work.becomes)
                .find(|goal| !falls_away.contains(goal.as_str()))
            {
                falls_away.insert(next);
            }
        }
        if falls_away.iter().any(|name| !self.room_is_free(name)) {
            return false;
        }
        fewer_steps.extend(falls_away.iter().filter_map(|name| self.before(name)).flat_map(|work| &work.steps));
        fewer_steps
            .into_iter()
            .all(|step| [self.from.1, self.to.1].into_iter().all(|money| self.brings_back_no_more(money, step)))
    }

    /// Whether what yields to a finding takes no more in its place than it did.
    fn room_is_free(&self, name: &str) -> bool {
        let Some(before) = self.before(name) else { return false };
        let yields = |work: &&Work| work.yields_to.contains(name) && !work.nothing();
        let yielders = |money: &'_ Money| -> Vec<String> {
            money.findings.iter().filter(|(_, work)| yields(work)).map(|(yielder, _)| yielder.clone()).collect()
        };
        let in_its_place = |yielder: &String| {
            let alike = self.place_of(yielder) == self.place_of(name);
            let no_more = |work: Option<&Work>| {
                work.is_none_or(|work| {
                    work.steps.is_subset(&before.steps) && work.goods.is_empty() && before.yields_to.is_subset(&work.yields_to)
                })
            };
            alike && no_more(self.before(yielder)) && no_more(self.after(yielder))
        };
        yielders(self.from.1).iter().chain(&yielders(self.to.1)).all(in_its_place)
    }

    /// Whether all that a step includes is done at most as often as it is itself, at prices that are known to be no higher.
    fn brings_back_no_more(&self, money: &Money, step: &str) -> bool {
        let Some(bench) = money.works.get(step) else { return true };
        let measured = |bench: &Bench| {
            let (mut numbers, mut keys) = (Vec::new(), Vec::new());
            inputs_of(&self.both.book, &bench.amount, &InHand::nothing(), &mut numbers, &mut keys);
            !numbers.is_empty()
        };
        let mut seen: BTreeSet<&String> = BTreeSet::new();
        let mut waiting: Vec<&String> = bench.includes.iter().collect();
        while let Some(inner) = waiting.pop() {
            if !seen.insert(inner) {
                continue;
            }
            let Some(known) = money.works.get(inner) else { return false };
            if (bench.once && !known.once) || measured(known) || measured(bench) {
                return false;
            }
            waiting.extend(&known.includes);
        }
        true
    }

    fn place_of(&self, name: &str) -> Option<(PartId, bool)> {
        let pair = self.both.pairs.iter().find(|pair| pair.name == name)?;
        let (_, id) = pair.new.or(pair.old)?;
        Some((self.both.book[id].on, self.both.book[id].each))
    }

    fn placed_alike(&self, name: &str) -> bool {
        let at = |id: FindingId| (self.both.book[id].on, self.both.book[id].each);
        let pair = self.both.pairs.iter().find(|pair| pair.name == name);
        pair.is_none_or(|pair| match (pair.old, pair.new) {
            (Some((_, one)), Some((_, other))) => at(one) == at(other),
            _ => true,
        })
    }
}

/// Whether an amount at a rate is no higher than another, at either end and whatever decides it.
fn no_higher(book: &Book, part: Option<PartId>, was: (&Value, Number), now: (&Value, Number)) -> bool {
    if was == now {
        return true;
    }
    let spots: Vec<Spot> = match part.map(|part| &book[part].places) {
        None | Some(Places::Single) => vec![Spot::Single],
        Some(Places::Fixed(places)) => (0..places.len() as u32).map(Spot::Fixed).collect(),
        Some(Places::AsFound) => vec![Spot::Found(0)],
    };
    let mut tried = 0;
    for spot in spots {
        let hand = part.map_or_else(InHand::nothing, |part| InHand::nothing().with(part, spot));
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        for (value, _) in [was, now] {
            inputs_of(book, value, &hand, &mut numbers, &mut keys);
        }
        if !numbers.is_empty() {
            return false;
        }
        tried += keys.iter().map(|key| book[key.look].choices().len().max(2) + 1).product::<usize>();
        if tried > MOST_COMBINATIONS {
            return false;
        }
        for choices in key_combinations(book, &keys) {
            let inputs = Fixed { numbers: &[] as &[(Input, Number)], keys: &choices };
            // What cannot be worked out is left out of a sum.
            let at = |(value, rate): (&Value, Number)| match evaluate(book, value, &hand, &inputs) {
                None => Some((Number::zero(), Number::zero())),
                Some(worked) => Some((worked.low.0.checked_mul(&rate)?, worked.high.1.checked_mul(&rate)?)),
            };
            match (at(was), at(now)) {
                (Some(was), Some(now)) if now.0 <= was.0 && now.1 <= was.1 => {}
                _ => return false,
            }
        }
    }
    true
}
