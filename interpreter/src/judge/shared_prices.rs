//! What the things that rooms share cost, worked out once for what the record leaves open of them.

use std::sync::Arc;

use rustc_hash::{FxHashMap, FxHashSet};

use super::fold::hangs_on_nothing_open;
use super::price::price_bounds;
use super::sharing::{End, Shared, Sharing};
use super::solve::Ground;
use crate::plan::layout::Layout;
use crate::plan::price::{Price, Scaled};
use purfle_lang::finite::node::{CellSet, VariableId};

/// A sum from its least to its greatest.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
struct Span {
    low: Scaled,
    high: Scaled,
    /// Whether it hangs on nothing open.
    sure: bool,
}

/// A shared bench step.
#[derive(Debug, PartialEq, Eq, Hash)]
struct Step {
    price: Span,
    /// The steps that make it fall away.
    included_by: Shared,
}

/// Something that several rooms can come to if left.
#[derive(Debug, PartialEq, Eq, Hash)]
struct Goal {
    /// Its goods, and the steps that nothing shares.
    price: Span,
    works: bool,
    /// Its shared steps.
    steps: Shared,
    /// What it yields to.
    over: Shared,
}

/// The price of every shared bit.
#[derive(Debug, PartialEq, Eq, Hash)]
pub struct SharedPrices {
    steps: Vec<Option<Step>>,
    goals: Vec<Option<Goal>>,
    step_bits: Shared,
    goal_bits: Shared,
    /// Steps of a certain price that take nothing away and are taken away by nothing.
    plain_steps: Shared,
    /// Goals of a certain price that yield to nothing and are yielded to by nothing, all their shared steps plain.
    plain_goals: Shared,
}

impl SharedPrices {
    fn of(ground: Ground<'_>) -> Self {
        let layout = ground.layout();
        let sharing = &ground.prepared.sharing;
        let slots = |bits: &mut dyn Iterator<Item = u32>| bits.max().map_or(0, |most| most as usize + 1);
        let mut all = Self {
            steps: (0..slots(&mut sharing.step_of.iter().map(|(bit, _)| *bit))).map(|_| None).collect(),
            goals: (0..slots(&mut sharing.instance_of.iter().map(|(bit, _)| *bit))).map(|_| None).collect(),
            step_bits: 0,
            goal_bits: 0,
            plain_steps: 0,
            plain_goals: 0,
        };
        let add = |sum: &mut Span, price: &Price| {
            let (low, high) = price_bounds(ground, price);
            (sum.low, sum.high) = (sum.low + low, sum.high + high);
            sum.sure &= hangs_on_nothing_open(ground, price);
        };
        let nothing = Span { sure: true, ..Span::default() };
        let bit_of = |bit: Option<u32>| bit.map_or(0, |bit| 1 << bit);
        for &(bit, id) in &sharing.step_of {
            let occurrence = &layout.occurrences[id as usize];
            let mut price = nothing;
            add(&mut price, &occurrence.price);
            let included_by = occurrence.included_by.iter().fold(0, |all, by| all | bit_of(sharing.steps[*by as usize]));
            all.steps[bit as usize] = Some(Step { price, included_by });
            all.step_bits |= 1 << bit;
        }
        for &(bit, id) in &sharing.instance_of {
            let instance = &layout.instances[id as usize];
            let (mut price, mut steps) = (nothing, 0);
            instance.goods.iter().for_each(|goods| add(&mut price, goods));
            for &occurrence in &instance.occurrences {
                match sharing.steps[occurrence as usize] {
                    Some(bit) => steps |= 1 << bit,
                    None => add(&mut price, &layout.occurrences[occurrence as usize].price),
                }
            }
            let over = instance.yields_to.iter().filter(|other| **other != id);
            let over = over.fold(0, |all, other| all | bit_of(sharing.holds[*other as usize]));
            all.goals[bit as usize] = Some(Goal { price, works: instance.works, steps, over });
            all.goal_bits |= 1 << bit;
        }
        all.find_plain();
        all
    }

