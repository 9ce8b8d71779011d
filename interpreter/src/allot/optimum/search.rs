//! The search: candidates in which something can still change are gone through one group after the other, those whose
//! change loses least first, and states are carried along.
//!
//! A state is a whole plan: the groups gone through as it says, the others as in the relaxed plan. It may go beyond a
//! purse or miss a count, as long as what comes after can mend it at a loss that the gap still allows.

use std::cmp::Ordering;

use super::Effort;
use super::beaten::Best;
use super::beside::Beside;
use super::group::Shares;
use super::meet::meet;
use super::narrow::narrowed;
use super::nearing::nearer;
use super::polish::{mended, polish};
use super::relax::{NEVER, Relaxed};
use super::stage::{Rule, Stage};
use super::ties::{decide, first_difference};
use super::vectors::{Vector, least_loss, vectors};
use super::weighed::weighed;

/// The best that was found.
#[derive(Debug, Clone)]
pub struct Found {
    /// The plan.
    pub plan: Shares,
    /// What it is worth.
    pub value: i128,
    /// No plan is worth more than this; the value itself where the search went to its end.
    pub open: i128,
    /// Whether another plan is as good, with this one the first of them; none where that was not looked at.
    pub tied: Option<bool>,
    /// No plan saves more; none where that was not asked.
    pub most_saved: Option<i128>,
}

/// A plan, by what it comes to.
#[derive(Debug, Clone, Copy)]
struct State<const D: usize> {
    /// How many are helped at each step that holds a count, each in bits of its own.
    counts: u128,
    uses: [i64; D],
    value: i128,
    loss: i128,
    /// Where it is noted how it came about.
    node: u32,
}

/// How a state came about.
#[derive(Debug, Clone, Copy)]
struct Node {
    before: u32,
    vector: u32,
    /// Whether another plan came to just the same.
    tied: bool,
}

/// A group in which something can change.
struct Level<const D: usize> {
    group: usize,
    vectors: Vec<Vector<D>>,
}

/// How far what comes after a level can still mend, and at which loss for each unit.
#[derive(Clone, Copy)]
struct Mending<const D: usize> {
    /// How much less can be used at the most.
    less: [i64; D],
    /// The loss of each unit that is used less, at the least.
    down: [i128; D],
    /// The loss of each unit that is used more, at the least.
    up: [i128; D],
}

struct Search<'a, const D: usize> {
    stage: &'a Stage<'a, D>,
    relaxed: &'a Relaxed<D>,
    /// Groups in which something can change, by the loss of that.
    order: Vec<(i128, usize)>,
    mending: Vec<Mending<D>>,
    /// For each step that holds a count its lowest bit.
    shifts: Vec<Option<u32>>,
    /// The counts that are asked for.
    goal: u128,
    levels: Vec<Level<D>>,
    nodes: Vec<Node>,
    /// Whether plans as good as the best are kept apart.
    ties: bool,
    left: usize,
}

