//! A search from two sides, for several purses. What can change is dealt out to two sides; all changes of each side that lose
//! no more than so much are written down, and one of each side are put together so that purses and counts come out even. What
//! two lists of a thousand changes come to would be a million plans; only those are looked at that use up every purse as far
//! as a good plan must (E. Horowitz, S. Sahni, "Computing Partitions with Applications to the Knapsack Problem", J. ACM 21
//! (1974); from memory).
//!
//! How much may be lost begins small and grows. A plan loses what its changes lose, and for what it leaves in a purse that
//! purse's price. Once all plans that lose no more than so much have been looked at and one was among them, it is the best,
//! and all that are as good have been seen.

pub mod grid;
pub mod side;

use std::cmp::Ordering;

use super::beside::Beside;
use super::group::Shares;
use super::relax::Relaxed;
use super::stage::{Rule, Stage, add, sizes};
use super::ties::{decide, first_difference};
use super::vectors::{least_loss, vectors};
use grid::Grid;
use side::{Allowed, Level, Side, State};

/// What the search came to.
pub struct Met {
    /// The best plan found, the first of those that are as good.
    pub plan: Shares,
    /// What it is worth.
    pub value: i128,
    /// No plan is worth more than this.
    pub open: i128,
    /// Whether another plan is as good; none where that was not settled.
    pub tied: Option<bool>,
}

/// A plan as what it changes: for each group touched how it is shared out.
type Told = Vec<(usize, Vec<u32>)>;

struct Meeting<'a, const D: usize> {
    stage: &'a Stage<'a, D>,
    relaxed: &'a Relaxed<D>,
    beside: Option<&'a Beside<D>>,
    /// What may be lost beside, more than the relaxed plan loses there.
    beside_more: i128,
    /// Groups by the least that a change of them loses.
    order: Vec<(i128, usize)>,
    /// For each step that holds a count its lowest bit.
    shifts: Vec<Option<u32>>,
    /// What the relaxed plan leaves of each purse; below nought where it goes beyond.
    room: [i64; D],
    /// What the best plan loses.
    least: i128,
    best: Option<Told>,
    tied: bool,
    left: usize,
}

/// Looks for a plan that is better than the one given, or comes before it.
pub fn meet<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    beside: Option<&Beside<D>>,
    (plan, value): (Shares, i128),
    effort: usize,
) -> Met {
    let worth_at_most = |lost: i128| (relaxed.bound - lost).div_euclid(stage.grain) * stage.grain;
    let Some(mut meeting) = Meeting::new(stage, relaxed, beside, relaxed.bound - value, effort) else {
        return Met { plan, value, open: worth_at_most(0).max(value), tied: None };
    };
    // All plans that lose no more than this have been looked at.
    let mut lost = -1;
    let mut next = meeting.first_loss();
    let complete = loop {
        let wanted = meeting.wanted();
        if lost >= wanted {
            break true;
        }
        // Where only counts matter, the next better plan loses as much as the bound is beyond a whole count.
        let target = if stage.ordered { next } else { relaxed.bound - worth_at_most(lost + 1) }.min(wanted);
        next = next.min(target);
        if !meeting.all_that_lose(next, target) {
            break false;
        }
        if next >= target {
            lost = target;
        }
        next += (next / 2).max(1);
    };
    let value = relaxed.bound - meeting.least;
    let open = if complete { value } else { worth_at_most(lost + 1).max(value) };
    let tied = complete.then_some(meeting.tied);
    let plan = meeting.best.map_or(plan, |told| {
        let mut plan = relaxed.plan.clone();
        for (group, shares) in told {
            plan[group] = shares;
        }
        plan
    });
    Met { plan, value, open, tied }
}

impl<'a, const D: usize> Meeting<'a, D> {
    /// None where the counts cannot be kept apart.
    fn new(
        stage: &'a Stage<'a, D>,
        relaxed: &'a Relaxed<D>,
        beside: Option<&'a Beside<D>>,
        least: i128,
        effort: usize,
    ) -> Option<Self> {
        let mut shifts = Vec::with_capacity(stage.rules.len());
        let mut bits = 0;
        for (size, rule) in sizes(stage.groups, stage.rules.len()).iter().zip(&stage.rules) {
            shifts.push(matches!(rule, Rule::Held(_)).then_some(bits));
            if matches!(rule, Rule::Held(_)) {
                // Room for as many more as for as many fewer, and for two sides.
                bits += 35 - size.leading_zeros();
            }
        }
        if bits > 126 {
            return None;
        }
        let mut order: Vec<(i128, usize)> = (0..stage.groups.len())
            .map(|at| (least_loss(&relaxed.losses[at], &relaxed.plan[at]), at))
            .filter(|(loss, _)| *loss <= least)
            .collect();
        order.sort_unstable();
        let mut room = stage.limits;
        add(&mut room, &stage.uses_of(&relaxed.plan), -1);
        let beside_more = beside.map_or(i128::MAX / 4, |beside| beside.more_than(&relaxed.plan));
        let (best, tied, left) = (None, false, effort);
        Some(Self { stage, relaxed, beside, beside_more, order, shifts, room, least, best, tied, left })
    }

    /// So much may be lost in the beginning: about as much as leaves something to choose at every purse and count.
    fn first_loss(&self) -> i128 {
        let wanted = 2 * (D + self.shifts.iter().flatten().count()) + 2;
        self.order.get(wanted.min(self.order.len().saturating_sub(1))).map_or(0, |(loss, _)| *loss)
    }

    /// What a plan may lose that is still asked for. Where counts are asked for, one plan is as good as another.
    fn wanted(&self) -> i128 {
        self.least - if self.stage.ordered { 0 } else { self.stage.grain }
    }

