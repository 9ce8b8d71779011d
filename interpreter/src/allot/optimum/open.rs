//! How far a plan can be from the best, where the search was given up.

use super::group::{Scale, Shares};
use super::relax::Relaxed;
use super::stage::{Stage, add};
use super::weighed::saved;

/// At most so much more could be saved, and where that is nought, at most so much less spent. No plan is worth more than
/// `open`, and none saves more than `most`, where that is known.
pub fn open<const D: usize>(
    stage: &Stage<'_, D>,
    relaxed: &Relaxed<D>,
    plan: &Shares,
    (open, most): (i128, Option<i128>),
    scale: Scale,
) -> (i64, i64) {
    let gap = open - stage.value_of(plan);
    let unit = scale.saving * scale.spending;
    let more = most.map_or(i128::MAX, |most| (most - saved(stage.groups, plan)).max(0)).min((gap + unit - 1) / unit);
    if more > 0 {
        return (i64::try_from(more).unwrap_or(i64::MAX), 0);
    }
    let less = (gap / scale.spending).min(less_left(stage, relaxed, plan, gap).unwrap_or(i128::MAX));
    (0, i64::try_from(less).unwrap_or(i64::MAX))
}

/// What more can be left in the purses at the most by a plan worth no less. Each plan loses at its price what it leaves. That is
/// what less can be spent where everything is paid out of just one purse; none where it is not.
fn less_left<const D: usize>(stage: &Stage<'_, D>, relaxed: &Relaxed<D>, plan: &Shares, gap: i128) -> Option<i128> {
    let least = relaxed.prices.iter().copied().min().filter(|price| *price > 0)?;
    let mut paid = stage.groups.iter().flat_map(|group| &group.picks);
    if !paid.all(|pick| pick.uses.iter().sum::<i64>() == pick.cost) {
        return None;
    }
    let mut left = stage.limits;
    add(&mut left, &stage.uses_of(plan), -1);
    let left: i128 = left.iter().map(|left| i128::from(*left)).sum();
    Some((gap / least - left).max(0))
}