/// Looks for a better plan than the one given. `beside` is the relaxed question of the last count that was asked for, if
/// there was one.
pub fn improve<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    beside: Option<&Beside<D>>,
    (plan, value): (Shares, i128),
    effort: Effort,
) -> Found {
    let ceiling = relaxed.bound.div_euclid(stage.grain) * stage.grain;
    if ceiling < value + stage.grain && (D == 1 || !stage.ordered) {
        return Found::settled(plan, value);
    }
    if D == 1 {
        return carry(stage, relaxed, (plan, value), ceiling, effort);
    }
    // Of few groups, where only counts matter, few states are not beaten.
    let few = stage.groups.len() <= FEW;
    let carried = Effort { states: effort.states / 4 };
    let mut found = Found { plan, value, open: ceiling, tied: None, most_saved: None };
    if few && !stage.ordered {
        found = carry(stage, relaxed, (found.plan, found.value), ceiling, carried);
        if found.open < found.value + stage.grain {
            return found;
        }
    }
    let ceiling = found.open;
    // The nearer the plan is that is known, the less there is to go through.
    let mended = mended(stage, relaxed).filter(|(_, worth)| *worth > found.value);
    let (mut plan, mut value) = polish(stage, relaxed, mended.unwrap_or((found.plan, found.value)));
    let many = stage.groups.len() > MANY;
    if D > 3 && many && value < ceiling {
        (plan, value) = nearer(stage, relaxed, (plan, value), ceiling);
    }
    let mut most_saved = None;
    if stage.ordered && many && value < ceiling {
        (plan, value, most_saved) = weighed(stage, relaxed, (plan, value), effort);
    }
    if ceiling < value + stage.grain && !stage.ordered {
        return Found::settled(plan, value);
    }
    // Over more purses too much is nearly as good, and what does not come to an end soon does not at all.
    let (states, times) = match D > 3 {
        true => (if many { effort.states / 16 } else { effort.states }, 1),
        false => (effort.states, 4),
    };
    if D <= 3 || !many || !stage.ordered {
        let narrow = narrowed(stage, relaxed, relaxed.bound - value);
        let met = meet(stage, &narrow, beside, (plan, value), states.saturating_mul(2));
        (plan, value) = polish(stage, relaxed, (met.plan, met.value));
    }
    let met = meet(stage, relaxed, beside, (plan, value), states.saturating_mul(times));
    let found = Found { plan: met.plan, value: met.value, open: met.open.min(ceiling), tied: met.tied, most_saved };
    if found.open < found.value + stage.grain || !few || !stage.ordered {
        return found;
    }
    Found { most_saved, ..carry(stage, relaxed, (found.plan, found.value), found.open, carried) }
}

impl Found {
    /// What is surely the best.
    fn settled(plan: Shares, value: i128) -> Self {
        Self { plan, value, open: value, tied: None, most_saved: None }
    }
}

/// Of more groups than these too much can be nearly as good.
const MANY: usize = 100;

/// Of so few groups states can be carried over one after the other, whatever the number of purses.
const FEW: usize = 500;

/// Carries states from one group to the next, until there are no more or the effort is spent.
pub fn carry<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    (mut plan, mut value): (Shares, i128),
    ceiling: i128,
    effort: Effort,
) -> Found {
    let least = |value: i128| value + stage.grain;
    if ceiling < least(value) {
        return Found::settled(plan, value);
    }
    let Some(mut search) = Search::new(stage, relaxed, relaxed.bound - least(value), false, effort) else {
        return Found { plan, value, open: ceiling, tied: None, most_saved: None };
    };
    let mut states = vec![search.begin()];
    search.note_better(&states, &mut plan, &mut value);
    for at in 0.. {
        let most_loss = relaxed.bound - least(value);
        let Some(&(loss, _)) = search.order.get(at) else { break };
        if most_loss < 0 || loss > most_loss || states.is_empty() {
            break;
        }
        let Some(next) = search.step(at, &states, most_loss) else {
            let least_lost = states.iter().map(|state| state.loss).min().unwrap_or(0);
            let open = (relaxed.bound - least_lost).div_euclid(stage.grain) * stage.grain;
            return Found { plan, value, open: open.min(ceiling).max(value), tied: None, most_saved: None };
        };
        states = next;
        search.note_better(&states, &mut plan, &mut value);
    }
    Found::settled(plan, value)
}

/// Of all plans worth as much as the best, the one that comes first in the candidates' order, and whether there were
/// several; none where there are too many to go through.
pub fn first_of_all<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    value: i128,
    effort: Effort,
) -> Option<(Shares, bool)> {
    let most_loss = relaxed.bound - value;
    let mut search = Search::new(stage, relaxed, most_loss, true, effort)?;
    let mut states = vec![search.begin()];
    for at in 0..search.order.len() {
        states = search.step(at, &states, most_loss)?;
    }
    states.retain(|state| state.value == value && search.is_plan(state));
    let mut best = *states.first()?;
    for state in &states[1..] {
        if search.compare(state.node, best.node, search.levels.len()) == Ordering::Less {
            best = *state;
        }
    }
    let tied = states.len() > 1 || search.is_tied(best.node);
    Some((search.plan_of(best.node), tied))
}

