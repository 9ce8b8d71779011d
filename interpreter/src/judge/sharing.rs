//! What rooms share when money is added up: bench steps that several need, and what several can become if left.
//!
//! A room's cost in a case is a sum of its own and a set of shared bits; the total is the sum of the own sums and
//! the price of the union of the bits. Bits keep their meaning across layouts, so that rooms of one shape can share
//! what is remembered of them.

use std::cmp::Reverse;

use purfle_lang::book::{FindingId, PartId, WorkId};
use purfle_lang::evaluate::Spot;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::plan::layout::Layout;
use crate::plan::price::Scaled;
use purfle_lang::finite::node::InstanceId;

/// A set of shared bits.
pub type Shared = u128;

/// The bit that says that there is any work at all.
pub const WORK: Shared = 1;

/// How many bits there are.
const MOST_BITS: u32 = 126;

/// What a bit stands for, in every layout.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Key {
    Step(WorkId, Option<(PartId, Spot)>),
    Holds(FindingId, Spot),
}

/// Gives bits out.
#[derive(Debug, Default)]
pub struct Bits {
    known: FxHashMap<Key, u32>,
}

impl Bits {
    fn bit(&mut self, key: Key) -> Option<u32> {
        let next = self.known.len() as u32 + 1;
        if let Some(&bit) = self.known.get(&key) {
            return Some(bit);
        }
        (next < MOST_BITS).then(|| {
            self.known.insert(key, next);
            next
        })
    }
}

/// What the bits mean in one layout.
#[derive(Debug, Clone, Default)]
pub struct Sharing {
    /// The bit of each occurrence, where it is shared.
    pub steps: Vec<Option<u32>>,
    /// The bit of each finding at its place that something in another room can become, or that yields to such a one
    /// or is yielded to by it.
    pub holds: Vec<Option<u32>>,
    /// Occurrences by bit.
    pub step_of: Vec<(u32, u32)>,
    /// Findings by bit.
    pub instance_of: Vec<(u32, InstanceId)>,
    /// Those of them whose cost is known only on sight.
    pub on_sight: Vec<(u32, InstanceId)>,
    /// The bits whose presence can lower the cost if left, so that fewer is not always cheaper.
    pub fickle: Shared,
    /// The steps whose presence can lower any total: one done once that includes what is else done at several places.
    pub fickle_steps: Shared,
    /// Whether there were more things to share than bits; figures are then only enclosed.
    pub overflowed: bool,
    /// The room of each finding; none for one that only something left can bring about.
    pub room_of: Vec<Option<u32>>,
}

impl Sharing {
    /// Works out what the rooms of a layout share.
    pub fn of(layout: &Layout, bits: &mut Bits) -> Self {
        let mut sharing = Self {
            steps: vec![None; layout.occurrences.len()],
            holds: vec![None; layout.instances.len()],
            room_of: vec![None; layout.instances.len()],
            ..Self::default()
        };
        for (at, room) in layout.rooms.iter().enumerate() {
            for &instance in &room.instances {
                sharing.room_of[instance as usize] = Some(at as u32);
            }
        }
        let goals = sharing.goals(layout);
        for &goal in &goals {
            let instance = &layout.instances[goal as usize];
            match bits.bit(Key::Holds(instance.finding, instance.spot)) {
                Some(bit) => {
                    sharing.holds[goal as usize] = Some(bit);
                    sharing.instance_of.push((bit, goal));
                }
                None => sharing.overflowed = true,
            }
        }
        sharing.on_sight = sharing.instance_of.clone();
        sharing.on_sight.retain(|(_, goal)| layout.instances[*goal as usize].on_sight);
        for &goal in &goals {
            let yields = &layout.instances[goal as usize].yields_to;
            for &other in yields.iter().filter(|other| goals.contains(other)) {
                for id in [goal, other] {
                    sharing.fickle |= sharing.holds[id as usize].map_or(0, |bit| 1 << bit);
                }
            }
        }
        for at in 0..layout.occurrences.len() {
            let mut users: Vec<Option<u32>> = Vec::new();
            let mut by_goal = false;
            for (id, instance) in layout.instances.iter().enumerate() {
                if instance.occurrences.contains(&(at as u32)) {
                    by_goal |= goals.contains(&(id as InstanceId));
                    if !users.contains(&sharing.room_of[id]) {
                        users.push(sharing.room_of[id]);
                    }
                }
            }
            let included = !layout.occurrences[at].included_by.is_empty()
                || layout.occurrences.iter().any(|other| other.included_by.contains(&(at as u32)));
            // What only a further way does counts in no total.
            if !users.is_empty() && (users.len() > 1 || by_goal || included) {
                let occurrence = &layout.occurrences[at];
                match bits.bit(Key::Step(occurrence.work, occurrence.at)) {
                    Some(bit) => {
                        sharing.steps[at] = Some(bit);
                        sharing.step_of.push((bit, at as u32));
                    }
                    None => sharing.overflowed = true,
                }
            }
        }
        sharing.steps_that_can_be_cheaper(layout);
        sharing
    }

