//! A plan very near the bound, in bounded time, where too much is nearly as good to go through it all: as where one fund pays
//! the same part of every other's share.
//!
//! Changes that lose next to nothing are made until the purses come out about even. From there up to four changes are made
//! together that bring the purses nearer to being just used up: two lists of pairs are held against each other, and only those
//! looked at that fit. Then again with pairs of changes that nearly undo one another, and so move only a little: the plan comes
//! nearer by the cent. Until it keeps within the purses it may go beyond them, at more than their price. What is found is a
//! good plan; whether there is a better one it does not say.

mod several;

use super::group::{Group, Shares};
use super::meet::grid::Grid;
use super::meet::side::State;
use super::narrow::evened;
use super::polish::changes;
use super::relax::Relaxed;
use super::stage::{Stage, add};
use several::{Several, counted, made, small, state, stratified, with};

/// How many changes are put together in pairs.
const MOST: usize = 220;

/// How many are held against each other to find pairs that move only a little.
const SINGLE: usize = 1_500;

/// How often a plan is brought nearer at the most.
const ROUNDS: usize = 8;

/// How many fours are looked at in one round.
const LOOKS: usize = 1_000_000;

/// How much more than its price a unit beyond a purse weighs.
const BEYOND: i128 = 3;

/// How often going beyond the purses is made to weigh more, where a plan still does.
const HARDER: usize = 3;

/// The least and the greatest that pairs are looked for to move.
const WIDTHS: (i64, i64) = (32, 4_096);

/// A better plan than the one given, from the relaxed one on, until one is worth `enough`; the one given where none is found.
pub fn nearer<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    (mut plan, mut value): (Shares, i128),
    enough: i128,
) -> (Shares, i128) {
    let mut near = Nearing::of(stage, relaxed, relaxed.plan.clone(), |_, _, _| true);
    for _ in 0..HARDER {
        near.all_rounds(|found| {
            let worth = stage.value_of(found);
            if worth > value && stage.fits(&stage.uses_of(found)) {
                (plan, value) = (found.clone(), worth);
            }
            value >= enough
        });
        if stage.fits(&stage.uses_of(&near.plan)) {
            break;
        }
        near.harder();
    }
    (plan, value)
}

/// A plan within the purses that helps whom this one does, and saves as much with everybody, only that others may pay; or by
/// how much, each purse weighed by its price, the nearest to that goes beyond them.
pub fn settled<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>, plan: &Shares) -> Result<Shares, i128> {
    let saving = |group: &Group<D>, choice: usize| group.picks.get(choice).map(|pick| pick.saving);
    let same = |group: &Group<D>, from: usize, to: usize| saving(group, from) == saving(group, to);
    let mut near = Nearing::of(stage, relaxed, plan.clone(), same);
    near.all_rounds(|found| stage.fits(&stage.uses_of(found)));
    let room = near.room();
    if room.iter().all(|room| *room >= 0) {
        return Ok(near.plan);
    }
    Err(room.iter().zip(&relaxed.prices).map(|(room, price)| i128::from(-room.min(&0)) * price).sum())
}

/// A plan that is brought nearer, by changes from one choice of a group to another that are allowed.
struct Nearing<'a, const D: usize, A> {
    stage: &'a Stage<'a, D>,
    relaxed: &'a Relaxed<D>,
    allowed: A,
    /// What a unit beyond each purse weighs.
    beyond: [i128; D],
    plan: Shares,
    /// What the plan loses, with what it leaves in the purses or takes beyond them.
    off: i128,
}

impl<'a, const D: usize, A: Fn(&Group<D>, usize, usize) -> bool> Nearing<'a, D, A> {
    /// A plan once what loses next to nothing is made even.
    fn of(stage: &'a Stage<'a, D>, relaxed: &'a Relaxed<D>, mut plan: Shares, allowed: A) -> Self {
        let dearest = relaxed.prices.iter().max().copied().unwrap_or(0);
        // Beyond a purse that limits nothing at these prices weighs something, too.
        let beyond = relaxed.prices.map(|price| BEYOND * price.max(dearest / 64));
        evened(stage, relaxed, &mut plan, &allowed);
        let mut near = Self { stage, relaxed, allowed, beyond, plan, off: 0 };
        near.off = near.is_off();
        near
    }

    fn is_off(&self) -> i128 {
        self.relaxed.lost(&self.plan).saturating_add(self.weight(&self.room()))
    }

    /// Lets a unit beyond a purse weigh more.
    fn harder(&mut self) {
        self.beyond = self.beyond.map(|beyond| beyond.saturating_mul(BEYOND));
        self.off = self.is_off();
    }

    /// Comes nearer until that is enough, or no longer succeeds.
    fn all_rounds(&mut self, mut enough: impl FnMut(&Shares) -> bool) {
        let mut width = None;
        for _ in 0..ROUNDS {
            let before = self.off;
            let better = self.closer(width);
            if enough(&self.plan) {
                break;
            }
            let room = self.room();
            let limiting = room.iter().zip(&self.relaxed.prices).filter(|(_, price)| **price > 0);
            let largest = limiting.map(|(room, _)| room.abs()).max().unwrap_or(0);
            width = match (better, width) {
                (true, None) if self.off < before / 2 || largest > WIDTHS.1 / 4 => None,
                (true, _) | (false, None) => Some((2 * largest).clamp(WIDTHS.0, WIDTHS.1)),
                (false, Some(width)) if width < WIDTHS.1 => Some(width * 4),
                _ => break,
            };
        }
    }

