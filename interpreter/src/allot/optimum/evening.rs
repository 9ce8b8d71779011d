//! Evening funds out: whoever could be paid by several is dealt out to the fund with the most left, and then one or two of one
//! fund change places with one or two of another, until none pays more than it has.

use std::cmp::Reverse;

/// Somebody whom several funds could pay.
#[derive(Debug, Clone)]
pub struct Waiting {
    /// The member's place.
    pub member: usize,
    /// What is to be paid.
    pub cost: i64,
    /// The funds' places among the limited ones, in the order listed; none for a fund without a limit of its own.
    pub funds: Vec<Option<usize>>,
}

/// How often places are changed.
const ROUNDS: usize = 64;

/// The most sums of one or two that are looked at in one fund.
const MOST: usize = 60_000;

/// For each of those waiting which of their funds pays, so that none pays more than is left; none where that was not found.
pub fn even_out(waiting: &[Waiting], mut left: Vec<i64>) -> Option<Vec<usize>> {
    let mut order: Vec<usize> = (0..waiting.len()).collect();
    order.sort_by_key(|at| (Reverse(waiting[*at].cost), *at));
    let mut chosen = vec![0; waiting.len()];
    for at in order {
        let one = &waiting[at];
        let room = |fund: &usize| one.funds[*fund].map_or(i64::MAX, |fund| left[fund]);
        // Of several with as much left the one listed first.
        let fund = (0..one.funds.len()).max_by_key(|fund| (room(fund), Reverse(*fund)))?;
        chosen[at] = fund;
        if let Some(fund) = one.funds[fund] {
            left[fund] -= one.cost;
        }
    }
    for _ in 0..ROUNDS {
        let Some(short) = (0..left.len()).filter(|fund| left[*fund] < 0).min_by_key(|fund| left[*fund]) else {
            return Some(chosen);
        };
        let mut others: Vec<usize> = (0..left.len()).filter(|fund| left[*fund] > 0).collect();
        others.sort_by_key(|fund| (Reverse(left[*fund]), *fund));
        let spare = left.iter().sum::<i64>().max(0);
        let moved = others.into_iter().find_map(|other| {
            // All that is missing, or else so much that the other fund is nearly used up.
            let least = (-left[short]).min(left[other] - spare / 2);
            Some((other, exchange(waiting, &chosen, (short, other), (least.max(1), left[other]))?))
        });
        let (other, (away, back)) = moved?;
        for (members, from, to) in [(away, short, other), (back, other, short)] {
            for at in members {
                let one = &waiting[at];
                chosen[at] = one.funds.iter().position(|fund| *fund == Some(to))?;
                left[from] += one.cost;
                left[to] -= one.cost;
            }
        }
    }
    left.iter().all(|left| *left >= 0).then_some(chosen)
}

/// Up to two of each fund that change places, so that a sum between these two goes from the first to the second.
fn exchange(
    waiting: &[Waiting],
    chosen: &[usize],
    (from, to): (usize, usize),
    (least, most): (i64, i64),
) -> Option<(Vec<usize>, Vec<usize>)> {
    let of = |fund: usize, other: usize| {
        let movable = |at: &usize| {
            let one = &waiting[*at];
            one.funds[chosen[*at]] == Some(fund) && one.funds.contains(&Some(other))
        };
        sums(waiting, (0..waiting.len()).filter(movable).collect())
    };
    let (away, back) = (of(from, to), of(to, from));
    let mut at = 0;
    for (sum, members) in &away {
        // The greatest that may come back is the one after which just enough goes.
        while back.get(at + 1).is_some_and(|(returned, _)| sum - returned >= least) {
            at += 1;
        }
        let gone = sum - back.get(at)?.0;
        if gone >= least && gone <= most {
            return Some((members.clone(), back.get(at)?.1.clone()));
        }
    }
    None
}

/// What none, one or two of some come to, the least first; each sum once.
fn sums(waiting: &[Waiting], mut members: Vec<usize>) -> Vec<(i64, Vec<usize>)> {
    members.sort_by_key(|at| (waiting[*at].cost, *at));
    // Of those that cost the same two are enough.
    let mut kept: Vec<usize> = Vec::new();
    for at in members {
        let same = |back: usize| kept.len().checked_sub(back).is_some_and(|known| waiting[kept[known]].cost == waiting[at].cost);
        if !(same(1) && same(2)) {
            kept.push(at);
        }
    }
    let mut sums: Vec<(i64, usize, usize)> = vec![(0, usize::MAX, usize::MAX)];
    sums.extend(kept.iter().map(|at| (waiting[*at].cost, *at, usize::MAX)));
    'all: for (place, one) in kept.iter().enumerate() {
        for other in &kept[place + 1..] {
            if sums.len() >= MOST {
                break 'all;
            }
            sums.push((waiting[*one].cost + waiting[*other].cost, *one, *other));
        }
    }
    sums.sort_unstable();
    sums.dedup_by_key(|(sum, ..)| *sum);
    let members = |one: usize, other: usize| [one, other].into_iter().filter(|at| *at != usize::MAX).collect();
    sums.into_iter().map(|(sum, one, other)| (sum, members(one, other))).collect()
}
