//! A narrower question, for when the whole one has too many plans that are nearly as good: as where one fund pays the same part
//! of every other's share, so that hundreds of candidates can go from one to the other at next to no loss. Changes are told
//! apart by the purses that they fill and those that they empty. Of each kind a few may be made; all others who could go from
//! one purse to another at next to no loss are first settled so that the purses come out even. What is found is a good plan;
//! whether there is a better one it does not say.

use std::cmp::Reverse;

use rustc_hash::FxHashMap;

use super::group::{Group, Shares};
use super::relax::{NEVER, Relaxed};
use super::stage::{Stage, add};

/// How many changes of one kind may be made.
const MOST: usize = 3;

/// A change loses next to nothing if it is no more than this part of the worth that it moves.
const PART: i128 = 256;

/// One member of a group takes another choice.
#[derive(Clone, Copy)]
struct Move<const D: usize> {
    group: usize,
    from: usize,
    to: usize,
    loss: i128,
    uses: [i64; D],
    /// The worth that it moves.
    moved: i128,
}

impl<const D: usize> Move<D> {
    /// Which purses it fills and which it empties.
    fn kind(&self) -> [i64; D] {
        self.uses.map(i64::signum)
    }

    /// Whether it goes from one purse to another.
    fn across(&self) -> bool {
        self.kind().contains(&1) && self.kind().contains(&-1)
    }
}

/// The narrower question, where changes lose no more than this.
pub fn narrowed<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>, most_loss: i128) -> Relaxed<D> {
    let mut moves: Vec<Move<D>> =
        (0..stage.groups.len()).flat_map(|at| moves_of(stage, relaxed, &relaxed.plan, at, most_loss)).collect();
    moves.sort_by_key(|one| (one.loss, one.group, one.from, one.to));
    let mut kinds: FxHashMap<[i64; D], Vec<usize>> = FxHashMap::default();
    for (at, one) in moves.iter().enumerate() {
        kinds.entry(one.kind()).or_default().push(at);
    }
    let mut free = vec![false; stage.groups.len()];
    for (kind, of_kind) in &kinds {
        // What goes from one purse to another is wanted in all sizes; of the rest what loses least.
        let across = kind.contains(&1) && kind.contains(&-1);
        let step = if across { of_kind.len().div_ceil(MOST) } else { 1 };
        for at in of_kind.iter().step_by(step).take(MOST) {
            free[moves[*at].group] = true;
        }
    }
    let mut narrow = relaxed.clone();
    moves.retain(|one| one.across() && one.loss.saturating_mul(PART) <= one.moved && !free[one.group]);
    let settled: Vec<usize> = moves.iter().map(|one| one.group).collect();
    even_out(stage, relaxed, moves, &mut narrow.plan);
    let mut known = vec![false; stage.groups.len()];
    for at in settled {
        if !std::mem::replace(&mut known[at], true) {
            let shares = narrow.plan[at].iter().zip(&relaxed.losses[at]).filter(|(share, _)| **share > 0);
            narrow.bound -= shares.map(|(share, loss)| i128::from(*share) * loss).sum::<i128>();
        }
    }
    for (losses, _) in narrow.losses.iter_mut().zip(&free).filter(|(_, free)| !**free) {
        losses.fill(NEVER);
    }
    narrow
}

/// Changes a plan by what loses next to nothing, as far as it is allowed, so that the purses come out even: what loses least
/// of what it moves first.
pub fn evened<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    plan: &mut Shares,
    allowed: impl Fn(&Group<D>, usize, usize) -> bool,
) {
    let all = (0..stage.groups.len()).flat_map(|at| moves_of(stage, relaxed, plan, at, NEVER - 1));
    let moves: Vec<Move<D>> = all.filter(|one| one.across() && allowed(&stage.groups[one.group], one.from, one.to)).collect();
    let part = |one: &Move<D>, bits: u32| one.loss.abs().saturating_mul(1 << bits) <= one.moved;
    for bits in EVEN.rev() {
        let next = moves.iter().filter(|one| part(one, bits)).copied().collect();
        even_out(stage, relaxed, next, plan);
    }
}

