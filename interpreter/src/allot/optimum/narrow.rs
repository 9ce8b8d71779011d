//! A narrower question, for when the whole one has too many plans that are nearly as good: as where one fund pays the same part
//! of every other's share, so that hundreds of candidates can go from one to the other at next to no loss. Changes are told
//! apart by the purses that they fill and those that they empty. Of each kind a few may be made; all others who could go from
//! one purse to another at next to no loss are first settled so that the purses come out even. What is found is a good plan;
//! whether there is a better one it does not say.

use std::cmp::Reverse;

use rustc_hash::FxHashMap;

use super::group::Shares;
use super::relax::{NEVER, Relaxed};
use super::stage::{Stage, add};

/// How many changes of one kind may be made.
const MOST: usize = 3;

/// A change loses next to nothing if it is no more than this part of the worth that it moves.
const PART: i128 = 256;

/// One member of a group takes another choice.
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
    let mut moves: Vec<Move<D>> = (0..stage.groups.len()).flat_map(|at| moves_of(stage, relaxed, at, most_loss)).collect();
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

/// The changes of one group that lose no more than this.
fn moves_of<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>, at: usize, most_loss: i128) -> Vec<Move<D>> {
    let (picks, losses) = (&stage.groups[at].picks, &relaxed.losses[at]);
    let uses = |choice: usize| picks.get(choice).map_or([0; D], |pick| pick.uses);
    let mut moves = Vec::new();
    for from in (0..losses.len()).filter(|from| relaxed.plan[at][*from] > 0) {
        for to in (0..losses.len()).filter(|to| *to != from && losses[*to] <= most_loss) {
            let mut more = uses(to);
            add(&mut more, &uses(from), -1);
            let moved = more.iter().zip(&relaxed.prices).map(|(uses, price)| i128::from(uses.abs()) * price).sum();
            moves.push(Move { group: at, from, to, loss: losses[to], uses: more, moved });
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
    let mut changed = true;
    while changed {
        changed = false;
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
    }
}
