//! One side of a search from two: all changes of some groups that lose no more than so much, each told by what it comes to.
//!
//! Of two changes that help as many and take the same out of every purse, the one that loses less is enough; of two that lose
//! the same, the one that comes first, with a note that there was another. Where prices are coarse most fall together so.

use std::cmp::Ordering;

use super::super::group::{Group, Shares};
use super::super::stage::add;
use super::super::ties::{decide, first_difference};
use super::super::vectors::Vector;

/// Some changes taken together.
#[derive(Debug, Clone, Copy)]
pub struct State<const D: usize> {
    /// How many more are helped at each step that holds a count, each in bits of its own.
    pub counts: i128,
    /// What more is taken out of each purse.
    pub uses: [i64; D],
    /// What is lost.
    pub loss: i128,
    /// What more is lost in the question beside.
    pub beside: i128,
    /// Where it is noted how it came about.
    pub node: u32,
    /// Whether others come to just the same.
    pub tied: bool,
}

/// How a state came about: by a way of a level, after what was there before.
#[derive(Debug, Clone, Copy)]
struct Node {
    before: u32,
    level: u32,
    way: u32,
}

/// The ways of one group that differ from the relaxed plan, those that lose least first.
pub struct Level<const D: usize> {
    /// The group.
    pub group: usize,
    /// The ways.
    pub ways: Vec<Vector<D>>,
    /// How many more each way helps, in the step's bits.
    pub counts: Vec<i128>,
    /// What more each way loses in the question beside.
    pub beside: Vec<i128>,
}

impl<const D: usize> Level<D> {
    /// What the best of its ways loses more beside; below nought where that is less.
    pub fn least_beside(&self) -> i128 {
        self.beside.iter().copied().min().unwrap_or(0).min(0)
    }
}

/// The changes of some levels.
pub struct Side<'a, const D: usize> {
    groups: &'a [Group<D>],
    /// The relaxed plan.
    plan: &'a Shares,
    levels: Vec<Level<D>>,
    /// Every state but those that another makes needless; nothing changed comes first.
    pub states: Vec<State<D>>,
    nodes: Vec<Node>,
    /// Whether those as good as others are told apart.
    ties: bool,
    /// How much work may still be done, told in states gone over.
    pub left: usize,
    /// For each remainder of a state's key the state that was seen last.
    seen: Vec<u32>,
}

/// What telling which of two comes first takes, in states gone over.
const TELLING: usize = 40;

/// What a side may lose.
#[derive(Debug, Clone, Copy)]
pub struct Allowed {
    /// In the question itself.
    pub loss: i128,
    /// In the question beside, more than unchanged.
    pub beside: i128,
    /// How many states there may be.
    pub states: usize,
    /// How many may be gone over.
    pub work: usize,
}

impl<'a, const D: usize> Side<'a, D> {
    /// The side of these levels, those that lose most first; none where there are too many states.
    pub fn of((groups, plan): (&'a [Group<D>], &'a Shares), levels: Vec<Level<D>>, ties: bool, allowed: Allowed) -> Option<Self> {
        let nothing = State { counts: 0, uses: [0; D], loss: 0, beside: 0, node: 0, tied: false };
        let nodes = vec![Node { before: 0, level: u32::MAX, way: 0 }];
        let left = allowed.work;
        let mut side = Self { groups, plan, levels, states: vec![nothing], nodes, ties, left, seen: vec![0; 1 << 12] };
        // What the levels from each one on can still win back beside.
        let mut rest: Vec<i128> = vec![0];
        for level in side.levels.iter().rev() {
            rest.push(rest.last().map_or(0, |rest| rest.saturating_add(level.least_beside())));
        }
        rest.reverse();
        for at in 0..side.levels.len() {
            side.carry(at, allowed, rest[at + 1])?;
        }
        Some(side)
    }

