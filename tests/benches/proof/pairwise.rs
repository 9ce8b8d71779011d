//! The plain check, rule against rule: what one would write first.

use purfle_lang::search::{Region, Space};

/// How many pairs have a case in common.
pub fn overlaps(boxes: &[Region]) -> u64 {
    let mut pairs = 0;
    for (at, one) in boxes.iter().enumerate() {
        pairs += boxes[at + 1..].iter().filter(|two| one.meets(two)).count() as u64;
    }
    pairs
}

/// Which rules lie wholly in a single other one of those that `shadows` says. Rules that only several others cover
/// together stay hidden from it.
pub fn shadowed(space: &Space, boxes: &[Region], shadows: impl Fn(usize, usize) -> bool) -> Vec<bool> {
    let covers = |one: usize, two: usize| shadows(one, two) && boxes[one].lies_in(&boxes[two], space);
    (0..boxes.len()).map(|one| (0..boxes.len()).any(|two| covers(one, two))).collect()
}
