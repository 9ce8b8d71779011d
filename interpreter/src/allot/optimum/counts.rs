//! How many can be helped at each step, gravest first.

use super::Effort;
use super::beside::Beside;
use super::group::{Group, Shares};
use super::part::Part;
use super::polish::mended;
use super::relax::relax;
use super::search::improve;
use super::stage::{Rule, Stage, add, held, sizes};

/// What helping one more is worth while counts are asked for: fine enough that prices of a purse can be told apart.
pub const WEIGHT: i128 = 1 << 40;

/// The counts, and a plan that reaches them.
pub struct Counted<const D: usize> {
    /// How many are helped at each step.
    pub helped: Vec<u32>,
    /// A plan in which they are.
    pub plan: Shares,
    /// The gravest step at which more might be possible.
    pub unproven: Option<usize>,
    /// The last count that was asked for of the search.
    pub beside: Option<Beside<D>>,
}

/// With one purse: each step's cheapest, as long as there is money. The module above says why nothing does better.
pub fn cheapest_first<const D: usize>(part: &Part, groups: &[Group<D>], limits: [i64; D]) -> Counted<D> {
    let mut plan = Stage::nobody(groups);
    let mut helped = vec![0; part.steps];
    let mut left = limits[0];
    for (step, helped) in helped.iter_mut().enumerate() {
        for (_, at, pick) in cheapest(groups, step) {
            let group = &groups[at];
            let each = group.picks[pick].uses[0];
            let count = match each {
                0 => group.members.len() as u32,
                each => (left / each).min(group.members.len() as i64) as u32,
            };
            give(&mut plan[at], pick, count);
            left -= each * i64::from(count);
            *helped += count;
            if (count as usize) < group.members.len() {
                break;
            }
        }
    }
    Counted { helped, plan, unproven: None, beside: None }
}

/// With several purses: the search is asked for the most of each step, those of graver steps held.
pub fn each_in_turn<const D: usize>(part: &Part, groups: &[Group<D>], limits: [i64; D], effort: Effort) -> Counted<D> {
    let mut plan = Stage::nobody(groups);
    let mut helped = vec![0; part.steps];
    let mut unproven = None;
    let mut beside = None;
    let size = sizes(groups, part.steps);
    for step in 0..part.steps {
        let mut rules = held(groups, &helped);
        rules[step] = Rule::Free;
        let worth = |group: &Group<D>| vec![if group.step == step { WEIGHT } else { 0 }; group.picks.len()];
        let stage = Stage { groups, limits, rules, values: groups.iter().map(worth).collect(), grain: WEIGHT, ordered: false };
        fill(&stage, step, &mut plan);
        let mut value = stage.value_of(&plan);
        let all = WEIGHT * i128::from(size[step]);
        if value < all
            && let Some(everybody) = everybody(&stage, step, &plan)
        {
            (plan, value) = (everybody, all);
        }
        if value < all {
            let relaxed = relax(&stage, &plan);
            if let Some((better, worth)) = relaxed.feasible.clone().filter(|(_, worth)| *worth > value) {
                (plan, value) = (better, worth);
            }
            // Once a count is open, no later one settles the plan.
            let effort = if unproven.is_some() { Effort { states: effort.states / 8 } } else { effort };
            let found = improve(&stage, &relaxed, beside.as_ref(), (plan, value), effort);
            (plan, value) = (found.plan, found.value);
            if found.open >= value + WEIGHT {
                unproven = unproven.or(Some(step));
            }
            beside = Some(Beside { relaxed, value });
        }
        helped[step] = u32::try_from(value / WEIGHT).unwrap_or(u32::MAX);
    }
    Counted { helped, plan, unproven, beside }
}

/// A plan that helps everybody of a step, if it is found by spending as little as can be.
fn everybody<const D: usize>(counted: &Stage<'_, D>, step: usize, start: &Shares) -> Option<Shares> {
    let mut rules = counted.rules.clone();
    rules[step] = Rule::Everybody;
    let spent = |group: &Group<D>| group.picks.iter().map(|pick| -i128::from(pick.cost)).collect();
    let values = counted.groups.iter().map(spent).collect();
    let stage = Stage { groups: counted.groups, limits: counted.limits, rules, values, grain: 1, ordered: true };
    let relaxed = relax(&stage, start);
    mended(&stage, &relaxed).map(|(plan, _)| plan)
}

/// Helps whom it can at a step, cheapest first.
fn fill<const D: usize>(stage: &Stage<'_, D>, step: usize, plan: &mut Shares) {
    let mut uses = stage.uses_of(plan);
    for (_, at, pick) in cheapest(stage.groups, step) {
        let group = &stage.groups[at];
        // The other choices of a group are tried where the cheapest no longer fits its purse.
        let mut picks: Vec<usize> = (0..group.picks.len()).collect();
        picks.swap(0, pick);
        for pick in picks {
            let each = &group.picks[pick].uses;
            let room = uses.iter().zip(&stage.limits).zip(each).filter(|(_, each)| **each > 0);
            let most = room.map(|((used, limit), each)| (limit - used) / each).min().unwrap_or(i64::MAX);
            let count = most.max(0).min(i64::from(plan[at][group.picks.len()]));
            give(&mut plan[at], pick, count as u32);
            add(&mut uses, each, count);
        }
    }
}

/// The groups of a step by what one of them takes at the least: that, the group, the choice.
fn cheapest<const D: usize>(groups: &[Group<D>], step: usize) -> Vec<(i64, usize, usize)> {
    let of_group = |(at, group): (usize, &Group<D>)| {
        let taken = group.picks.iter().enumerate().map(|(pick, picked)| (picked.uses.iter().sum::<i64>(), pick));
        taken.min().map(|(taken, pick)| (taken, at, pick))
    };
    let mut order: Vec<_> = groups.iter().enumerate().filter(|(_, group)| group.step == step).filter_map(of_group).collect();
    order.sort_unstable();
    order
}

/// Helps so many of those of a group that were not helped.
fn give(shares: &mut [u32], pick: usize, count: u32) {
    shares[pick] += count;
    if let Some(nobody) = shares.last_mut() {
        *nobody -= count;
    }
}