    fn find_plain(&mut self) {
        let takes_away = self.steps.iter().flatten().fold(0, |all, step| all | step.included_by);
        let yielded_to = self.goals.iter().flatten().fold(0, |all, goal| all | goal.over);
        for (bit, step) in self.steps.iter().enumerate() {
            let plain = step.as_ref().is_some_and(|step| step.price.sure && step.included_by == 0) && takes_away >> bit & 1 == 0;
            self.plain_steps |= Shared::from(plain) << bit;
        }
        for (bit, goal) in self.goals.iter().enumerate() {
            let alone = |goal: &Goal| goal.price.sure && goal.over == 0 && goal.steps & !self.plain_steps == 0;
            let plain = goal.as_ref().is_some_and(alone) && yielded_to >> bit & 1 == 0;
            self.plain_goals |= Shared::from(plain) << bit;
        }
    }

    /// Of some bits, those that cost the same whatever else of `all` is there. With `left` the goals count as well.
    pub fn apart(&self, bits: Shared, all: Shared, left: bool) -> Shared {
        if !left {
            return bits & self.plain_steps;
        }
        let (mut needed, mut twice) = (0, 0);
        let steps = |bit: usize| self.goals[bit].as_ref().map_or(0, |goal| goal.steps);
        each_bit(all & self.goal_bits, |bit| {
            twice |= needed & steps(bit);
            needed |= steps(bit);
        });
        let mut apart = bits & self.plain_steps & !needed;
        each_bit(bits & self.plain_goals, |bit| apart |= Shared::from(steps(bit) & (all | twice) == 0) << bit);
        apart
    }

    /// What bits that are apart cost at one end, and whether there is work in it that no step tells of.
    pub fn each(&self, apart: Shared, end: End) -> (Scaled, bool) {
        let (sum, works, _) = self.sum(apart, true, 0, end);
        (sum, works)
    }

    /// What bits cost together at one end, whether there is work in it, and whether the price is certain. With `left`
    /// the goals count as well. `takes_away` are the bits that can make others fall away.
    pub fn sum(&self, shared: Shared, left: bool, takes_away: Shared, end: End) -> (Scaled, bool, bool) {
        let (mut sum, mut works, mut sure) = (0, false, true);
        let mut add = |price: &Span| {
            sum += if end == End::Low { price.low } else { price.high };
            sure &= price.sure;
        };
        let mut steps = shared;
        if left {
            each_bit(shared & self.goal_bits, |bit| {
                if let Some(goal) = self.goals[bit].as_ref().filter(|goal| goal.over & shared & takes_away == 0) {
                    works |= goal.works;
                    steps |= goal.steps;
                    add(&goal.price);
                }
            });
        }
        each_bit(steps & self.step_bits, |bit| {
            if let Some(step) = self.steps[bit].as_ref().filter(|step| step.included_by & steps & takes_away == 0) {
                add(&step.price);
            }
        });
        (sum, works, sure)
    }
}

#[cfg(test)]
impl SharedPrices {
    /// Steps by bit, price, what takes them away and whether the price is certain; goals by bit, price, shared steps
    /// and what they yield to.
    pub fn of_parts(steps: &[(usize, Scaled, Shared, bool)], goals: &[(usize, Scaled, Shared, Shared)]) -> Self {
        let mut all = Self {
            steps: (0..128).map(|_| None).collect(),
            goals: (0..128).map(|_| None).collect(),
            step_bits: steps.iter().fold(0, |all, step| all | 1 << step.0),
            goal_bits: goals.iter().fold(0, |all, goal| all | 1 << goal.0),
            plain_steps: 0,
            plain_goals: 0,
        };
        let price = |price: Scaled, sure| Span { low: price, high: price + 7, sure };
        for &(bit, sum, included_by, sure) in steps {
            all.steps[bit] = Some(Step { price: price(sum, sure), included_by });
        }
        for &(bit, sum, steps, over) in goals {
            all.goals[bit] = Some(Goal { price: price(sum, true), works: steps != 0, steps, over });
        }
        all.find_plain();
        all
    }