    fn steps_that_can_be_cheaper(&mut self, layout: &Layout) {
        for (at, occurrence) in layout.occurrences.iter().enumerate() {
            let falling: Vec<WorkId> = layout
                .occurrences
                .iter()
                .filter(|other| other.included_by.contains(&(at as u32)))
                .map(|other| other.work)
                .collect();
            let several = falling.iter().any(|work| falling.iter().filter(|other| *other == work).count() > 1);
            if occurrence.at.is_none() && several {
                self.fickle_steps |= self.steps[at].map_or(0, |bit| 1 << bit);
            }
        }
        self.fickle |= self.fickle_steps;
        for &(bit, id) in &self.instance_of {
            let mut steps = layout.instances[id as usize].occurrences.iter().filter_map(|step| self.steps[*step as usize]);
            if steps.any(|step| self.fickle_steps >> step & 1 == 1) {
                self.fickle |= 1 << bit;
            }
        }
    }

    /// Findings that something in another room can become, all they become in turn, and all that yield to them or
    /// are yielded to by them.
    fn goals(&self, layout: &Layout) -> FxHashSet<InstanceId> {
        let mut goals: FxHashSet<InstanceId> = FxHashSet::default();
        let mut waiting: Vec<InstanceId> = Vec::new();
        for (id, instance) in layout.instances.iter().enumerate() {
            for (goal, ..) in &instance.becomes {
                if self.room_of[*goal as usize].is_none() || self.room_of[*goal as usize] != self.room_of[id] {
                    waiting.push(*goal);
                }
            }
        }
        while let Some(id) = waiting.pop() {
            if !goals.insert(id) {
                continue;
            }
            let instance = &layout.instances[id as usize];
            waiting.extend(instance.becomes.iter().map(|(goal, ..)| *goal));
            waiting.extend(&instance.yields_to);
            waiting.extend(
                (0..layout.instances.len() as u32).filter(|&other| layout.instances[other as usize].yields_to.contains(&id)),
            );
        }
        goals
    }
}

/// One way a room's cost can come out: its own sum, and what it shares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Choice {
    /// The shared bits.
    pub shared: Shared,
    /// The room's own sum.
    pub own: Scaled,
}

/// What adds nothing.
pub const NOTHING: Choice = Choice { shared: 0, own: 0 };

/// Which end of a figure is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The least.
    Low,
    /// The greatest.
    High,
}

/// Leaves out every choice that another one beats whatever is shared besides: for the least, one with no more bits
/// and no more cost of its own; for the greatest, one with no fewer and no less. Fickle bits must be the same.
pub fn prune(choices: &mut Vec<Choice>, end: End, fickle: Shared) {
    let kept = pruned(choices, end, fickle);
    choices.truncate(kept);
}

/// The same in place: moves what stays to the front and returns how many that are.
pub fn pruned(choices: &mut [Choice], end: End, fickle: Shared) -> usize {
    // The best sum first; of equal sums first what has the fewest bits (or the most), as its bits read as a number are
    // the lowest (or the highest). So whatever beats a choice stands before it.
    match end {
        End::Low => choices.sort_unstable_by_key(|choice| (choice.own, choice.shared)),
        End::High => choices.sort_unstable_by_key(|choice| Reverse((choice.own, choice.shared))),
    }
    if let Some(kept) = pruned_by_sets(choices, end, fickle) {
        return kept;
    }
    let mut kept = 0;
    for at in 0..choices.len() {
        let choice = choices[at];
        let beaten = choices[..kept].iter().any(|better| {
            let (fewer, more) = if end == End::Low { (better, &choice) } else { (&choice, better) };
            (better.shared ^ choice.shared) & fickle == 0 && fewer.shared & !more.shared == 0
        });
        if !beaten {
            choices[kept] = choice;
            kept += 1;
        }
    }
    kept
}

/// The fewest choices of which it is worth writing down what is best for every set of their bits.
const MANY: usize = 128;
/// The most bits in which they may differ for that.
const MOST_DIFFERING: u32 = 20;

