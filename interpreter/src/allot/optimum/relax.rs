//! The relaxed question: prices for the purses and thresholds for the steps in place of limits.
//!
//! With a price `p` for each unit of each purse, a choice is worth its value less `p` times what it uses. Whatever the
//! prices are (none below nought), the greatest sum of such worths, and `p` times each purse's limit, is an upper bound of
//! the value of every plan that keeps within the purses: what such a plan does not use of a purse is not below nought. So
//! the prices may be sought in any way; better ones only make the bound closer. A held count needs no search: the best of
//! the step by worth are those that are helped, and any threshold between the last in and the first out serves.

use super::group::{Group, Shares};
use super::prices::{Mixed, prices};
use super::stage::{Rule, Stage};

/// The loss of what a rule does not allow.
pub const NEVER: i128 = i128::MAX;

/// The answer to a relaxed question.
#[derive(Debug, Clone)]
pub struct Relaxed<const D: usize> {
    /// No plan is worth more.
    pub bound: i128,
    /// The price of a unit of each purse.
    pub prices: [i128; D],
    /// The plan that is best at these prices; it may go beyond the purses.
    pub plan: Shares,
    /// For each group what each choice loses against the best; that of not being helped stands last.
    pub losses: Vec<Vec<i128>>,
    /// The best plan within the purses that came along, and its value.
    pub feasible: Option<(Shares, i128)>,
}

impl<const D: usize> Relaxed<D> {
    /// What a plan loses that the rules allow, but for what it leaves in the purses.
    pub fn lost(&self, plan: &Shares) -> i128 {
        let of_group = |(shares, losses): (&Vec<u32>, &Vec<i128>)| {
            let some = shares.iter().zip(losses).filter(|(share, _)| **share > 0);
            some.map(|(share, loss)| i128::from(*share) * loss).sum::<i128>()
        };
        plan.iter().zip(&self.losses).map(of_group).sum()
    }
}

/// A price is found to this part of itself.
const FINE: u32 = 32;

/// What is used at some prices.
struct Tried<const D: usize> {
    bound: i128,
    uses: [i64; D],
}

/// Who is helped in one group: the best choice, and how many take it.
type Best = (i128, u32, u32);

/// Room to work in.
#[derive(Default)]
struct Scratch {
    steps: Vec<Vec<Best>>,
}

/// Seeks prices, and gives what follows from them; `start` is a plan within the purses.
pub fn relax<const D: usize>(stage: &Stage<'_, D>, start: &Shares) -> Relaxed<D> {
    let mut scratch = Scratch { steps: vec![Vec::new(); stage.rules.len()] };
    let highest = stage.values.iter().flatten().map(|value| value.abs()).max().unwrap_or(0) * 2 + 1;
    let at;
    // Of a single purse a price that is a little dearer.
    let mut dearer = [0; D];
    if D == 1 {
        // No sum at a price may be larger than is counted exactly.
        let dearest = |group: &Group<D>| group.picks.iter().map(|pick| pick.uses[0]).max().unwrap_or(0);
        let all = stage.groups.iter().map(|group| i128::from(dearest(group)) * group.members.len() as i128).sum::<i128>();
        let highest = highest.min(i128::MAX / 32 / all.max(i128::from(stage.limits[0])).max(1));
        let (low, high) = bracket(stage, 0, highest, &mut scratch);
        let bound = |price: i128, scratch: &mut Scratch| tried(stage, &[price; D], scratch).bound;
        dearer = [high; D];
        at = if bound(high, &mut scratch) < bound(low, &mut scratch) { dearer } else { [low; D] };
    } else {
        let start = Mixed { value: stage.value_of(start), uses: stage.uses_of(start) };
        at = prices(&stage.limits, start, highest, |prices| {
            let Tried { bound, uses } = tried(stage, prices, &mut scratch);
            let paid = |(price, (limit, uses)): (&i128, (&i64, &i64))| price * i128::from(limit - uses);
            let left: i128 = prices.iter().zip(stage.limits.iter().zip(&uses)).map(paid).sum();
            (Mixed { value: bound - left, uses }, bound)
        });
    }
    let mut relaxed = follow(stage, at, &mut scratch);
    let mut within = vec![relaxed.plan.clone()];
    if D == 1 {
        within.push(follow(stage, dearer, &mut scratch).plan);
    }
    let within = within.into_iter().filter(|plan| stage.fits(&stage.uses_of(plan)));
    relaxed.feasible = within.map(|plan| (stage.value_of(&plan), plan)).max_by_key(|(value, _)| *value).map(|(v, p)| (p, v));
    relaxed
}

/// Two prices of a single purse close to each other: at the lower too much is used, at the higher not. Both are nought where
/// that is never too much.
fn bracket<const D: usize>(stage: &Stage<'_, D>, purse: usize, highest: i128, scratch: &mut Scratch) -> (i128, i128) {
    let mut too_much = |price: i128| tried(stage, &[price; D], scratch).uses[purse] > stage.limits[purse];
    if !too_much(0) {
        return (0, 0);
    }
    let (mut low, mut high) = (0, 1);
    while high < highest && too_much(high) {
        (low, high) = (high, high * 16);
    }
    while high - low > (low >> FINE).max(1) {
        let middle = low + (high - low) / 2;
        if too_much(middle) { low = middle } else { high = middle }
    }
    (low, high)
}