impl<'a, const D: usize> Search<'a, D> {
    /// None where the counts cannot be kept apart.
    fn new(stage: &'a Stage<'a, D>, relaxed: &'a Relaxed<D>, most_loss: i128, ties: bool, effort: Effort) -> Option<Self> {
        let sizes = super::stage::sizes(stage.groups, stage.rules.len());
        let mut shifts = Vec::with_capacity(sizes.len());
        let (mut bits, mut goal) = (0, 0);
        for (size, rule) in sizes.iter().zip(&stage.rules) {
            shifts.push(match rule {
                Rule::Held(count) => {
                    let shift = bits;
                    // One bit more than the size needs, so that states which go beyond stay apart.
                    bits += 34 - size.leading_zeros();
                    goal += u128::from(*count).checked_shl(shift)?;
                    Some(shift)
                }
                _ => None,
            });
        }
        if bits > 127 {
            return None;
        }
        let mut order: Vec<(i128, usize)> = (0..stage.groups.len())
            .map(|at| (least_loss(&relaxed.losses[at], &relaxed.plan[at]), at))
            .filter(|(loss, _)| *loss <= most_loss)
            .collect();
        order.sort_unstable();
        let mut search = Self {
            stage,
            relaxed,
            order,
            mending: Vec::new(),
            shifts,
            goal,
            levels: Vec::new(),
            nodes: vec![Node { before: 0, vector: 0, tied: false }],
            ties,
            left: effort.states,
        };
        search.mending = search.mending();
        Some(search)
    }

    /// The relaxed plan.
    fn begin(&self) -> State<D> {
        let plan = &self.relaxed.plan;
        State { counts: self.goal, uses: self.stage.uses_of(plan), value: self.stage.value_of(plan), loss: 0, node: 0 }
    }

    /// For each level, and after the last one, what those from it on can mend.
    fn mending(&self) -> Vec<Mending<D>> {
        let nothing = Mending { less: [0; D], down: [NEVER; D], up: [NEVER; D] };
        let mut mending = vec![nothing; self.order.len() + 1];
        for (at, (_, group)) in self.order.iter().enumerate().rev() {
            let mut here = mending[at + 1];
            let of_group = &self.stage.groups[*group];
            let losses = &self.relaxed.losses[*group];
            let uses = |choice: usize| of_group.picks.get(choice).map_or([0; D], |pick| pick.uses);
            let allowed = |choice: &usize| losses[*choice] != NEVER;
            for (from, count) in self.relaxed.plan[*group].iter().enumerate().filter(|(_, count)| **count > 0) {
                for purse in 0..D {
                    let mut least = uses(from)[purse];
                    for to in (0..losses.len()).filter(allowed) {
                        let more = uses(to)[purse] - uses(from)[purse];
                        least = least.min(uses(to)[purse]);
                        let rate = if more == 0 { NEVER } else { losses[to] / i128::from(more.abs()) };
                        let side = if more < 0 { &mut here.down } else { &mut here.up };
                        side[purse] = side[purse].min(rate);
                    }
                    here.less[purse] += (uses(from)[purse] - least) * i64::from(*count);
                }
            }
            mending[at] = here;
        }
        mending
    }

    /// Whether a state can still become a plan that loses no more than allowed.
    fn can_be(&self, state: &State<D>, after: usize, most_loss: i128) -> bool {
        let mending = &self.mending[after];
        (0..D).all(|purse| {
            let beyond = state.uses[purse] - self.stage.limits[purse];
            let rest = most_loss - state.loss;
            if beyond > 0 {
                beyond <= mending.less[purse] && mending.down[purse] <= rest / i128::from(beyond)
            } else {
                // What stays in the purse is lost at its price; what is taken out costs at least so much.
                let rate = mending.up[purse].min(self.relaxed.prices[purse]);
                beyond == 0 || rate <= rest / i128::from(-beyond)
            }
        })
    }

