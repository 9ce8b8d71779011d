//! The choices that rooms leave between sums and shared bits, brought down to the few that still hang together.
//!
//! Most bits are there anyway, or only one room can bring them in: the price of such a bit is part of that room's own
//! sum. What is left of a room is then mostly one choice, and only rooms that really share something are joined.

use super::shared_prices::SharedPrices;
use super::sharing::{Choice, End, Shared, WORK, join, prune};

/// How shared bits are priced.
#[derive(Clone, Copy)]
pub struct Pricing<'a> {
    /// What they cost.
    pub prices: &'a SharedPrices,
    /// Whether what things become if left counts as well.
    pub left: bool,
    /// Which end is wanted.
    pub end: End,
    /// The bits whose presence can make something cheaper.
    pub fickle: Shared,
}

/// What is there anyway, and the choices of each room that has several.
#[derive(Debug, Clone, Default)]
pub struct Choices {
    /// There anyway.
    pub base: Choice,
    /// The choices besides.
    pub several: Vec<Vec<Choice>>,
}

impl Choices {
    /// Adds a room.
    pub fn add(&mut self, choices: &[Choice]) {
        match choices {
            [] => {}
            [only] => {
                self.base.own += only.own;
                self.base.shared |= only.shared;
            }
            several => self.several.push(several.to_vec()),
        }
    }

    /// Leaves one list of choices, or none. False where there are too many to keep; the lists then stay apart.
    pub fn join(&mut self, pricing: Pricing<'_>) -> bool {
        let Pricing { end, fickle, .. } = pricing;
        loop {
            self.settle(pricing, 0);
            if self.several.len() < 2 {
                return true;
            }
            self.several.sort_by_key(|choices| std::cmp::Reverse(choices.len()));
            let Some(mut first) = self.several.pop() else { return true };
            let bits = bits(&first) & !self.base.shared;
            let next = self.several.iter().rposition(|other| self::bits(other) & bits != 0);
            let second = self.several.remove(next.unwrap_or(self.several.len() - 1));
            let before = first.clone();
            if !join(&mut first, &second, end, fickle) {
                self.several.extend([before, second]);
                return false;
            }
            self.several.push(first);
        }
    }

    /// Makes what is there anyway, and what only one room can bring in, part of the sums, until nothing changes. `elsewhere`
    /// are the bits that rooms may bring in that are still to be added.
    pub fn settle(&mut self, pricing: Pricing<'_>, elsewhere: Shared) {
        let Pricing { prices, left, end, fickle } = pricing;
        let Self { base, several } = self;
        while !several.is_empty() {
            let known = base.shared;
            let (mut any, mut twice) = (elsewhere, elsewhere);
            for choices in several.iter() {
                let own = bits(choices);
                twice |= any & own;
                any |= own;
            }
            let alone = prices.apart(any & !twice & !known & !fickle, known | any, left);
            several.retain_mut(|choices| {
                for choice in choices.iter_mut() {
                    if choice.shared & alone != 0 {
                        let (sum, works) = prices.each(choice.shared & alone, end);
                        choice.own += sum;
                        choice.shared = choice.shared & !alone | if works { WORK } else { 0 };
                    }
                    choice.shared |= base.shared;
                }
                prune(choices, end, fickle);
                let [only] = choices[..] else { return true };
                base.own += only.own;
                base.shared |= only.shared;
                false
            });
            if base.shared == known && alone == 0 {
                break;
            }
        }
    }
}

/// All that any of these choices shares.
fn bits(choices: &[Choice]) -> Shared {
    choices.iter().fold(0, |all, choice| all | choice.shared)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::Chance;
    use crate::plan::price::Scaled;

    /// Some of these bits.
    fn some_of(bits: Shared, chance: &mut Chance) -> Shared {
        bits & Shared::from(chance.below(1 << 12)) & Shared::from(chance.below(1 << 12) | chance.below(1 << 12))
    }

    /// Bits 1 to 6 are steps, of which the sixth takes the fifth away; 7 to 10 are goals that need steps, the last
    /// yielding to the one before.
    fn prices(chance: &mut Chance) -> SharedPrices {
        let mut steps = Vec::new();
        for bit in 1..=6 {
            steps.push((bit, chance.below(50) as Scaled, if bit == 5 { 1 << 6 } else { 0 }, bit != 4));
        }
        let mut goals = Vec::new();
        for bit in 7..=10 {
            goals.push((bit, chance.below(50) as Scaled, some_of(0b111_1110, chance), if bit == 10 { 1 << 9 } else { 0 }));
        }
        SharedPrices::of_parts(&steps, &goals)
    }

    #[test]
    fn joined_choices_come_to_what_all_of_them_come_to() {
        let mut chance = Chance(7);
        for _ in 0..3000 {
            let prices = prices(&mut chance);
            let left = chance.below(2) == 1;
            let all: Shared = if left { (1 << 11) - 1 } else { (1 << 7) - 1 };
            let mut choice = || Choice { own: chance.below(60) as Scaled, shared: some_of(all, &mut chance) };
            let base = choice();
            let several: Vec<Vec<Choice>> = (0..4).map(|at| (0..2 + at % 2).map(|_| choice()).collect()).collect();
            for end in [End::Low, End::High] {
                // What takes something away, or needs what does, can make the whole cheaper.
                let needing = (7..=10).filter(|bit| prices.needs(*bit) & (1 << 5 | 1 << 6) != 0);
                let fickle = needing.fold(1 << 5 | 1 << 6 | 1 << 9 | 1 << 10, |all: Shared, bit| all | 1 << bit);
                let total = |state: Choice| {
                    let (sum, works, _) = prices.sum(state.shared, left, Shared::MAX, end);
                    let sum = state.own + sum;
                    if works || state.shared & WORK != 0 { sum.max(40) } else { sum }
                };
                let mut states = vec![base];
                for choices in &several {
                    let add = |state: &Choice, other: &Choice| Choice {
                        own: state.own + other.own,
                        shared: state.shared | other.shared,
                    };
                    states = states.iter().flat_map(|state| choices.iter().map(move |other| add(state, other))).collect();
                }
                let best = |sums: Vec<Scaled>| if end == End::Low { sums.into_iter().min() } else { sums.into_iter().max() };
                let expected = best(states.into_iter().map(total).collect());
                let pricing = Pricing { prices: &prices, left, end, fickle };
                let mut choices = Choices { base, several: several.clone() };
                // Some of them may have been settled before the others came.
                let first = chance.below(5) as usize;
                if first < 4 {
                    let elsewhere = several[first..].iter().fold(0, |all, choices| all | bits(choices));
                    choices.several.truncate(first);
                    choices.settle(pricing, elsewhere);
                    several[first..].iter().for_each(|room| choices.add(room));
                }
                assert!(choices.join(pricing));
                let Choices { base, several } = choices;
                let states = several.first().cloned().unwrap_or_else(|| vec![Choice { own: 0, shared: 0 }]);
                let with_base = |state: Choice| Choice { own: base.own + state.own, shared: base.shared | state.shared };
                assert_eq!(best(states.into_iter().map(|state| total(with_base(state))).collect()), expected);
            }
        }
    }
}
