//! Judges by which one finding is mended in another way: the rulebook with that way put first, so that its total, the
//! fund's share and its limits are worked out as for any rulebook.

use std::sync::{Arc, Mutex, PoisonError};

use purfle_lang::book::{AidWord, FindingId};
use rustc_hash::FxHashMap;

use crate::judge::Judge;
use crate::outcome::{Outcome, Unaided};
use crate::plan::Plan;

/// A finding, and which of its ways is put first.
pub type OtherWay = (FindingId, usize);

/// The plans made so far, shared by all workers.
#[derive(Default)]
pub struct Ways {
    made: Mutex<FxHashMap<OtherWay, Judge>>,
}

/// One worker's judges.
pub struct WayJudges<'a> {
    plan: Arc<Plan>,
    shared: &'a Ways,
    own: FxHashMap<OtherWay, Judge>,
}

impl Ways {
    /// Judges for a worker.
    pub fn judges(&self, plan: Arc<Plan>) -> WayJudges<'_> {
        WayJudges { plan, shared: self, own: FxHashMap::default() }
    }
}

impl WayJudges<'_> {
    /// The judge of a way.
    pub fn of(&mut self, way: OtherWay) -> &mut Judge {
        let Self { plan, shared, own } = self;
        own.entry(way).or_insert_with(|| {
            let mut made = shared.made.lock().unwrap_or_else(PoisonError::into_inner);
            made.entry(way).or_insert_with(|| Judge::new(Arc::new(with_first(plan, way)))).another()
        })
    }
}

/// The plan with one way put first.
fn with_first(plan: &Plan, (finding, way): OtherWay) -> Plan {
    let mut book = (*plan.book).clone();
    if let Some(ways) = book.findings.get_mut(finding.index()).and_then(|finding| finding.ways.get_mut(..=way)) {
        ways.rotate_right(1);
    }
    Plan::new(Arc::new(book))
}

/// The other ways that an instrument has: those of findings that are found or suspected, one finding at a time. None
/// where the shop has named its price, which is the price of what it would do, and none where the funds are not for this
/// instrument, whatever is done to it.
pub fn other_ways(plan: &Plan, outcome: &Outcome) -> Vec<OtherWay> {
    let never = |why: Option<Unaided>| matches!(why, Some(Unaided::NotForThese | Unaided::Denied));
    if outcome.quoted.is_some() || outcome.aid.iter().all(|aid| aid.state == AidWord::Refused && never(aid.why)) {
        return Vec::new();
    }
    let mut ways: Vec<OtherWay> = Vec::new();
    for judged in &outcome.findings {
        let others = 1..plan.book[judged.finding].ways.len();
        if judged.yields_to.is_none() && !ways.iter().any(|(finding, _)| *finding == judged.finding) {
            ways.extend(others.map(|way| (judged.finding, way)));
        }
    }
    ways
}
