//! Judges by which findings are mended in another way: the rulebook with these ways put first, so that its total, the fund's
//! share and its limits are worked out as for any rulebook.

use std::sync::{Arc, Mutex, PoisonError};

use purfle_lang::book::{AidWord, FindingId};
use rustc_hash::FxHashMap;

use crate::judge::Judge;
use crate::outcome::{Outcome, Unaided};
use crate::plan::Plan;

/// A finding, and which of its ways is put first.
pub type OtherWay = (FindingId, usize);

/// The most ways to mend one instrument that are weighed, the textbook's among them.
pub const MOST_WAYS: usize = 48;

/// The plans made so far, shared by all workers.
#[derive(Default)]
pub struct Ways {
    made: Mutex<FxHashMap<Vec<OtherWay>, Judge>>,
}

/// One worker's judges.
pub struct WayJudges<'a> {
    plan: Arc<Plan>,
    shared: &'a Ways,
    own: FxHashMap<Vec<OtherWay>, Judge>,
}

impl Ways {
    /// Judges for a worker.
    pub fn judges(&self, plan: Arc<Plan>) -> WayJudges<'_> {
        WayJudges { plan, shared: self, own: FxHashMap::default() }
    }
}

impl WayJudges<'_> {
    /// The judge by which these findings are mended so.
    pub fn of(&mut self, ways: &[OtherWay]) -> &mut Judge {
        let Self { plan, shared, own } = self;
        own.entry(ways.to_vec()).or_insert_with(|| {
            let mut made = shared.made.lock().unwrap_or_else(PoisonError::into_inner);
            made.entry(ways.to_vec()).or_insert_with(|| Judge::new(Arc::new(with_first(plan, ways)))).another()
        })
    }
}

/// The plan with some ways put first.
fn with_first(plan: &Plan, ways: &[OtherWay]) -> Plan {
    let mut book = (*plan.book).clone();
    for (finding, way) in ways {
        if let Some(ways) = book.findings.get_mut(finding.index()).and_then(|finding| finding.ways.get_mut(..=*way)) {
            ways.rotate_right(1);
        }
    }
    Plan::new(Arc::new(book))
}

/// The other ways to mend an instrument.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct OtherWays {
    /// Each as the findings that are mended otherwise: one by itself first, then two together, and so on.
    pub sets: Vec<Vec<OtherWay>>,
    /// Whether there are more than are weighed.
    pub cut: bool,
}

/// The other ways that an instrument has: those of findings that are found or suspected, and all of them with one another.
/// None where the shop has named its price, which is the price of what it would do, and none where the funds are not for this
/// instrument, whatever is done to it.
pub fn other_ways(plan: &Plan, outcome: &Outcome) -> OtherWays {
    let never = |why: Option<Unaided>| matches!(why, Some(Unaided::NotForThese | Unaided::Denied));
    if outcome.quoted.is_some() || outcome.aid.iter().all(|aid| aid.state == AidWord::Refused && never(aid.why)) {
        return OtherWays::default();
    }
    let mut several: Vec<(FindingId, usize)> = Vec::new();
    for judged in &outcome.findings {
        let ways = plan.book[judged.finding].ways.len();
        if ways > 1 && judged.yields_to.is_none() && !several.iter().any(|(finding, _)| *finding == judged.finding) {
            several.push((judged.finding, ways));
        }
    }
    together(&several, MOST_WAYS - 1)
}

/// All sets of other ways, at most so many, of findings with so many ways each.
fn together(several: &[(FindingId, usize)], most: usize) -> OtherWays {
    let mut sets: Vec<Vec<OtherWay>> = vec![Vec::new()];
    // A set grows by findings that come after its last, so that each is met once, and the smaller ones first.
    let mut at = 0;
    while let Some(set) = sets.get(at).cloned() {
        let last = set.last().and_then(|(finding, _)| several.iter().position(|(known, _)| known == finding));
        for (finding, ways) in several.iter().skip(last.map_or(0, |last| last + 1)) {
            for way in 1..*ways {
                if sets.len() > most {
                    sets.remove(0);
                    return OtherWays { sets, cut: true };
                }
                sets.push(set.iter().copied().chain([(*finding, way)]).collect());
            }
        }
        at += 1;
    }
    sets.remove(0);
    OtherWays { sets, cut: false }
}

#[cfg(test)]
mod tests {
    use purfle_lang::book::FindingId;

    use super::together;

    #[test]
    fn ways_are_taken_one_by_one_and_then_together() {
        let [one, other, third] = [0, 1, 2].map(FindingId::from_index);
        let ways = together(&[(one, 3), (other, 2)], 9);
        assert_eq!(
            ways.sets,
            [vec![(one, 1)], vec![(one, 2)], vec![(other, 1)], vec![(one, 1), (other, 1)], vec![(one, 2), (other, 1)]]
        );
        assert!(!ways.cut);
        assert_eq!(together(&[], 9).sets, Vec::<Vec<_>>::new());
        let three = [(one, 2), (other, 2), (third, 2)];
        assert_eq!(together(&three, 7).sets.len(), 7);
        assert!(!together(&three, 7).cut, "each of three mended so or so, less the textbook, is seven");
        assert_eq!(together(&three, 7).sets[6], [(one, 1), (other, 1), (third, 1)]);
        let cut = together(&three, 4);
        assert_eq!((cut.sets.len(), cut.cut), (4, true));
    }
}