    /// The shared steps of a goal.
    pub fn needs(&self, bit: usize) -> Shared {
        self.goals[bit].as_ref().map_or(0, |goal| goal.steps)
    }
}

fn each_bit(mut bits: Shared, mut tell: impl FnMut(usize)) {
    while bits != 0 {
        tell(bits.trailing_zeros() as usize);
        bits &= bits - 1;
    }
}

/// Prices worked out before.
#[derive(Debug, Default)]
pub struct PriceMemory {
    known: FxHashMap<(usize, Vec<CellSet>), Arc<SharedPrices>>,
    /// The different ones: those that are equal are kept once.
    different: FxHashSet<Arc<SharedPrices>>,
    /// Those asked for last, which are mostly asked for again.
    last: Option<(usize, Vec<CellSet>, Arc<SharedPrices>)>,
}

/// The most that are remembered.
const MOST_REMEMBERED: usize = 4096;

impl PriceMemory {
    /// The prices for what the ground leaves open.
    pub fn prices(&mut self, ground: Ground<'_>) -> Arc<SharedPrices> {
        let Some(reads) = &ground.prepared.price_reads else {
            return Arc::new(SharedPrices::of(ground));
        };
        let number = ground.prepared.number;
        let sets = || reads.iter().map(|v| ground.seen.sets[*v as usize]);
        if let Some((_, _, prices)) = self.last.as_ref().filter(|last| last.0 == number && sets().eq(last.1.iter().copied())) {
            return Arc::clone(prices);
        }
        let key = (number, sets().collect::<Vec<_>>());
        let prices = match self.known.get(&key) {
            Some(known) => Arc::clone(known),
            None => {
                if self.known.len() >= MOST_REMEMBERED {
                    (self.known, self.different) = Default::default();
                }
                let prices = SharedPrices::of(ground);
                let prices = self.different.get(&prices).map_or_else(|| Arc::new(prices), Arc::clone);
                self.different.insert(Arc::clone(&prices));
                self.known.insert(key.clone(), Arc::clone(&prices));
                prices
            }
        };
        self.last = Some((key.0, key.1, Arc::clone(&prices)));
        prices
    }
}

/// For each variable that prices of shared things read: the shared steps whose price hangs on it, and the findings.
pub fn dearer_by(layout: &Layout, sharing: &Sharing) -> Vec<(VariableId, Shared, Shared)> {
    let mut by: Vec<(VariableId, Shared, Shared)> = Vec::new();
    let mut note = |price: &Price, step: Shared, finding: Shared| {
        price.variables(&layout.view.atoms, &mut |variable| match by.iter_mut().find(|(known, ..)| *known == variable) {
            Some(known) => (known.1, known.2) = (known.1 | step, known.2 | finding),
            None => by.push((variable, step, finding)),
        });
    };
    for &(bit, id) in &sharing.step_of {
        note(&layout.occurrences[id as usize].price, 1 << bit, 0);
    }
    for &(bit, id) in &sharing.instance_of {
        let instance = &layout.instances[id as usize];
        let steps = instance.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
        instance.goods.iter().chain(steps).for_each(|price| note(price, 0, 1 << bit));
    }
    by
}

/// The variables that prices of shared things read; none where a record brings one of these prices along.
pub fn price_reads<'a>(
    prices: impl Iterator<Item = &'a Price>,
    atoms: &[purfle_lang::finite::node::Atom],
) -> Option<Vec<VariableId>> {
    let mut reads = Vec::new();
    for price in prices {
        if matches!(price, Price::Open(_)) {
            return None;
        }
        price.variables(atoms, &mut |v| reads.push(v));
    }
    reads.sort_unstable();
    reads.dedup();
    Some(reads)
}