    /// Carries the states over one group; none where that is too much work.
    fn step(&mut self, at: usize, states: &[State<D>], most_loss: i128) -> Option<Vec<State<D>>> {
        let (_, group) = self.order[at];
        let vectors = vectors(self.stage, self.relaxed, group, most_loss)?;
        let work = states.len().checked_mul(vectors.len())?;
        self.left = self.left.checked_sub(work)?;
        let shift = self.shifts[self.stage.groups[group].step];
        let mut next = Vec::with_capacity(work.min(1 << 20));
        // For each way all states in their order: sorted stretches that sorting only has to put together.
        for (number, vector) in vectors.iter().enumerate() {
            let more = shift.map_or(0, |shift| (vector.helped as i128) << shift);
            for state in states {
                let loss = state.loss + vector.loss;
                if loss > most_loss {
                    continue;
                }
                let mut uses = state.uses;
                super::stage::add(&mut uses, &vector.uses, 1);
                let counts = state.counts.wrapping_add_signed(more);
                let mut made = State { counts, uses, value: state.value + vector.value, loss, node: 0 };
                if self.can_be(&made, at + 1, most_loss) {
                    made.node = u32::try_from(self.nodes.len()).ok()?;
                    let tied = self.nodes[state.node as usize].tied;
                    self.nodes.push(Node { before: state.node, vector: number as u32, tied });
                    next.push(made);
                }
            }
        }
        self.levels.push(Level { group, vectors });
        next.sort_by(|a, b| {
            let place = |state: &State<D>| (state.counts, state.uses);
            place(a).cmp(&place(b)).then(b.value.cmp(&a.value))
        });
        self.drop_beaten(&mut next);
        Some(next)
    }

    /// Leaves out states that another one beats: as many helped, no more used, and worth more. Of two that come to the
    /// same in everything the one that comes first stays.
    fn drop_beaten(&mut self, states: &mut Vec<State<D>>) {
        let mut kept: Vec<State<D>> = Vec::with_capacity(states.len());
        let mut best = Best::default();
        for state in states.drain(..) {
            if let Some(last) = kept.last_mut() {
                if last.counts != state.counts {
                    best = Best::default();
                } else if last.uses == state.uses && last.value == state.value {
                    if self.ties {
                        if self.compare(state.node, last.node, self.levels.len()) == Ordering::Less {
                            last.node = state.node;
                        }
                        self.nodes[last.node as usize].tied = true;
                    }
                    continue;
                }
            }
            if best.beats(&state.uses, state.value, self.ties) {
                continue;
            }
            best.take(&state.uses, state.value);
            kept.push(state);
        }
        *states = kept;
    }

    /// Whether a state is a plan as it stands.
    fn is_plan(&self, state: &State<D>) -> bool {
        state.counts == self.goal && self.stage.fits(&state.uses)
    }

    fn note_better(&self, states: &[State<D>], plan: &mut Shares, value: &mut i128) {
        let better = states.iter().filter(|state| state.value > *value && self.is_plan(state));
        if let Some(best) = better.max_by_key(|state| state.value) {
            (*plan, *value) = (self.plan_of(best.node), best.value);
        }
    }

    /// The ways by which a state came about, last level first.
    fn ways(&self, mut node: u32, levels: usize) -> impl Iterator<Item = (usize, usize, u32)> {
        (0..levels).rev().map(move |level| {
            let Node { before, vector, .. } = self.nodes[node as usize];
            let here = node;
            node = before;
            (level, vector as usize, here)
        })
    }

    fn is_tied(&self, node: u32) -> bool {
        self.nodes[node as usize].tied
    }

    fn plan_of(&self, node: u32) -> Shares {
        let mut plan = self.relaxed.plan.clone();
        for (level, vector, _) in self.ways(node, self.levels.len()) {
            let level = &self.levels[level];
            plan[level.group].clone_from(&level.vectors[vector].shares);
        }
        plan
    }

    /// Which of two states of a level comes first.
    fn compare(&self, one: u32, other: u32, levels: usize) -> Ordering {
        let pairs = self.ways(one, levels).zip(self.ways(other, levels)).take_while(|(a, b)| a.2 != b.2);
        decide(pairs.filter(|(a, b)| a.1 != b.1).filter_map(|((level, a, _), (_, b, _))| {
            let Level { group, vectors } = &self.levels[level];
            first_difference(&self.stage.groups[*group], &vectors[a].shares, &vectors[b].shares)
        }))
    }
}
