//! Which of two plans that are as good as each other comes first.

use std::cmp::Ordering;

use super::group::Group;

/// Where two ways to share out one group first differ, as the member's place, and which way gives that member what is
/// preferred. Of members alike the first get what is preferred, so the way with more of the first choice in which they
/// differ comes first.
pub fn first_difference<const D: usize>(group: &Group<D>, one: &[u32], other: &[u32]) -> Option<(usize, Ordering)> {
    let mut before = 0;
    for (a, b) in one.iter().zip(other) {
        if a != b {
            let at = (before + a.min(b)) as usize;
            return group.members.get(at).map(|member| (*member, b.cmp(a)));
        }
        before += a;
    }
    None
}

/// Which comes first, from where each of several groups first differs.
pub fn decide(differences: impl Iterator<Item = (usize, Ordering)>) -> Ordering {
    differences.min_by_key(|(member, _)| *member).map_or(Ordering::Equal, |(_, order)| order)
}
