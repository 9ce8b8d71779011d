//! A search from two sides, for several purses. What can change is dealt out to two sides; all changes of each side that lose
//! no more than so much are written down, and one of each side are put together so that purses and counts come out even. What
//! two lists of a thousand changes come to would be a million plans; only those are looked at that nearly use up a purse
//! (E. Horowitz, S. Sahni, "Computing Partitions with Applications to the Knapsack Problem", J. ACM 21 (1974); from memory).
//!
//! How much may be lost begins small and grows. A plan loses what its changes lose, and for what it leaves in a purse that
//! purse's price. So once changes that lose more than the best plan found cannot be part of a better one, that plan is the
//! best, and all that are as good have been seen.

use std::cmp::Ordering;

use super::group::Shares;
use super::relax::{NEVER, Relaxed};
use super::stage::{Rule, Stage, add, sizes};
use super::ties::{decide, first_difference};
use super::vectors::{Vector, least_loss, vectors};

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

/// What is known of all plans with the counts that are held, from another question: they lose just so much there.
pub struct Beside<const D: usize> {
    /// That question, its prices and losses.
    pub relaxed: Relaxed<D>,
    /// What all plans are worth in it that hold the counts.
    pub value: i128,
}

/// Some changes of one side taken together.
#[derive(Debug, Clone, Copy)]
struct Change<const D: usize> {
    /// How many more are helped at each step that holds a count, each in bits of its own.
    counts: i128,
    uses: [i64; D],
    loss: i128,
    /// What is lost in the question beside, as far as the levels up to the last that was changed go, and in all.
    beside: (i128, i128),
    /// What was changed before, and then the way of the level that came last.
    before: u32,
    level: u32,
    way: u32,
}

/// The ways of one group that differ from the relaxed plan, those that lose least first.
struct Level<const D: usize> {
    group: usize,
    ways: Vec<Vector<D>>,
    counts: Vec<i128>,
    /// What each way loses in the question beside, and what it loses there unchanged.
    beside: (Vec<i128>, i128),
}

/// All changes of one side, and their order by counts and by what they take out of one purse.
struct Side<const D: usize> {
    levels: Vec<Level<D>>,
    changes: Vec<Change<D>>,
}

/// A plan as what it changes: for each group touched how it is shared out, in the order of groups.
type Told = Vec<(usize, Vec<u32>)>;