    /// Looks at all plans that lose no more than `target`, and whose changes lose no more than `most_loss` on either side;
    /// false where that is too much.
    fn all_that_lose(&mut self, most_loss: i128, target: i128) -> bool {
        let Some(levels) = self.levels(most_loss) else { return false };
        let least = levels.each_ref().map(|levels| levels.iter().map(Level::least_beside).fold(0, i128::saturating_add));
        let (stage, relaxed) = (self.stage, self.relaxed);
        let mut sides = Vec::with_capacity(2);
        for (levels, other) in levels.into_iter().zip([least[1], least[0]]) {
            let beside = self.beside_more.saturating_sub(other);
            let allowed = Allowed { loss: most_loss, beside, states: MOST, work: self.left };
            let Some(side) = Side::of((stage.groups, &relaxed.plan), levels, stage.ordered, allowed) else { return false };
            self.left = side.left;
            sides.push(side);
        }
        sides.sort_by_key(|side| side.states.len());
        let [one, other] = sides.as_slice() else { return false };
        self.put_together(one, other, target)
    }

    /// The levels of both sides, those that lose most first.
    fn levels(&self, most_loss: i128) -> Option<[Vec<Level<D>>; 2]> {
        let mut levels: [Vec<Level<D>>; 2] = [Vec::new(), Vec::new()];
        for (at, (_, group)) in self.order.iter().take_while(|(loss, _)| *loss <= most_loss).enumerate() {
            let base = &self.relaxed.plan[*group];
            let mut ways = vectors(self.stage, self.relaxed, *group, most_loss)?;
            ways.retain(|way| way.shares != *base);
            ways.sort_by_key(|way| way.loss);
            let shift = self.shifts[self.stage.groups[*group].step];
            let counts = ways.iter().map(|way| shift.map_or(0, |shift| i128::from(way.helped) << shift)).collect();
            let more = |shares: &[u32]| self.beside.map_or(0, |beside| beside.lost(*group, shares) - beside.lost(*group, base));
            let beside = ways.iter().map(|way| more(&way.shares)).collect();
            // Of four that follow each other the outer two lie on one side, the inner two on the other.
            levels[usize::from(at % 4 == 1 || at % 4 == 2)].push(Level { group: *group, ways, counts, beside });
        }
        levels.iter_mut().for_each(|levels| levels.reverse());
        Some(levels)
    }

    /// Puts changes of both sides together; false where that is too much.
    fn put_together(&mut self, one: &Side<'_, D>, other: &Side<'_, D>, target: i128) -> bool {
        let beside_prices = self.beside.map_or([0; D], |beside| beside.relaxed.prices);
        let mut may_be_left = [i64::MAX / 8; D];
        for (purse, left) in may_be_left.iter_mut().enumerate() {
            let lowest = |side: &Side<'_, D>| side.states.iter().map(|state| state.beside).min().unwrap_or(0);
            let more = self.beside_more.saturating_sub(lowest(one)).saturating_sub(lowest(other)).max(0);
            for (price, most) in [(self.relaxed.prices[purse], target), (beside_prices[purse], more)] {
                if price > 0 {
                    *left = (*left).min(i64::try_from(most / price).unwrap_or(i64::MAX));
                }
            }
        }
        let grid = Grid::of(&other.states, &may_be_left);
        let mut all = true;
        for change in &one.states {
            if change.loss > target {
                continue;
            }
            let mut room = self.room;
            add(&mut room, &change.uses, -1);
            let Some(left) = self.left.checked_sub(1) else { return false };
            self.left = left;
            grid.near(-change.counts, &room, &may_be_left, |with| {
                let mut lost = change.loss + with.loss;
                if lost > target.min(self.wanted()) {
                    return false;
                }
                let Some(fewer) = self.left.checked_sub(1) else {
                    all = false;
                    return false;
                };
                self.left = fewer;
                if change.counts + with.counts != 0 {
                    return true;
                }
                let mut beside = change.beside.saturating_add(with.beside);
                let mut within = true;
                for purse in 0..D {
                    let left = room[purse] - with.uses[purse];
                    within &= left >= 0;
                    lost += i128::from(left) * self.relaxed.prices[purse];
                    beside = beside.saturating_add(i128::from(left) * beside_prices[purse]);
                }
                if within && lost <= target.min(self.wanted()) && beside <= self.beside_more {
                    self.note(lost, (one, change), (other, with));
                }
                true
            });
            if !all {
                return false;
            }
        }
        true
    }

    /// Takes note of a plan that loses no more than the best so far.
    fn note(&mut self, lost: i128, (one, change): (&Side<'_, D>, &State<D>), (other, with): (&Side<'_, D>, &State<D>)) {
        let told = || one.told(change.node).chain(other.told(with.node)).collect::<Told>();
        if lost < self.least || self.best.is_none() {
            self.tied = change.tied || with.tied;
            self.best = Some(told());
            self.least = lost;
            return;
        }
        self.tied = true;
        let told = told();
        if self.best.as_ref().is_some_and(|best| self.comes_before(&told, best)) {
            self.best = Some(told);
        }
    }

    fn comes_before<'b>(&'b self, one: &'b Told, other: &'b Told) -> bool {
        let shares = |told: &'b Told, group: usize| {
            told.iter().find(|(at, _)| *at == group).map_or(&self.relaxed.plan[group], |(_, shares)| shares)
        };
        let differing = |(group, _): &(usize, Vec<u32>)| {
            first_difference(&self.stage.groups[*group], shares(one, *group), shares(other, *group))
        };
        decide(one.iter().chain(other).filter_map(differing)) == Ordering::Less
    }
}

/// The most changes of one side.
const MOST: usize = 700_000;
