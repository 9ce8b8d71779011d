//! A plan made better by changes to one or two candidates at a time. Where several purses limit one another this soon
//! finds a plan near the best, and the nearer it is, the less the search has to go through.

use super::group::Shares;
use super::relax::{NEVER, Relaxed};
use super::stage::{Stage, add};

/// The most single changes that are tried in pairs: those that lose least.
const MOST: usize = 700;

/// How often a plan is gone over at the most.
const ROUNDS: usize = 60;

/// One member of a group takes another choice.
pub struct Change<const D: usize> {
    pub group: usize,
    pub from: usize,
    pub to: usize,
    pub loss: i128,
    pub uses: [i64; D],
    pub value: i128,
    pub helped: i64,
}

/// The relaxed plan, changed where it goes beyond a purse until it keeps within all of them; none where that fails.
pub fn mended<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>) -> Option<(Shares, i128)> {
    let mut plan = relaxed.plan.clone();
    let mut value = stage.value_of(&plan);
    for _ in 0..ROUNDS {
        let mut uses = stage.uses_of(&plan);
        let beyond = (0..D).map(|purse| (uses[purse] - stage.limits[purse], purse)).max();
        let Some((_, purse)) = beyond.filter(|(beyond, _)| *beyond > 0) else { return Some((plan, value)) };
        // What loses least for each unit less comes first.
        let helps =
            |change: &Change<D>| (change.helped == 0 || !stage.holds(&stage.groups[change.group])) && change.uses[purse] < 0;
        let mut changes = changes(stage, relaxed, &plan, usize::MAX);
        changes.retain(helps);
        changes.sort_by_key(|change| (change.loss.max(0) / i128::from(-change.uses[purse]), change.uses[purse]));
        let mut changed = false;
        for change in changes {
            if uses[purse] <= stage.limits[purse] {
                break;
            }
            // No other purse may be taken beyond its limit, or further beyond.
            let fits = |at: usize| change.uses[at] <= 0 || uses[at] + change.uses[at] <= stage.limits[at];
            if plan[change.group][change.from] == 0 || !(0..D).all(fits) {
                continue;
            }
            plan[change.group][change.from] -= 1;
            plan[change.group][change.to] += 1;
            add(&mut uses, &change.uses, 1);
            value += change.value;
            changed = true;
        }
        if !changed {
            return None;
        }
    }
    None
}

/// Makes a plan better as long as one change, or two together, do it.
pub fn polish<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    (mut plan, mut value): (Shares, i128),
) -> (Shares, i128) {
    for _ in 0..ROUNDS {
        let Some((one, other)) = best_change(stage, relaxed, &plan) else { break };
        for change in [Some(one), other].into_iter().flatten() {
            plan[change.group][change.from] -= 1;
            plan[change.group][change.to] += 1;
            value += change.value;
        }
    }
    (plan, value)
}

/// The change, or the two changes, that make a plan most better.
fn best_change<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    plan: &Shares,
) -> Option<(Change<D>, Option<Change<D>>)> {
    let changes = changes(stage, relaxed, plan, MOST);
    let uses = stage.uses_of(plan);
    let fits =
        |one: &[i64; D], other: &[i64; D]| (0..D).all(|purse| uses[purse] + one[purse] + other[purse] <= stage.limits[purse]);
    let held = |group: usize| stage.holds(&stage.groups[group]);
    let mut best: Option<(i128, usize, Option<usize>)> = None;
    for (at, one) in changes.iter().enumerate() {
        let better = |value: i128, best: &Option<(i128, usize, Option<usize>)>| value > best.map_or(0, |(value, ..)| value);
        let keeps = one.helped == 0 || !held(one.group);
        if keeps && better(one.value, &best) && fits(&one.uses, &[0; D]) {
            best = Some((one.value, at, None));
        }
        for (next, other) in changes.iter().enumerate().skip(at + 1) {
            if one.group == other.group || !better(one.value + other.value, &best) || !fits(&one.uses, &other.uses) {
                continue;
            }
            let same_step = stage.groups[one.group].step == stage.groups[other.group].step;
            let others_keep = other.helped == 0 || !held(other.group);
            if (keeps && others_keep) || (same_step && one.helped + other.helped == 0) {
                best = Some((one.value + other.value, at, Some(next)));
            }
        }
    }
    let (_, one, other) = best?;
    let mut changes: Vec<Option<Change<D>>> = changes.into_iter().map(Some).collect();
    let other = other.and_then(|other| changes[other].take());
    Some((changes[one].take()?, other))
}

/// The single changes to a plan that its rules allow, so many of those that lose least.
pub fn changes<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>, plan: &Shares, most: usize) -> Vec<Change<D>> {
    let mut changes = Vec::new();
    for (at, (group, shares)) in stage.groups.iter().zip(plan).enumerate() {
        let none = group.picks.len();
        let losses = &relaxed.losses[at];
        let uses = |choice: usize| group.picks.get(choice).map_or([0; D], |pick| pick.uses);
        let value = |choice: usize| stage.values[at].get(choice).copied().unwrap_or(0);
        for from in (0..=none).filter(|from| shares[*from] > 0 && losses[*from] != NEVER) {
            for to in (0..=none).filter(|to| *to != from && losses[*to] != NEVER) {
                let mut after = uses(to);
                add(&mut after, &uses(from), -1);
                let helped = i64::from(to != none) - i64::from(from != none);
                let loss = losses[to] - losses[from];
                changes.push(Change { group: at, from, to, loss, uses: after, value: value(to) - value(from), helped });
            }
        }
    }
    if changes.len() > most {
        changes.select_nth_unstable_by_key(most, |change| change.loss);
        changes.truncate(most);
    }
    changes
}
