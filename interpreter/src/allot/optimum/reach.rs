//! Which sums those who still wait can come to in a fund. Sums that could be split tell whether there is room enough; where a
//! fund is nearly full they do not tell whether it can be filled, as by fourpence where everything costs fivepence.

use num_integer::Integer;

use super::evening::Waiting;

/// Up to how many times the common divisor of all costs sums are told apart.
const SUMS: usize = 1 << 16;

/// How many numbers of 64 bits may be kept in all.
const MOST: usize = 1 << 23;

/// The most kinds of those who wait, by the funds that can pay them.
const KINDS: usize = 5;

/// For each place from which on they wait, the sums of those of some kinds.
pub struct Reach {
    /// What all costs are multiples of.
    unit: i64,
    funds: usize,
    words: usize,
    /// The funds that can pay each kind, as bits; a fund without a limit is one bit beyond them.
    kinds: Vec<usize>,
    sums: Vec<Vec<u64>>,
    places: Vec<Place>,
}

/// What waits from one place on.
struct Place {
    /// For each set of kinds where their sums are.
    sums: Vec<usize>,
    /// What each kind comes to in all.
    all: Vec<i64>,
    /// What the cheapest costs that each fund can pay.
    cheapest: Vec<i64>,
}

impl Reach {
    /// The sums of those waiting; none where there are too many kinds of them.
    pub fn of(waiting: &[Waiting], funds: usize) -> Option<Self> {
        let kind = |one: &Waiting| one.funds.iter().fold(0, |kind: usize, fund| kind | 1 << fund.unwrap_or(funds));
        let mut kinds: Vec<usize> = waiting.iter().map(kind).collect();
        kinds.sort_unstable();
        kinds.dedup();
        if kinds.len() > KINDS {
            return None;
        }
        let unit = waiting.iter().fold(0, |unit: i64, one| unit.gcd(&one.cost)).max(1);
        let words = (SUMS / 64).min(MOST / (waiting.len() << kinds.len()).max(1)).max(1);
        let mut nothing = vec![0; words];
        nothing[0] = 1;
        let mut sums = vec![nothing];
        let nobody = Place { sums: vec![0; 1 << kinds.len()], all: vec![0; kinds.len()], cheapest: vec![i64::MAX; funds] };
        let mut places = vec![nobody];
        for one in waiting.iter().rev() {
            let of = kinds.iter().position(|known| *known == kind(one))?;
            let after = places.last()?;
            let mut here = Place { sums: after.sums.clone(), all: after.all.clone(), cheapest: after.cheapest.clone() };
            here.all[of] += one.cost;
            for fund in one.funds.iter().copied().flatten() {
                here.cheapest[fund] = here.cheapest[fund].min(one.cost);
            }
            for (_, known) in here.sums.iter_mut().enumerate().filter(|(set, _)| set >> of & 1 == 1) {
                if let Some(more) = with(&sums[*known], (one.cost / unit) as usize) {
                    *known = sums.len();
                    sums.push(more);
                }
            }
            places.push(here);
        }
        places.reverse();
        Some(Self { unit, funds, words, kinds, sums, places })
    }

    /// Whether those from a place on can fill what is left in the funds as far as they must. Funds that are too full for
    /// anybody are left as they are; what all others can pay has to come to just so much in every set of them.
    pub fn fills(&self, from: usize, left: &[i64]) -> bool {
        let place = &self.places[from];
        let is_open = |fund: &usize| left[*fund] >= place.cheapest[*fund];
        let open = (0..self.funds).filter(is_open).fold(1 << self.funds, |set: usize, fund| set | 1 << fund);
        let waits = |kind: &usize| place.all[*kind] > 0;
        let waiting: Vec<usize> = (0..self.kinds.len()).filter(waits).collect();
        if waiting.iter().any(|kind| self.kinds[*kind] & open == 0) {
            return false;
        }
        // For each set of open funds what it has left beside what only it can pay.
        let sets: Vec<(usize, i64)> = (0..1_usize << self.funds)
            .filter(|set| set & !open == 0)
            .map(|set| {
                let held = (0..self.funds).filter(|fund| set >> fund & 1 == 1);
                let held = held.fold(0, |sum: i64, fund| sum.saturating_add(left[fund]));
                let owed = waiting.iter().filter(|kind| self.kinds[**kind] & open & !set == 0).map(|kind| place.all[*kind]);
                (set, held - owed.sum::<i64>())
            })
            .collect();
        sets.iter().all(|(set, spare)| {
            // What a set has left in the end, every wider one has left as well.
            let wider = sets.iter().filter(|(wider, _)| wider & set == *set).map(|(_, spare)| *spare);
            let both = waiting.iter().filter(|kind| self.kinds[**kind] & set != 0 && self.kinds[**kind] & open & !set != 0);
            let both = both.fold(0, |set: usize, kind| set | 1 << kind);
            *spare >= 0 && self.comes_to(place.sums[both], spare - wider.min().unwrap_or(0), *spare)
        })
    }