    /// Adds what the ways of one level make of the states so far.
    fn carry(&mut self, at: usize, allowed: Allowed, rest: i128) -> Option<()> {
        let before = self.states.len();
        let mut instead: Vec<(usize, State<D>)> = Vec::new();
        for way in 0..self.levels[at].ways.len() {
            let level = &self.levels[at];
            let (vector, counts, beside) = (&level.ways[way], level.counts[way], level.beside[way]);
            let (uses, loss) = (vector.uses, vector.loss);
            self.left = self.left.checked_sub(before)?;
            for from in 0..before {
                let state = &self.states[from];
                let lost = state.loss + loss;
                let lost_beside = state.beside.saturating_add(beside);
                if lost > allowed.loss || lost_beside.saturating_add(rest) > allowed.beside {
                    continue;
                }
                let mut made = State { counts: state.counts + counts, loss: lost, beside: lost_beside, ..*state };
                add(&mut made.uses, &uses, 1);
                let node = Node { before: state.node, level: at as u32, way: way as u32 };
                let slot = self.slot(&made);
                let known = self.seen[slot] as usize;
                let like = &self.states[known];
                if like.counts == made.counts && like.uses == made.uses {
                    if made.loss > like.loss || (made.loss == like.loss && !self.ties) {
                        continue;
                    }
                    made.node = self.note(node)?;
                    // What was there before this level is still to be carried over it.
                    if known < before {
                        instead.push((known, made));
                    } else {
                        self.replace(known, made)?;
                    }
                    continue;
                }
                if self.states.len() >= allowed.states {
                    return None;
                }
                made.node = self.note(node)?;
                self.seen[slot] = self.states.len() as u32;
                self.states.push(made);
            }
        }
        for (known, made) in instead {
            self.replace(known, made)?;
        }
        if self.states.len() * 2 > self.seen.len() {
            self.seen = vec![0; (self.states.len() * 4).next_power_of_two()];
            for at in 0..self.states.len() {
                let slot = self.slot(&self.states[at]);
                self.seen[slot] = at as u32;
            }
        }
        Some(())
    }

    fn note(&mut self, node: Node) -> Option<u32> {
        let at = u32::try_from(self.nodes.len()).ok()?;
        self.nodes.push(node);
        Some(at)
    }

    /// Where a state is looked up.
    fn slot(&self, state: &State<D>) -> usize {
        let mix = |key: u64, part: u64| (key.rotate_left(23) ^ part).wrapping_mul(0x9e37_79b9_7f4a_7c15);
        let key =
            state.uses.iter().fold(mix(state.counts as u64, (state.counts >> 64) as u64), |key, used| mix(key, *used as u64));
        (key >> 32) as usize & (self.seen.len() - 1)
    }

    /// Puts a state in the place of one that comes to the same, if it loses less or comes first.
    fn replace(&mut self, known: usize, made: State<D>) -> Option<()> {
        let like = self.states[known];
        match made.loss.cmp(&like.loss) {
            Ordering::Less => self.states[known] = made,
            Ordering::Greater => {}
            Ordering::Equal => {
                let first =
                    if decide(self.differences(made.node, like.node).into_iter()) == Ordering::Less { made } else { like };
                self.states[known] = State { tied: true, ..first };
                self.left = self.left.checked_sub(TELLING)?;
            }
        }
        Some(())
    }

    /// The ways by which a state came about: level and way, last level first.
    fn ways(&self, node: u32) -> impl Iterator<Item = (usize, usize)> {
        let mut at = node;
        std::iter::from_fn(move || {
            let Node { before, level, way, .. } = self.nodes[at as usize];
            at = before;
            (level != u32::MAX).then_some((level as usize, way as usize))
        })
    }

    /// Where two states of this side differ, each as the member's place and which comes first there.
    pub fn differences(&self, one: u32, other: u32) -> Vec<(usize, Ordering)> {
        let ways = |node: u32| self.ways(node).collect::<Vec<_>>();
        let (one, other) = (ways(one), ways(other));
        let shares = |ways: &[(usize, usize)], at: usize| {
            let level = &self.levels[at];
            let way = ways.iter().find(|(known, _)| *known == at);
            way.map_or(&self.plan[level.group], |(_, way)| &level.ways[*way].shares)
        };
        let differing =
            |level: usize| first_difference(&self.groups[self.levels[level].group], shares(&one, level), shares(&other, level));
        one.iter().chain(&other).filter_map(|(level, _)| differing(*level)).collect()
    }

    /// For each group that a state changes how it is shared out.
    pub fn told(&self, node: u32) -> impl Iterator<Item = (usize, Vec<u32>)> {
        self.ways(node).map(|(level, way)| (self.levels[level].group, self.levels[level].ways[way].shares.clone()))
    }
}
