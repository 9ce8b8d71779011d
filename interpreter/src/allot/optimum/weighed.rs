//! All purses as one, each weighed by its price: where the same share can be paid by several funds, each by another part of
//! it, what is paid weighs about as much whichever fund pays.
//!
//! Every plan that keeps within all purses keeps within this one, whatever the weights are (none below nought): so no plan
//! saves more than the best one here, which a search over one purse soon finds. Its choices are then handed out to the funds
//! anew ([`super::nearing`]); where that succeeds no plan saves more. Where it does not, the purse is made a little smaller.

use super::Effort;
use super::group::{Group, Pick, Shares};
use super::nearing::settled;
use super::relax::{Relaxed, relax};
use super::search::carry;
use super::stage::Stage;

/// How large the purse may be, in bits: so large that the weights are exact enough.
const PURSE: u32 = 58;

/// How many bits a unit of saving lies above what a whole purse comes to.
const SAVING: u32 = 52;

/// How often the purse is made smaller.
const TRIES: usize = 6;

/// A better plan than the one given, if one is found, and the most that any plan saves; none where that cannot be told.
pub fn weighed<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    (plan, value): (Shares, i128),
    effort: Effort,
) -> (Shares, i128, Option<i128>) {
    let Some(weights) = Weights::of(stage, relaxed) else { return (plan, value, None) };
    let (mut most, mut spare, mut last) = (None, 0, None);
    for _ in 0..TRIES {
        let Some(best) = weights.best(stage, &plan, spare, effort) else { break };
        most = most.or(Some(best.most));
        if saved(stage.groups, &best.plan) <= saved(stage.groups, &plan) {
            break;
        }
        // A plan that still fits the smaller purse has failed already.
        let again = last.as_ref() == Some(&best.plan);
        match if again { Err(spare) } else { settled(stage, relaxed, &best.plan) } {
            Ok(better) => return (better.clone(), stage.value_of(&better), most),
            Err(beyond) => spare += beyond + beyond / 4 + 1,
        }
        last = Some(best.plan);
    }
    (plan, value, most)
}

/// What a plan saves.
pub fn saved<const D: usize>(groups: &[Group<D>], plan: &Shares) -> i128 {
    let of_group = |(group, shares): (&Group<D>, &Vec<u32>)| {
        group.picks.iter().zip(shares).map(|(pick, share)| i128::from(pick.saving) * i128::from(*share)).sum::<i128>()
    };
    groups.iter().zip(plan).map(of_group).sum()
}

/// The best plan with one purse.
struct Best {
    plan: Shares,
    /// No plan saves more.
    most: i128,
}

/// What a unit of each purse weighs.
struct Weights<const D: usize> {
    weights: [i128; D],
    /// How many bits of the prices are left out.
    shift: u32,
}

impl<const D: usize> Weights<D> {
    /// The prices, as exact as can be kept; none where the sums cannot be.
    fn of(stage: &Stage<'_, D>, relaxed: &Relaxed<D>) -> Option<Self> {
        let mut total: i128 = 0;
        for (price, limit) in relaxed.prices.iter().zip(&stage.limits).filter(|(price, _)| **price > 0) {
            total = total.checked_add(price.checked_mul(i128::from(*limit))?)?;
        }
        let mut all: i128 = 0;
        for group in stage.groups {
            let weigh =
                |pick: &Pick<D>| pick.uses.iter().zip(&relaxed.prices).map(|(uses, price)| i128::from(*uses) * price).sum();
            let dearest: i128 = group.picks.iter().map(weigh).max().unwrap_or(0);
            all = all.checked_add(dearest.checked_mul(group.members.len() as i128)?)?;
        }
        let savings = group_savings(stage.groups)?;
        let bits = i128::BITS - total.max(all).leading_zeros();
        let fits = total > 0 && savings.leading_zeros() > SAVING + 8;
        let shift = bits.saturating_sub(PURSE);
        fits.then(|| Self { weights: relaxed.prices.map(|price| price >> shift), shift })
    }

    fn weigh(&self, uses: &[i64; D]) -> i64 {
        let each = uses.iter().zip(&self.weights).filter(|(_, weight)| **weight > 0);
        each.map(|(uses, weight)| i128::from(*uses) * weight).sum::<i128>() as i64
    }