/// The same for many choices in their order whose bits differ in few: the first is written down for every set of those
/// bits, and then the first of all that are in it. None where comparing them one by one is less work.
fn pruned_by_sets(choices: &mut [Choice], end: End, fickle: Shared) -> Option<usize> {
    let some = choices.get(MANY)?.shared;
    let mut differing = choices.iter().fold(0, |bits, choice| bits | (choice.shared ^ some));
    let count = differing.count_ones();
    if count > MOST_DIFFERING || (count as usize) << count > choices.len() * choices.len() {
        return None;
    }
    let mut bits = Vec::with_capacity(count as usize);
    while differing != 0 {
        bits.push(differing.trailing_zeros());
        differing &= differing - 1;
    }
    // For the greatest, fewer bits are those that are not there.
    let set_of = |choice: &Choice| {
        let shared = if end == End::Low { choice.shared } else { !choice.shared };
        bits.iter().enumerate().fold(0, |set, (at, bit)| set | ((shared >> bit & 1) as usize) << at)
    };
    let mut first = vec![u32::MAX; 1_usize << count];
    for (at, choice) in choices.iter().enumerate() {
        let first = &mut first[set_of(choice)];
        *first = (at as u32).min(*first);
    }
    for bit in (0..bits.len()).filter(|at| fickle >> bits[*at] & 1 == 0).map(|at| 1 << at) {
        for both in first.chunks_exact_mut(2 * bit) {
            let (without, with) = both.split_at_mut(bit);
            with.iter_mut().zip(without).for_each(|(with, without)| *with = (*without).min(*with));
        }
    }
    let mut kept = 0;
    for at in 0..choices.len() {
        if first[set_of(&choices[at])] as usize == at {
            choices[kept] = choices[at];
            kept += 1;
        }
    }
    Some(kept)
}

/// The most states a fold keeps before it gives up and encloses.
pub const MOST_STATES: usize = 4096;

/// Joins two rooms' choices; false if there were too many to keep.
pub fn join(states: &mut Vec<Choice>, choices: &[Choice], end: End, fickle: Shared) -> bool {
    if let [only] = choices {
        for state in states.iter_mut() {
            state.shared |= only.shared;
            state.own += only.own;
        }
        return true;
    }
    if states.len().saturating_mul(choices.len()) > MOST_STATES * 4 {
        return false;
    }
    let mut joined = Vec::with_capacity(states.len() * choices.len());
    for state in states.iter() {
        for choice in choices {
            joined.push(Choice { shared: state.shared | choice.shared, own: state.own + choice.own });
        }
    }
    prune(&mut joined, end, fickle);
    *states = joined;
    states.len() <= MOST_STATES
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Leaves out one by one what another beats.
    fn one_by_one(choices: &[Choice], end: End, fickle: Shared) -> Vec<Choice> {
        let beats = |a: &Choice, b: &Choice| {
            let (fewer, more) = if end == End::Low { (a, b) } else { (b, a) };
            (a.shared ^ b.shared) & fickle == 0 && fewer.shared & !more.shared == 0 && fewer.own <= more.own
        };
        let mut kept: Vec<Choice> = Vec::new();
        for (at, choice) in choices.iter().enumerate() {
            let equal_before = choices[..at].contains(choice);
            if !equal_before && !choices.iter().any(|other| other != choice && beats(other, choice)) {
                kept.push(*choice);
            }
        }
        kept.sort_unstable_by_key(|choice| (choice.own, choice.shared));
        kept
    }

    #[test]
    fn many_are_pruned_as_one_by_one() {
        let mut state = 7_u64;
        let mut next = |below: u64| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % below
        };
        for bits in [1, 4, 6, 9] {
            for fickle in [0, 1 << 3, 0b101 << 60] {
                for sums in [3, 40, 4000] {
                    let choices: Vec<Choice> = (0..600)
                        .map(|_| Choice { shared: Shared::from(next(1 << bits)) << 57 | 1, own: i128::from(next(sums)) - 9 })
                        .collect();
                    for end in [End::Low, End::High] {
                        let mut pruned = choices.clone();
                        prune(&mut pruned, end, fickle);
                        pruned.sort_unstable_by_key(|choice| (choice.own, choice.shared));
                        assert_eq!(pruned, one_by_one(&choices, end, fickle), "{bits} {fickle} {sums} {end:?}");
                    }
                }
            }
        }
    }

    #[test]
    fn what_is_beaten_goes() {
        let choice = |shared, own| Choice { shared, own };
        let mut low = vec![choice(0b10, 5), choice(0, 5), choice(0b100, 3), choice(0b110, 9)];
        prune(&mut low, End::Low, 0);
        low.sort_unstable_by_key(|c| c.own);
        assert_eq!(low, [choice(0b100, 3), choice(0, 5)]);
        let mut high = vec![choice(0, 5), choice(0b10, 5), choice(0b100, 7)];
        prune(&mut high, End::High, 0);
        assert_eq!(high, [choice(0b100, 7), choice(0b10, 5)]);
        let mut fickle = vec![choice(0, 5), choice(0b10, 5)];
        prune(&mut fickle, End::Low, 0b10);
        assert_eq!(fickle.len(), 2);
    }
}
