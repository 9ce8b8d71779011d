//! What a case costs, now and if it is left alone.

use std::collections::BTreeSet;

use num_traits::{One, Zero};
use purfle_lang::book::{Arrow, FindingId, PartId, WorkId};
use purfle_lang::number::Number;

use super::case::{Case, InHand, Place, View};

/// What something costs in a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Price {
    /// The lower end.
    pub low: Number,
    /// The upper end.
    pub high: Number,
    /// Something in it is known only on sight.
    pub and_more: bool,
    /// An amount in it could not be worked out and was left out.
    pub unpriced: bool,
}

/// A finding at a place.
pub type Job = (FindingId, Place);

impl Case<'_> {
    /// Whether two findings, each at its place, are such that one asks after the other: at the same place where both
    /// are on each of one part, else at any.
    fn meet(&self, one: Job, other: Job) -> bool {
        let (left, right) = (&self.book[one.0], &self.book[other.0]);
        !(left.each && right.each && left.on == right.on) || one.1 == other.1
    }

    /// Whether the first yields to the other where both hold.
    pub fn yields(&self, one: Job, other: Job) -> bool {
        self.book[one.0].yields_to.contains(&other.0) && self.meet(one, other)
    }

    /// What is left when each finding that yields to another of the list is taken out.
    pub fn standing(&self, jobs: &[Job]) -> Vec<Job> {
        jobs.iter().copied().filter(|job| !jobs.iter().any(|other| self.yields(*job, *other))).collect()
    }

    /// The price of jobs that stand, with or without the least charge.
    pub fn price(&self, jobs: &[Job], least_charge: bool) -> Price {
        let mut price = Price { low: Number::zero(), high: Number::zero(), and_more: false, unpriced: false };
        let mut steps: BTreeSet<(WorkId, Option<(PartId, Place)>)> = BTreeSet::new();
        for (finding, place) in jobs {
            let on = self.book[*finding].on;
            let cost = self.book[*finding].counted_cost();
            price.and_more |= cost.on_sight;
            for work in &cost.work {
                steps.insert((*work, (!self.book[*work].once).then_some((on, *place))));
            }
            for goods in &cost.goods {
                self.add(&mut price, self.amount(&goods.price, Some((on, *place))), Number::one());
            }
        }
        for (work, at) in &steps {
            let does_it = |(other, there): &(WorkId, Option<(PartId, Place)>)| {
                self.includes(*other, *work) && (there.is_none() || at.is_none() || there == at)
            };
            if steps.iter().any(does_it) {
                continue;
            }
            let step = &self.book[*work];
            let rate = if step.timed {
                self.book[step.by].rate.unwrap_or_else(Number::zero) / Number::from_integer(60)
            } else {
                Number::one()
            };
            self.add(&mut price, self.amount(&step.amount, *at), rate);
        }
        if least_charge
            && !steps.is_empty()
            && let Some(least) = self.book.least_charge
        {
            for end in [&mut price.low, &mut price.high] {
                if *end > Number::zero() {
                    *end = (*end).max(least);
                }
            }
        }
        price
    }

    /// Whether doing `outer` does `inner` as well, directly or by what it includes.
    fn includes(&self, outer: WorkId, inner: WorkId) -> bool {
        self.book[outer].includes.iter().any(|next| *next == inner || self.includes(*next, inner))
    }

    fn amount(&self, value: &purfle_lang::book::Value, at: Option<(PartId, Place)>) -> Option<(Number, Number)> {
        match at {
            Some((part, Place::At(place))) => {
                let here = InHand::new(part, place, None);
                self.ends(value, View { hand: Some(&here), ..View::default() })
            }
            _ => self.ends(value, View::default()),
        }
    }

    fn add(&self, price: &mut Price, amount: Option<(Number, Number)>, rate: Number) {
        match amount {
            Some((low, high)) => {
                price.low += low * rate;
                price.high += high * rate;
            }
            None => price.unpriced = true,
        }
    }

    /// What the jobs are if they are left: they themselves and all they become along the arrows that `happens` lets
    /// through. Never where the part of what comes does not apply.
    pub fn left(&self, jobs: &[Job], happens: &dyn Fn(&Arrow) -> bool) -> Vec<Job> {
        let mut left = jobs.to_vec();
        let mut next = 0;
        while next < left.len() {
            let (from, place) = left[next];
            for arrow in self.book[from].becomes.iter().filter(|arrow| happens(arrow)) {
                let goal = &self.book[arrow.to];
                if !self.part_applies(goal.on) {
                    continue;
                }
                let at = if !goal.each {
                    Place::Part
                } else if self.book[from].each && self.book[from].on == goal.on {
                    place
                } else {
                    Place::ToCome
                };
                if !left.contains(&(arrow.to, at)) {
                    left.push((arrow.to, at));
                }
            }
            next += 1;
        }
        left
    }

    /// The expected extra of one finding if it is left, before the least charge: each arrow of its chain comes true or
    /// not by itself. None unless it has arrows and all of them have odds.
    pub fn extra(&self, job: Job) -> Option<(Number, Number)> {
        let all = self.left(&[job], &|_| true);
        let sources: BTreeSet<FindingId> = all.iter().map(|(finding, _)| *finding).collect();
        let arrows: Vec<&Arrow> = sources.iter().flat_map(|finding| &self.book[*finding].becomes).collect();
        let odds: Option<Vec<Number>> = arrows.iter().map(|arrow| arrow.odds).collect();
        let odds = odds.filter(|odds| !odds.is_empty())?;
        let now = self.price(&[job], false);
        let (mut low, mut high) = (Number::zero(), Number::zero());
        for happen in 0..1_u32 << arrows.len() {
            let comes = |at: usize| happen & (1 << at) != 0;
            let chances = odds.iter().enumerate().map(|(at, odds)| if comes(at) { *odds } else { Number::one() - odds });
            let chance = chances.fold(Number::one(), |product, chance| product * chance);
            let happens = |arrow: &Arrow| arrows.iter().enumerate().any(|(at, own)| std::ptr::eq(*own, arrow) && comes(at));
            let then = self.price(&self.standing(&self.left(&[job], &happens)), false);
            low += chance * (then.low - now.low);
            high += chance * (then.high - now.high);
        }
        Some((low, high))
    }
}