/// What a choice is worth at some prices.
fn worth<const D: usize>(value: i128, uses: &[i64; D], prices: &[i128; D]) -> i128 {
    uses.iter().zip(prices).fold(value, |worth, (used, price)| worth - i128::from(*used) * price)
}

/// The best choice of a group at some prices: what it is worth, and which.
fn best_of<const D: usize>(stage: &Stage<'_, D>, at: usize, prices: &[i128; D]) -> (i128, u32) {
    let picks = stage.groups[at].picks.iter().zip(&stage.values[at]).enumerate();
    let mut best = (i128::MIN, 0);
    for (pick, (picked, value)) in picks {
        let worth = worth(*value, &picked.uses, prices);
        if worth > best.0 {
            best = (worth, pick as u32);
        }
    }
    best
}

/// The bound at some prices, and what is used.
fn tried<const D: usize>(stage: &Stage<'_, D>, prices: &[i128; D], scratch: &mut Scratch) -> Tried<D> {
    let mut bound = stage.limits.iter().zip(prices).map(|(limit, price)| i128::from(*limit) * price).sum::<i128>();
    let mut uses = [0; D];
    let mut take = |at: usize, (worth, pick): (i128, u32), count: usize| {
        bound += worth * count as i128;
        for (used, more) in uses.iter_mut().zip(&stage.groups[at].picks[pick as usize].uses) {
            *used += more * count as i64;
        }
    };
    for step in &mut scratch.steps {
        step.clear();
    }
    for (at, group) in stage.groups.iter().enumerate() {
        match stage.rule(group) {
            Rule::Nobody => {}
            Rule::Everybody => take(at, best_of(stage, at, prices), group.members.len()),
            Rule::Free => {
                let best = best_of(stage, at, prices);
                if best.0 > 0 {
                    take(at, best, group.members.len());
                }
            }
            Rule::Held(_) => {
                let (worth, pick) = best_of(stage, at, prices);
                scratch.steps[group.step].push((worth, at as u32, pick));
            }
        }
    }
    for (step, rule) in scratch.steps.iter_mut().zip(&stage.rules) {
        if let Rule::Held(count) = rule {
            let mut left = *count as usize;
            order(step);
            for (worth, at, pick) in step.iter().take_while(|_| *count > 0) {
                let some = left.min(stage.groups[*at as usize].members.len());
                take(*at as usize, (*worth, *pick), some);
                left -= some;
                if left == 0 {
                    break;
                }
            }
        }
    }
    Tried { bound, uses }
}

/// The best first; of those alike the group that stands first.
fn order(step: &mut [Best]) {
    step.sort_unstable_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
}

/// All that follows from some prices.
fn follow<const D: usize>(stage: &Stage<'_, D>, prices: [i128; D], scratch: &mut Scratch) -> Relaxed<D> {
    let bound = tried(stage, &prices, scratch).bound;
    let mut plan = Stage::nobody(stage.groups);
    let mut thresholds = vec![0; stage.rules.len()];
    for (step, (order, rule)) in scratch.steps.iter().zip(&stage.rules).enumerate() {
        let Rule::Held(count) = rule else { continue };
        let mut left = *count;
        let mut last_in = 0;
        for (worth, at, pick) in order {
            let members = stage.groups[*at as usize].members.len() as u32;
            if left == 0 {
                // Between the last in and the first out, so that both changes lose something.
                thresholds[step] = worth + (last_in - worth) / 2;
                break;
            }
            let some = left.min(members);
            put(&mut plan[*at as usize], *pick as usize, some);
            left -= some;
            (last_in, thresholds[step]) = (*worth, *worth);
            if some < members {
                break;
            }
        }
    }
    let mut losses = Vec::with_capacity(stage.groups.len());
    for (at, group) in stage.groups.iter().enumerate() {
        let (best, pick) = best_of(stage, at, &prices);
        let threshold = thresholds[group.step];
        let worths = || group.picks.iter().zip(&stage.values[at]).map(|(picked, value)| worth(*value, &picked.uses, &prices));
        let count = group.members.len() as u32;
        losses.push(match stage.rule(group) {
            Rule::Nobody => worths().map(|_| NEVER).chain([0]).collect(),
            Rule::Everybody => {
                put(&mut plan[at], pick as usize, count);
                worths().map(|worth| best - worth).chain([NEVER]).collect()
            }
            Rule::Free => {
                if best > 0 {
                    put(&mut plan[at], pick as usize, count);
                }
                worths().map(|worth| best.max(0) - worth).chain([best.max(0)]).collect()
            }
            Rule::Held(_) => {
                let top = (best - threshold).max(0);
                worths().map(|worth| top - (worth - threshold)).chain([top]).collect()
            }
        });
    }
    Relaxed { bound, prices, plan, losses, feasible: None }
}

/// Lets so many of those not helped take a choice.
fn put(shares: &mut [u32], pick: usize, count: u32) {
    shares[pick] += count;
    if let Some(nobody) = shares.last_mut() {
        *nobody -= count;
    }
}