struct Meeting<'a, const D: usize> {
    stage: &'a Stage<'a, D>,
    relaxed: &'a Relaxed<D>,
    beside: Option<&'a Beside<D>>,
    /// Groups by the least that a change of them loses.
    order: Vec<(i128, usize)>,
    /// For each step that holds a count its lowest bit.
    shifts: Vec<Option<u32>>,
    /// What the relaxed plan leaves of each purse; below nought where it goes beyond.
    room: [i64; D],
    /// What the best plan loses.
    least: i128,
    best: Option<Told>,
    tied: Option<bool>,
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
    let ties = stage.grain == 1;
    let ceiling = |lost: i128| (relaxed.bound - lost).div_euclid(stage.grain) * stage.grain;
    let Some(mut meeting) = Meeting::new(stage, relaxed, beside, relaxed.bound - value, effort) else {
        return Met { plan, value, open: ceiling(0).max(value), tied: None };
    };
    let mut lost = 0;
    let mut next = meeting.first_loss();
    let complete = loop {
        // Better plans lose at least so much less.
        let enough = meeting.least - if ties { 0 } else { stage.grain };
        if enough < 0 {
            break true;
        }
        next = next.min(enough);
        if !meeting.all_that_lose(next) {
            break false;
        }
        lost = next;
        if next >= meeting.least - if ties { 0 } else { stage.grain } {
            break true;
        }
        next += (next / 3).max(1);
    };
    let value = relaxed.bound - meeting.least;
    let open = if complete { value } else { ceiling(lost).max(value) };
    let tied = if complete { meeting.tied } else { None };
    let plan = match meeting.best.take() {
        None => plan,
        Some(told) => {
            let mut plan = relaxed.plan.clone();
            for (group, shares) in told {
                plan[group] = shares;
            }
            plan
        }
    };
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
        Some(Self { stage, relaxed, beside, order, shifts, room, least, best: None, tied: Some(false), left: effort })
    }

    /// So much may be lost in the beginning: about as much as leaves something to choose at every purse and count.
    fn first_loss(&self) -> i128 {
        let wanted = 2 * (D + self.shifts.iter().flatten().count()) + 2;
        self.order.get(wanted.min(self.order.len().saturating_sub(1))).map_or(0, |(loss, _)| *loss)
    }

    /// Looks at all plans whose changes lose no more than this; false where that is too much.
    fn all_that_lose(&mut self, most_loss: i128) -> bool {
        let Some((levels, mut allowed)) = self.levels(most_loss) else { return false };
        let [one, other] = levels;
        // What the other side loses beside at the least.
        let least = |levels: &[Level<D>]| -> i128 {
            let of_level = |level: &Level<D>| level.beside.0.iter().copied().chain([level.beside.1]).min().unwrap_or(0);
            levels.iter().map(of_level).sum()
        };
        let (least_one, least_other) = (least(&one), least(&other));
        allowed = allowed.max(-1);
        let (one, all_of_one) = self.side(one, most_loss, allowed - least_other);
        let (other, all_of_other) = self.side(other, most_loss, allowed - least_one);
        // Where a side was cut short the plans that it gives may be good all the same.
        self.put_together(&one, &other, allowed) && all_of_one && all_of_other
    }

    /// The levels of both sides, and what they may lose together in the question beside.
    fn levels(&self, most_loss: i128) -> Option<([Vec<Level<D>>; 2], i128)> {
        let mut levels: [Vec<Level<D>>; 2] = [Vec::new(), Vec::new()];
        let lost = |group: usize, shares: &[u32]| -> i128 {
            let Some(beside) = self.beside else { return 0 };
            // There, nobody of the steps that come later was helped: what they take only makes the loss greater.
            let losses = shares.iter().zip(&beside.relaxed.losses[group]);
            let losses = losses.filter(|(share, loss)| **share > 0 && **loss != NEVER);
            losses.fold(0, |sum: i128, (share, loss)| sum.saturating_add(loss.saturating_mul(i128::from(*share))))
        };
        let mut allowed = self.beside.map_or(i128::MAX / 4, |beside| beside.relaxed.bound - beside.value);
        if self.beside.is_some() {
            for (group, shares) in self.relaxed.plan.iter().enumerate() {
                allowed = allowed.saturating_sub(lost(group, shares));
            }
        }
        for (at, (_, group)) in self.order.iter().take_while(|(loss, _)| *loss <= most_loss).enumerate() {
            let base = &self.relaxed.plan[*group];
            let mut ways = vectors(self.stage, self.relaxed, *group, most_loss)?;
            ways.retain(|way| way.shares != *base);
            ways.sort_by_key(|way| way.loss);
            let shift = self.shifts[self.stage.groups[*group].step];
            let counts = ways.iter().map(|way| shift.map_or(0, |shift| i128::from(way.helped) << shift)).collect();
            let unchanged = lost(*group, base);
            allowed = allowed.saturating_add(unchanged);
            let beside = (ways.iter().map(|way| lost(*group, &way.shares)).collect(), unchanged);
            // Of four that follow each other the outer two lie on one side, the inner two on the other.
            levels[usize::from(at % 4 == 1 || at % 4 == 2)].push(Level { group: *group, ways, counts, beside });
        }
        Some((levels, allowed))
    }

    /// The changes of one side, and whether these are all: of those that lose no more than this, here and beside.
    fn side(&mut self, levels: Vec<Level<D>>, most_loss: i128, allowed: i128) -> (Side<D>, bool) {
        // What the levels from each one on lose beside, unchanged and at the least.
        let mut rest = vec![(0_i128, 0_i128); levels.len() + 1];
        for (at, level) in levels.iter().enumerate().rev() {
            let least = level.beside.0.iter().copied().chain([level.beside.1]).min().unwrap_or(0);
            rest[at] = (rest[at + 1].0.saturating_add(level.beside.1), rest[at + 1].1.saturating_add(least));
        }
        let nothing = Change { counts: 0, uses: [0; D], loss: 0, beside: (0, rest[0].0), before: 0, level: u32::MAX, way: 0 };
        let mut changes = vec![nothing];
        let mut at = 0;
        let most = MOST.min(self.left);
        let mut all = true;
        'all: while let Some(&before) = changes.get(at) {
            let from = before.level.wrapping_add(1);
            let mut up_to = before.beside.0;
            for (number, level) in levels.iter().enumerate().skip(from as usize) {
                if up_to.saturating_add(rest[number].1) > allowed {
                    break;
                }
                let mut any = false;
                for (way, vector) in level.ways.iter().enumerate() {
                    let loss = before.loss + vector.loss;
                    if loss > most_loss {
                        break;
                    }
                    any = true;
                    let here = up_to.saturating_add(level.beside.0[way]);
                    if here.saturating_add(rest[number + 1].1) > allowed {
                        continue;
                    }
                    if changes.len() >= most {
                        all = false;
                        break 'all;
                    }
                    let mut uses = before.uses;
                    add(&mut uses, &vector.uses, 1);
                    changes.push(Change {
                        counts: before.counts + level.counts[way],
                        uses,
                        loss,
                        beside: (here, here.saturating_add(rest[number + 1].0)),
                        before: at as u32,
                        level: number as u32,
                        way: way as u32,
                    });
                }
                // The levels after this one lose no less.
                if !any {
                    break;
                }
                up_to = up_to.saturating_add(level.beside.1);
            }
            at += 1;
        }
        self.left = self.left.saturating_sub(changes.len());
        (Side { levels, changes }, all)
    }

    /// Puts changes of both sides together; false where that is too much.
    fn put_together(&mut self, one: &Side<D>, other: &Side<D>, allowed: i128) -> bool {
        let purse = (0..D).max_by_key(|purse| self.relaxed.prices[*purse]).unwrap_or(0);
        let order = |side: &Side<D>, turned: bool| {
            let counts = |change: &Change<D>| if turned { -change.counts } else { change.counts };
            let possible = side.changes.iter().enumerate().filter(|(_, change)| change.beside.1 <= allowed);
            let mut order: Vec<(i128, i64, u32)> =
                possible.map(|(at, change)| (counts(change), change.uses[purse], at as u32)).collect();
            order.sort_unstable();
            order
        };
        let (ones, others) = (order(one, false), order(other, true));
        let prepared: Vec<([i64; D], i128)> =
            others.iter().map(|(_, _, at)| (other.changes[*at as usize].uses, other.changes[*at as usize].loss)).collect();
        let mut from = 0;
        for run in ones.chunk_by(|a, b| a.0 == b.0) {
            let counts = run[0].0;
            from += others[from..].partition_point(|(other, ..)| *other < counts);
            let until = from + others[from..].partition_point(|(other, ..)| *other == counts);
            let mut end = until;
            for (_, used, at) in run {
                let change = &one.changes[*at as usize];
                while end > from && others[end - 1].1 + used > self.room[purse] {
                    end -= 1;
                }
                for fits in (from..end).rev() {
                    let (uses, loss) = &prepared[fits];
                    let left = self.room[purse] - used - uses[purse];
                    let price = self.relaxed.prices[purse];
                    if change.loss + i128::from(left) * price > self.least {
                        break;
                    }
                    let Some(fewer) = self.left.checked_sub(1) else { return false };
                    self.left = fewer;
                    let mut lost = change.loss + loss;
                    let mut within = true;
                    let purses = self.room.iter().zip(&self.relaxed.prices).zip(change.uses.iter().zip(uses));
                    for ((room, price), (one, other)) in purses {
                        let left = room - one - other;
                        within &= left >= 0;
                        lost += i128::from(left) * price;
                    }
                    if within && lost <= self.least {
                        self.note(lost, || told([(one, *at), (other, others[fits].2)]));
                    }
                }
            }
            from = until;
        }
        true
    }

    /// Takes note of a plan that loses no more than the best so far.
    fn note(&mut self, lost: i128, told: impl FnOnce() -> Told) {
        if lost < self.least {
            (self.least, self.best, self.tied) = (lost, Some(told()), Some(false));
            return;
        }
        // Where counts are asked for, one plan is as good as another.
        if self.stage.grain > 1 {
            return;
        }
        let told = told();
        match &self.best {
            None => self.best = Some(told),
            Some(best) => {
                let (same, order) = self.compare(&told, best);
                if !same {
                    self.tied = Some(true);
                    if order == Ordering::Less {
                        self.best = Some(told);
                    }
                }
            }
        }
    }

    /// Whether two plans are the same, and which comes first.
    fn compare(&self, one: &Told, other: &Told) -> (bool, Ordering) {
        let base = |group: usize| &self.relaxed.plan[group];
        let find = |told: &Told, group: usize| told.iter().find(|(at, _)| *at == group).map(|(_, shares)| shares.clone());
        let groups = one.iter().map(|(group, _)| *group).chain(other.iter().map(|(group, _)| *group));
        let differences: Vec<(usize, Ordering)> = groups
            .filter_map(|group| {
                let shares = |told: &Told| find(told, group).unwrap_or_else(|| base(group).clone());
                first_difference(&self.stage.groups[group], &shares(one), &shares(other))
            })
            .collect();
        (differences.is_empty(), decide(differences.into_iter()))
    }
}

/// The most changes of one side.
const MOST: usize = 400_000;

/// What changes of both sides come to.
fn told<const D: usize>(sides: [(&Side<D>, u32); 2]) -> Told {
    let mut told = Told::new();
    for (side, mut at) in sides {
        loop {
            let Change { before, level, way, .. } = side.changes[at as usize];
            let Some(level) = side.levels.get(level as usize) else { break };
            told.push((level.group, level.ways[way as usize].shares.clone()));
            at = before;
        }
    }
    told
}