    /// Whether a sum between these two is among some; yes where they are too large to tell.
    fn comes_to(&self, sums: usize, least: i64, most: i64) -> bool {
        let least = Integer::div_ceil(&least.max(0), &self.unit) as usize;
        let most = (most / self.unit) as usize;
        most >= self.words * 64 || (least..=most).any(|sum| self.sums[sums][sum / 64] >> (sum % 64) & 1 == 1)
    }
}

/// Sums, and all of them with so much more; those that become too large are left out. None where nothing is new.
fn with(sums: &[u64], more: usize) -> Option<Vec<u64>> {
    let (words, bits) = (more / 64, more % 64);
    let mut together = sums.to_vec();
    let mut new = 0;
    for (at, word) in together.iter_mut().enumerate().skip(words) {
        let from = at - words;
        let carried = if bits == 0 || from == 0 { 0 } else { sums[from - 1] >> (64 - bits) };
        let moved = sums[from] << bits | carried;
        new |= moved & !*word;
        *word |= moved;
    }
    (new != 0).then_some(together)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chance::Chance;

    /// Whether all of them can be paid, by every way of handing them out.
    fn can_be_paid(waiting: &[Waiting], left: &mut [i64]) -> bool {
        let Some((one, rest)) = waiting.split_first() else { return true };
        one.funds.iter().any(|fund| match fund {
            None => can_be_paid(rest, left),
            Some(fund) if left[*fund] >= one.cost => {
                left[*fund] -= one.cost;
                let can = can_be_paid(rest, left);
                left[*fund] += one.cost;
                can
            }
            Some(_) => false,
        })
    }

    #[test]
    fn what_cannot_be_filled_cannot_be_handed_out() {
        let mut chance = Chance(7);
        let (mut refused, mut impossible) = (0, 0);
        for _ in 0..4_000 {
            let funds = 1 + chance.below(3) as usize;
            let unit = [1, 5, 20][chance.below(3) as usize];
            let waiting: Vec<Waiting> = (0..1 + chance.below(6) as usize)
                .map(|member| {
                    let mut of: Vec<Option<usize>> = (0..funds).filter(|_| chance.below(2) == 0).map(Some).collect();
                    if of.is_empty() || chance.below(8) == 0 {
                        of.push(None);
                    }
                    Waiting { member, cost: (1 + chance.below(4) as i64) * unit, funds: of }
                })
                .collect();
            let mut left: Vec<i64> = (0..funds).map(|_| chance.below(5 * unit as u64) as i64 * 2).collect();
            let Some(reach) = Reach::of(&waiting, funds) else { continue };
            for from in 0..=waiting.len() {
                let can = can_be_paid(&waiting[from..], &mut left);
                let fills = reach.fills(from, &left);
                assert!(fills || !can, "{waiting:?} from {from} with {left:?}");
                impossible += usize::from(!can);
                refused += usize::from(!fills);
            }
        }
        // Most of what is impossible is seen to be.
        assert!(impossible > 1_000 && refused * 10 > impossible * 9, "{refused} of {impossible}");
    }

    #[test]
    fn a_fund_that_cannot_be_filled_to_the_cent_is_seen() {
        // Both have room for all of it together, and neither for a whole share: 4 of 5 each time.
        let waiting = vec![Waiting { member: 0, cost: 5, funds: vec![Some(0), Some(1)] }];
        let reach = Reach::of(&waiting, 2).expect("few kinds");
        assert!(!reach.fills(0, &[4, 4]));
        assert!(reach.fills(0, &[4, 5]));
        assert!(reach.fills(1, &[4, 4]));
    }
}