/// Which parts of what they move changes lose that are made even, in bits: from next to nothing on.
const EVEN: std::ops::Range<u32> = 10..26;

/// The changes of one group that lose no more than this.
fn moves_of<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    plan: &Shares,
    at: usize,
    most_loss: i128,
) -> Vec<Move<D>> {
    let (picks, losses) = (&stage.groups[at].picks, &relaxed.losses[at]);
    let uses = |choice: usize| picks.get(choice).map_or([0; D], |pick| pick.uses);
    let mut moves = Vec::new();
    for from in (0..losses.len()).filter(|from| plan[at][*from] > 0) {
        for to in (0..losses.len()).filter(|to| *to != from && losses[*to] <= most_loss) {
            let mut more = uses(to);
            add(&mut more, &uses(from), -1);
            let moved = more.iter().zip(&relaxed.prices).map(|(uses, price)| i128::from(uses.abs()) * price).sum();
            moves.push(Move { group: at, from, to, loss: losses[to] - losses[from], uses: more, moved });
        }
    }
    moves
}

/// Makes changes, and takes them back, until none brings the purses nearer to being just used up.
fn even_out<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>, mut moves: Vec<Move<D>>, plan: &mut Shares) {
    moves.sort_by_key(|one| (Reverse(one.moved), one.group, one.from, one.to));
    let mut room = stage.limits;
    add(&mut room, &stage.uses_of(plan), -1);
    let off =
        |room: &[i64; D]| -> i128 { room.iter().zip(&relaxed.prices).map(|(room, price)| i128::from(room.abs()) * price).sum() };
    let mut now = off(&room);
    for _ in 0..PASSES {
        let mut changed = false;
        for one in &moves {
            for (from, to, times) in [(one.from, one.to, 1), (one.to, one.from, -1)] {
                while plan[one.group][from] > 0 {
                    let mut after = room;
                    add(&mut after, &one.uses, -times);
                    let then = off(&after);
                    if then >= now {
                        break;
                    }
                    (room, now, changed) = (after, then, true);
                    plan[one.group][from] -= 1;
                    plan[one.group][to] += 1;
                }
            }
        }
        if !changed {
            break;
        }
    }
}

/// How often all moves are gone through.
const PASSES: usize = 16;

#[cfg(test)]
mod tests {
    use super::super::group::{Pick, Scale};
    use super::super::meet::meet;
    use super::super::relax::relax;
    use super::*;
    use crate::chance::Chance;

    /// Some members, each with choices of which another fund pays a part.
    fn groups(chance: &mut Chance) -> Vec<Group<2>> {
        let group = |member: usize, chance: &mut Chance| {
            let cost = 20 + chance.below(40) as i64 * 5;
            let saving = cost + chance.below(60) as i64;
            let own = member % 2;
            let pick = |fund: usize, cost: i64| {
                let mut uses = [0; 2];
                uses[fund] = cost;
                Pick { uses, cost, saving }
            };
            let mut picks = vec![pick(own, cost)];
            if chance.below(4) > 0 {
                picks.push(pick(1 - own, cost * 4 / 5));
            }
            Group { step: 0, members: vec![member], picks }
        };
        (0..10 + chance.below(6) as usize).map(|member| group(member, chance)).collect()
    }

    /// Somebody takes this choice.
    fn takes(group: &Group<2>, choice: usize) -> Vec<u32> {
        (0..=group.picks.len()).map(|at| u32::from(at == choice)).collect()
    }

