//! The smallest of the sets that suffice for something, where whatever holds a sufficient set suffices.
//!
//! Each set that does not suffice, grown as far as it goes, leaves out what every sufficient set has something of. The
//! smallest set that has something of everything so left out is tried next; the first that suffices is a smallest one,
//! since no smaller set meets what all of them must. (Reasons and contrasts meet each other: A. Ignatiev and others,
//! From Contrastive to Abductive Explanations and Back Again, 2020; from memory.)

/// A smallest set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Smallest {
    /// Its members, by number, in order.
    pub members: Vec<usize>,
    /// Whether it is surely a smallest one: the search was not given up.
    pub surely: bool,
}

/// A smallest subset of `count` things that suffices, the first ones preferred; all of them suffice. `suffices` answers
/// for a choice of them, or not at all where the search is to be given up.
pub fn smallest(count: usize, mut suffices: impl FnMut(&[bool]) -> Option<bool>) -> Smallest {
    let mut left_out: Vec<Vec<usize>> = Vec::new();
    loop {
        let members = hitting(&left_out, count);
        let mut chosen = vec![false; count];
        members.iter().for_each(|member| chosen[*member] = true);
        match suffices(&chosen) {
            Some(true) => return Smallest { members, surely: true },
            Some(false) => {}
            None => break,
        }
        match grown(chosen, &mut suffices) {
            Some(grown) => left_out.push((0..count).filter(|member| !grown[*member]).collect()),
            None => break,
        }
    }
    let members = lessened(count, &mut suffices);
    Smallest { members, surely: false }
}

/// A set that does not suffice with all that can be added so that it still does not, the last things first.
fn grown(mut chosen: Vec<bool>, suffices: &mut impl FnMut(&[bool]) -> Option<bool>) -> Option<Vec<bool>> {
    for member in (0..chosen.len()).rev() {
        if !chosen[member] {
            chosen[member] = true;
            chosen[member] = !suffices(&chosen)?;
        }
    }
    Some(chosen)
}

/// All but what can be left out one by one, for as long as anything is answered.
fn lessened(count: usize, suffices: &mut impl FnMut(&[bool]) -> Option<bool>) -> Vec<usize> {
    let mut chosen = vec![true; count];
    for member in (0..count).rev() {
        chosen[member] = false;
        chosen[member] = suffices(&chosen) != Some(true);
    }
    (0..count).filter(|member| chosen[*member]).collect()
}

/// A smallest set that has something of each of these; of several the one with the first things.
fn hitting(sets: &[Vec<usize>], count: usize) -> Vec<usize> {
    for most in 0..=count {
        let mut members = Vec::new();
        if hit(sets, most, &mut members) {
            members.sort_unstable();
            return members;
        }
    }
    (0..count).collect()
}

fn hit(sets: &[Vec<usize>], most: usize, members: &mut Vec<usize>) -> bool {
    let missed = sets.iter().filter(|set| !set.iter().any(|one| members.contains(one))).min_by_key(|set| set.len());
    let Some(missed) = missed else { return true };
    if members.len() == most {
        return false;
    }
    for &one in missed {
        members.push(one);
        if hit(sets, most, members) {
            return true;
        }
        members.pop();
    }
    false
}

#[cfg(test)]
mod tests {
    use super::{Smallest, smallest};

    #[test]
    fn no_smaller_set_suffices() {
        // Every family of sets over four things, a bit each, of which one must be held whole.
        for family in 1_u32..1 << 10 {
            let ways: Vec<u32> =
                (0..10).filter(|at| family >> at & 1 == 1).map(|at| (at * 7 + 3) % 16).filter(|way| *way > 0).collect();
            if ways.is_empty() {
                continue;
            }
            let least = ways.iter().map(|way| way.count_ones()).min().expect("a way");
            let suffices = |chosen: &[bool]| {
                let bits = (0..4).fold(0, |bits, at| bits | u32::from(chosen[at]) << at);
                Some(ways.iter().any(|way| way & bits == *way))
            };
            let Smallest { members, surely } = smallest(4, suffices);
            assert_eq!((members.len() as u32, surely), (least, true), "{ways:?}: {members:?}");
            let bits = members.iter().fold(0, |bits, at| bits | 1_u32 << at);
            assert!(ways.iter().any(|way| way & bits == *way), "{ways:?}: {members:?}");
        }
    }

    #[test]
    fn what_is_given_up_still_suffices() {
        let mut left = 5;
        let found = smallest(6, |chosen| {
            left -= 1;
            (left > 0).then(|| chosen[2] && chosen[4])
        });
        assert!(!found.surely);
        assert!(found.members.contains(&2) && found.members.contains(&4), "{found:?}");
        assert_eq!(smallest(3, |_| Some(true)), Smallest { members: vec![], surely: true });
    }
}