    /// The most saving, and of plans that save as much the one that weighs about the least, if so much is left in the purse;
    /// `start` is a plan within the purses.
    fn best(&self, stage: &Stage<'_, D>, start: &Shares, spare: i128, effort: Effort) -> Option<Best> {
        let limit = self.weigh(&stage.limits) - i64::try_from(spare >> self.shift).ok()?;
        // For each group the choices that no other beats.
        let kept: Vec<Vec<usize>> = stage.groups.iter().map(|group| self.kept(group)).collect();
        let groups: Vec<Group<1>> = stage.groups.iter().zip(&kept).map(|(group, kept)| self.group(group, kept)).collect();
        let worth = |pick: &Pick<1>| (i128::from(pick.saving) << SAVING) - i128::from(pick.uses[0] >> (PURSE + 1 - SAVING));
        let values = groups.iter().map(|group| group.picks.iter().map(worth).collect()).collect();
        let one = Stage { groups: &groups, limits: [limit], rules: stage.rules.clone(), values, grain: 1, ordered: true };
        let start =
            start.iter().zip(stage.groups).zip(&groups).map(|((shares, group), one)| self.there(shares, group, one)).collect();
        let relaxed = relax(&one, &start);
        let mut best = relaxed.feasible.clone();
        if one.fits(&one.uses_of(&start)) && best.as_ref().is_none_or(|(_, value)| one.value_of(&start) > *value) {
            best = Some((start.clone(), one.value_of(&start)));
        }
        let found = carry(&one, &relaxed, best?, relaxed.bound, effort);
        let back = |((shares, kept), group): ((&Vec<u32>, &Vec<usize>), &Group<D>)| {
            let mut back = vec![0; group.picks.len() + 1];
            for (at, share) in shares.iter().enumerate() {
                back[kept.get(at).copied().unwrap_or(group.picks.len())] += *share;
            }
            back
        };
        let plan = found.plan.iter().zip(&kept).zip(stage.groups).map(back).collect();
        // What a plan weighs takes less than half a unit of saving off.
        Some(Best { plan, most: (found.open + (1 << (SAVING - 1))) >> SAVING })
    }

    /// The choices of a group that no other beats: that saves no less and weighs no more.
    fn kept(&self, group: &Group<D>) -> Vec<usize> {
        let rank = |at: &usize| (self.weigh(&group.picks[*at].uses), std::cmp::Reverse(group.picks[*at].saving), *at);
        let mut order: Vec<usize> = (0..group.picks.len()).collect();
        order.sort_by_key(rank);
        let mut kept: Vec<usize> = Vec::new();
        for at in order {
            if kept.last().is_none_or(|last| group.picks[*last].saving < group.picks[at].saving) {
                kept.push(at);
            }
        }
        kept
    }

    fn group(&self, group: &Group<D>, kept: &[usize]) -> Group<1> {
        let pick = |at: &usize| {
            let Pick { uses, cost, saving } = &group.picks[*at];
            Pick { uses: [self.weigh(uses)], cost: *cost, saving: *saving }
        };
        Group { step: group.step, members: group.members.clone(), picks: kept.iter().map(pick).collect() }
    }

    /// How a group is shared out with one purse: each by a choice that saves no less and weighs no more.
    fn there(&self, shares: &[u32], group: &Group<D>, one: &Group<1>) -> Vec<u32> {
        let mut there = vec![0; one.picks.len() + 1];
        for (at, share) in shares.iter().enumerate() {
            let beats = |pick: &Pick<D>| {
                one.picks.iter().position(|other| other.saving >= pick.saving && other.uses[0] <= self.weigh(&pick.uses))
            };
            let to = group.picks.get(at).and_then(beats).unwrap_or(one.picks.len());
            there[to] += *share;
        }
        there
    }
}

/// What all could save at the most; none where that cannot be kept exact.
fn group_savings<const D: usize>(groups: &[Group<D>]) -> Option<i128> {
    groups.iter().try_fold(0_i128, |sum, group| {
        let most = group.picks.iter().map(|pick| i128::from(pick.saving)).max().unwrap_or(0);
        sum.checked_add(most.checked_mul(group.members.len() as i128)?)
    })
}

#[cfg(test)]
mod tests {
    use super::super::group::Scale;
    use super::super::nearing::nearer;
    use super::super::stage::add;
    use super::*;
    use crate::chance::Chance;