    /// All plans in which those of these groups fare as they may.
    fn plans(groups: &[Group<2>], settled: &[Option<Vec<u32>>]) -> Vec<Shares> {
        let mut plans = vec![Vec::new()];
        for (group, settled) in groups.iter().zip(settled) {
            let ways: Vec<Vec<u32>> = match settled {
                Some(shares) => vec![shares.clone()],
                None => (0..=group.picks.len()).map(|choice| takes(group, choice)).collect(),
            };
            let with = |plan: &Shares, way: &Vec<u32>| plan.iter().chain([way]).cloned().collect();
            plans = plans.iter().flat_map(|plan| ways.iter().map(move |way| with(plan, way))).collect();
        }
        plans
    }

    #[test]
    fn the_best_answer_to_the_narrower_question_is_found_and_every_plan_loses_in_it_what_it_says() {
        let mut chance = Chance(11);
        let (mut narrower, mut evened, mut better) = (0, 0, 0);
        for _ in 0..50 {
            let groups = groups(&mut chance);
            let limits = [150 + chance.below(500) as i64, 150 + chance.below(500) as i64];
            let (mut start, mut left, mut helped) = (Shares::new(), limits, 0);
            for group in &groups {
                let choice = chance.below(group.picks.len() as u64 + 1) as usize;
                let uses = group.picks.get(choice).map_or([0; 2], |pick| pick.uses);
                let fits = uses.iter().zip(&left).all(|(uses, left)| uses <= left);
                let choice = if fits { choice } else { group.picks.len() };
                start.push(takes(group, choice));
                add(&mut left, &group.picks.get(choice).map_or([0; 2], |pick| pick.uses), -1);
                helped += u32::from(choice < group.picks.len());
            }
            let stage = Stage::savings(&groups, &limits, &[helped], SCALE);
            let relaxed = relax(&stage, &start);
            let narrow = narrowed(&stage, &relaxed, relaxed.bound - stage.value_of(&start));
            let is_settled = |at: usize| narrow.losses[at].iter().all(|loss| *loss == NEVER);
            let settled: Vec<Option<Vec<u32>>> =
                (0..groups.len()).map(|at| is_settled(at).then(|| narrow.plan[at].clone())).collect();
            let mut best = stage.value_of(&start);
            for plan in plans(&groups, &settled) {
                let counted = plan.iter().zip(&groups).map(|(shares, group)| 1 - shares[group.picks.len()]);
                if counted.sum::<u32>() != helped {
                    continue;
                }
                let lost = (0..groups.len()).filter(|at| settled[*at].is_none()).map(|at| {
                    let losses = plan[at].iter().zip(&narrow.losses[at]).filter(|(share, _)| **share > 0);
                    losses.map(|(_, loss)| *loss).sum::<i128>()
                });
                let mut left = limits;
                add(&mut left, &stage.uses_of(&plan), -1);
                let left: i128 = left.iter().zip(&narrow.prices).map(|(left, price)| i128::from(*left) * price).sum();
                assert_eq!(stage.value_of(&plan), narrow.bound - lost.sum::<i128>() - left, "{groups:?} {limits:?} {plan:?}");
                if stage.fits(&stage.uses_of(&plan)) {
                    best = best.max(stage.value_of(&plan));
                }
            }
            let value = stage.value_of(&start);
            let met = meet(&stage, &narrow, None, (start.clone(), value), 10_000_000);
            assert_eq!(met.value, best, "{groups:?} {limits:?} from {start:?}");
            assert!(
                stage.fits(&stage.uses_of(&met.plan)) && stage.value_of(&met.plan) == best,
                "{groups:?} {limits:?} {:?}",
                met.plan
            );
            narrower += usize::from(settled.iter().any(Option::is_some));
            evened += usize::from(narrow.plan != relaxed.plan);
            better += usize::from(best > value);
        }
        assert!(narrower > 30 && evened > 1 && better > 30, "all kinds are there: {narrower} {evened} {better}");
    }

    const SCALE: Scale = Scale { saving: 10_000, spending: 1 << 20 };
}
