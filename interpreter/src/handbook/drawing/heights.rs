//! How high each member of a column stands: as near as can be to what it is linked with, none over another.

use super::GAP;
use super::columns::{Columns, Stop};

/// How often the columns are gone over.
const ROUNDS: usize = 8;

/// The top of each member of each column; `tall` says how tall one is.
pub fn heights(columns: &Columns, tall: impl Fn(Stop) -> i32) -> Vec<Vec<i32>> {
    let tall: Vec<Vec<i32>> = columns.layers.iter().map(|layer| layer.iter().map(|stop| tall(*stop)).collect()).collect();
    let mut tops: Vec<Vec<i32>> = tall.iter().map(|layer| stacked(layer)).collect();
    let count = columns.layers.len();
    let links: Vec<Vec<(usize, usize)>> = (0..count.saturating_sub(1)).map(|layer| columns.links(layer)).collect();
    for round in 0..ROUNDS {
        let right = round % 2 == 0;
        let order: Vec<usize> = if right { (1..count).collect() } else { (0..count.saturating_sub(1)).rev().collect() };
        for layer in order {
            let beside = if right { layer - 1 } else { layer + 1 };
            let between = &links[layer.min(beside)];
            let wanted: Vec<Option<i32>> = (0..tops[layer].len())
                .map(|place| {
                    let its = between.iter().filter(|(one, other)| if right { *other == place } else { *one == place });
                    let middles: Vec<i32> = its
                        .map(|(one, other)| if right { *one } else { *other })
                        .map(|other| tops[beside][other] + tall[beside][other] / 2)
                        .collect();
                    let count = i32::try_from(middles.len()).unwrap_or(1);
                    (count > 0).then(|| middles.iter().sum::<i32>() / count - tall[layer][place] / 2)
                })
                .collect();
            place(&mut tops[layer], &tall[layer], &wanted);
        }
    }
    let highest = tops.iter().flatten().min().copied().unwrap_or_default();
    for top in tops.iter_mut().flatten() {
        // The words beside the topmost arrow may stand a little higher than its box.
        *top += 6 - highest;
    }
    tops
}

/// One below the other.
fn stacked(tall: &[i32]) -> Vec<i32> {
    tall.iter()
        .scan(0, |next, tall| {
            let top = *next;
            *next += tall + GAP;
            Some(top)
        })
        .collect()
}

/// Moves each to where it wants to be, in the order there is; those that would stand over each other share the room that
/// they want together.
fn place(tops: &mut [i32], tall: &[i32], wanted: &[Option<i32>]) {
    // Members that touch are one group, which stands where its members want it on average.
    let mut groups: Vec<(usize, i64, i64)> = Vec::new();
    let offset = |first: usize, at: usize| tall[first..at].iter().map(|tall| i64::from(tall + GAP)).sum::<i64>();
    for at in 0..tops.len() {
        let wish = i64::from(wanted[at].unwrap_or(tops[at]));
        groups.push((at, wish, 1));
        while let [.., (first, sum, count), (next, next_sum, next_count)] = groups.as_slice() {
            let (first, next) = (*first, *next);
            let top = sum.div_euclid(*count);
            if top + offset(first, next) <= next_sum.div_euclid(*next_count) {
                break;
            }
            let shift = offset(first, next) * next_count;
            let joined = (first, sum + next_sum - shift, count + next_count);
            groups.truncate(groups.len() - 2);
            groups.push(joined);
        }
    }
    for (at, (first, sum, count)) in groups.iter().enumerate() {
        let end = groups.get(at + 1).map_or(tops.len(), |(next, ..)| *next);
        for (member, place) in tops.iter_mut().enumerate().take(end).skip(*first) {
            let top = sum.div_euclid(*count) + offset(*first, member);
            *place = i32::try_from(top).unwrap_or_default();
        }
    }
}