    /// Three funds, each of which pays another part of everybody's price.
    fn groups(chance: &mut Chance) -> Vec<Group<3>> {
        let group = |member: usize, chance: &mut Chance| {
            let price = 40 + chance.below(100) as i64;
            let ways = [(price, price + chance.below(50) as i64), (price / 2, chance.below(80) as i64)];
            let pick = |(cost, saving): (i64, i64), fund: usize| {
                let (cost, mut uses) = (cost * [100, 80, 50][fund] / 100, [0; 3]);
                uses[fund] = cost;
                Pick { uses, cost, saving }
            };
            let picks = ways.iter().flat_map(|way| (0..3).map(|fund| pick(*way, fund))).collect();
            Group { step: 0, members: vec![member], picks }
        };
        (0..2 + chance.below(4) as usize).map(|member| group(member, chance)).collect()
    }

    /// The most that is saved by so many, within what is left.
    fn enumerated(groups: &[Group<3>], left: [i64; 3], helped: u32) -> Option<i128> {
        let Some((group, rest)) = groups.split_first() else { return (helped == 0).then_some(0) };
        let without = enumerated(rest, left, helped);
        let with = group.picks.iter().filter(|_| helped > 0).filter_map(|pick| {
            let mut left = left;
            add(&mut left, &pick.uses, -1);
            let rest = left.iter().all(|left| *left >= 0).then(|| enumerated(rest, left, helped - 1))?;
            rest.map(|rest| rest + i128::from(pick.saving))
        });
        with.chain(without).max()
    }

    #[test]
    fn no_plan_saves_more_than_it_says_and_its_plan_keeps_within_the_purses() {
        let mut chance = Chance(5);
        let (mut close, mut reached, mut asked) = (0, 0, 0);
        for _ in 0..80 {
            let groups = groups(&mut chance);
            let limits = [0; 3].map(|_| 20 + chance.below(150) as i64);
            let helped = 1 + chance.below(groups.len() as u64) as u32;
            let Some(most) = enumerated(&groups, limits, helped) else { continue };
            // So many as can be, each by the fund with the most left: a plan to begin with.
            let scale = Scale { saving: 10_000, spending: 1 << 20 };
            let nobody = Stage::nobody(&groups);
            let (mut start, mut left, mut given) = (nobody.clone(), limits, 0);
            for (group, shares) in groups.iter().zip(&mut start) {
                let fits = |pick: &Pick<3>| pick.uses.iter().zip(&left).all(|(uses, left)| uses <= left);
                let cheapest = (0..group.picks.len()).filter(|at| fits(&group.picks[*at])).min_by_key(|at| group.picks[*at].cost);
                if let Some(at) = cheapest.filter(|_| given < helped) {
                    add(&mut left, &group.picks[at].uses, -1);
                    (shares[at], shares[group.picks.len()], given) = (1, 0, given + 1);
                }
            }
            if given < helped {
                continue;
            }
            let stage = Stage::savings(&groups, &limits, &[helped], scale);
            let relaxed = relax(&stage, &start);
            let value = stage.value_of(&start);
            let (near, near_worth) = nearer(&stage, &relaxed, (start.clone(), value), relaxed.bound);
            assert!(near_worth >= value && near_worth == stage.value_of(&near), "{groups:?} {limits:?} {near:?}");
            assert!(saved(&groups, &near) <= most && stage.fits(&stage.uses_of(&near)), "{groups:?} {limits:?} {near:?}");
            let (plan, worth, told) = weighed(&stage, &relaxed, (start, value), Effort::default());
            let saves = saved(&groups, &plan);
            assert_eq!(worth, stage.value_of(&plan));
            assert!(worth >= value && saves <= most && stage.fits(&stage.uses_of(&plan)), "{groups:?} {limits:?} {plan:?}");
            for plan in [&plan, &near] {
                let counted: u32 = plan.iter().zip(&groups).map(|(shares, group)| 1 - shares[group.picks.len()]).sum();
                assert_eq!(counted, helped, "{groups:?} {limits:?} {plan:?}");
            }
            let Some(told) = told else { continue };
            assert!(told >= most, "{told} {most}: {groups:?} {limits:?}");
            asked += 1;
            close += usize::from(told - most <= 20);
            reached += usize::from(saves == told);
        }
        assert!(asked > 15 && close * 2 > asked && reached > 4, "it says something: {asked} {close} {reached}");
    }
}