    /// What the plan leaves of each purse; below nought where it goes beyond.
    fn room(&self) -> [i64; D] {
        let mut room = self.stage.limits;
        add(&mut room, &self.stage.uses_of(&self.plan), -1);
        room
    }

    fn weight(&self, room: &[i64; D]) -> i128 {
        let each = |purse: usize| if room[purse] < 0 { -self.beyond[purse] } else { self.relaxed.prices[purse] };
        // It says only which plan is tried next, so the greatest number stands for whatever is greater.
        let weighs = (0..D).map(|purse| i128::from(room[purse]).saturating_mul(each(purse)));
        weighs.fold(0, i128::saturating_add)
    }

    /// Takes the best plan that is found near this one, by pairs that move no more than a width; whether it is better.
    fn closer(&mut self, width: Option<i64>) -> bool {
        let (stage, relaxed) = (self.stage, self.relaxed);
        let mut single = changes(stage, relaxed, &self.plan, usize::MAX);
        single.retain(|change| (self.allowed)(&stage.groups[change.group], change.from, change.to));
        // What the changes may lose, with what is left, and still be better.
        let spare = self.off.saturating_sub(1).saturating_sub(relaxed.lost(&self.plan));
        let mut several = counted(stage, &single);
        if let Some(width) = width {
            several = small(&stratified(several, SINGLE), width);
        }
        let several = stratified(several, MOST);
        let can = |of: &[usize]| made(&self.plan, &single, &several, of).is_some();
        let Some(found) = self.best_of_four(&several, spare, can) else { return false };
        let Some(plan) = made(&self.plan, &single, &several, &found) else { return false };
        self.plan = with(&self.plan, plan);
        self.off = self.is_off();
        true
    }

    /// Up to four that together lose no more than `spare`, and the least of all looked at.
    fn best_of_four(&self, several: &[Several<D>], mut spare: i128, can: impl Fn(&[usize]) -> bool) -> Option<Vec<usize>> {
        let mut pairs: Vec<[Option<usize>; 2]> = vec![[None; 2]];
        let mut states = vec![state([0; D], 0, 0)];
        for (at, one) in several.iter().enumerate() {
            states.push(state(one.uses, one.loss, pairs.len()));
            pairs.push([Some(at), None]);
            for (next, other) in several.iter().enumerate().skip(at) {
                let mut uses = one.uses;
                add(&mut uses, &other.uses, 1);
                states.push(state(uses, one.loss + other.loss, pairs.len()));
                pairs.push([Some(at), Some(next)]);
            }
        }
        let room = self.room();
        let widths = widths(&states, &self.relaxed.prices);
        let grid = Grid::of(&states, &widths);
        let least = states.iter().map(|state| state.loss).min().unwrap_or(0);
        let mut looks = LOOKS;
        let mut best = None;
        for one in &states {
            let mut left = room;
            add(&mut left, &one.uses, -1);
            let (mut most, mut may_be_left) = (left, [i64::MAX / 8; D]);
            for purse in (0..D).filter(|purse| self.relaxed.prices[*purse] > 0) {
                let off = |price: i128| i64::try_from((spare - one.loss - least).max(0) / price).unwrap_or(i64::MAX);
                let beyond = off(self.beyond[purse]).min(widths[purse] / 4);
                most[purse] += beyond;
                may_be_left[purse] = off(self.relaxed.prices[purse]).min(widths[purse] / 2) + beyond;
            }
            grid.near(0, &most, &may_be_left, |with| {
                looks = looks.saturating_sub(1);
                if looks == 0 || one.loss + with.loss > spare {
                    return false;
                }
                let mut after = left;
                add(&mut after, &with.uses, -1);
                let lost = self.weight(&after).saturating_add(one.loss + with.loss);
                if with.node >= one.node && lost <= spare {
                    let of: Vec<usize> = [one, with].iter().flat_map(|state| pairs[state.node as usize]).flatten().collect();
                    if can(&of) {
                        (spare, best) = (lost - 1, Some(of));
                    }
                }
                true
            });
            if looks == 0 {
                break;
            }
        }
        best
    }
}

/// How wide boxes are so that about one state lies in each.
fn widths<const D: usize>(states: &[State<D>], prices: &[i128; D]) -> [i64; D] {
    let sides = prices.iter().filter(|price| **price > 0).count().max(1);
    let across = 1 + (1..).take_while(|across: &i64| across.saturating_pow(sides as u32) < states.len() as i64).count() as i64;
    let mut widths = [i64::MAX / 8; D];
    for (purse, width) in widths.iter_mut().enumerate().filter(|(purse, _)| prices[*purse] > 0) {
        let used = || states.iter().map(|state| state.uses[purse]);
        *width = (used().max().unwrap_or(0) - used().min().unwrap_or(0)) / across + 4;
    }
    widths
}
