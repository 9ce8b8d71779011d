//! What of a record's outcome past records are counted by.

use purfle_lang::book::{AidWord, CounselId, FindingId, HandId, PartId, PlayedWord, StateWord, StepId, TierId};
use purfle_lang::number::Number;

use super::at_of;
use super::contexts::{Contexts, Working};
use super::figures::Figures;
use super::intake::Seen;
use super::last::Last;
use super::next::Gathered;
use super::report::Whole;
use crate::outcome::{At, Outcome, Range, Sum};

/// What past records are counted by; each figure as the whole outcome has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Brief {
    /// Urgency over the cases.
    pub urgency: Range<StepId>,
    /// Whether the instrument may be played.
    pub played: PlayedWord,
    /// The most skilled hands needed; none where nothing is to be done.
    pub hands: Range<Option<HandId>>,
    /// Pieces that stand apart and may not, or perhaps not, be used.
    pub apart: Vec<(PartId, PlayedWord)>,
    /// By which day, earliest and latest.
    pub due: Range<Option<i64>>,
    /// When to look again.
    pub again: Option<i64>,
    /// What it costs now.
    pub cost: Sum,
    /// What it costs if left.
    pub left: Sum,
    /// The tiers of both.
    pub tiers: [Range<TierId>; 2],
    /// Counsels that are met or open, in the book's order.
    pub counsels: Vec<(CounselId, StateWord)>,
    /// What each fund says, in the book's order, and what it pays: for certain, and at the most.
    pub funds: Vec<(AidWord, Range<Number>)>,
    /// Every finding that holds in some case, at its place, in the book's order.
    pub findings: Vec<Line>,
    /// Whether every figure is reached by some case, and not only enclosed.
    pub exact: bool,
}

/// A finding at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// Which.
    pub finding: FindingId,
    /// Where.
    pub at: At,
    /// `Found`, `Suspected` or `Open` (not ruled out).
    pub state: StateWord,
    /// Its urgency, raises included, over the cases in which it holds.
    pub urgency: Range<StepId>,
}

impl Brief {
    /// What of a whole outcome past records are counted by.
    pub fn of(outcome: &Outcome) -> Self {
        let line = |judged: &crate::outcome::Judged| Line {
            finding: judged.finding,
            at: judged.at,
            state: judged.state,
            urgency: judged.urgency,
        };
        let mut findings: Vec<Line> = outcome.findings.iter().chain(&outcome.not_ruled_out).map(line).collect();
        findings.sort_by_key(|line| (line.finding, line.at));
        Self {
            urgency: outcome.urgency,
            played: outcome.played,
            hands: outcome.hands,
            apart: outcome.apart.clone(),
            due: outcome.due,
            again: outcome.again,
            cost: outcome.cost,
            left: outcome.left,
            tiers: [outcome.tier, outcome.left_tier],
            counsels: outcome.counsel.clone(),
            funds: outcome.aid.iter().map(|aid| (aid.state, aid.pays)).collect(),
            findings,
            exact: outcome.urgency_exact
                && outcome.cost.exact
                && outcome.left.exact
                && outcome.aid.iter().all(|aid| aid.exact || aid.state == AidWord::Open),
        }
    }
}

impl Working<'_> {
    /// All that was gathered of a record, in brief.
    pub(super) fn in_brief(&self, seen: &Seen, contexts: &Contexts, figures: Figures, last: Last) -> Brief {
        let ground = self.bench.ground(seen);
        let book = self.bench.book;
        let step = |step: u8| StepId(step.into());
        let counsels = last.told();
        let funds = last.funds(ground, figures.exact, &mut Gathered::default());
        let mut findings: Vec<Line> = Vec::new();
        let mut unnamed_work: Vec<PartId> = Vec::new();
        self.each_possible(seen, contexts, |_, instance, over, state| {
            let at = at_of(ground, book[instance.finding].on, instance.spot);
            if at == At::Unnamed && instance.has_work() {
                unnamed_work.push(book[instance.finding].on);
            }
            let urgency = Range { from: step(over.urgency.0), to: step(over.urgency.1) };
            // Places that nobody has named are all alike: the first stands for them, with the widest figures.
            let same = |line: &&mut Line| at == At::Unnamed && line.at == at && line.finding == instance.finding;
            match findings.iter_mut().find(same) {
                Some(first) => {
                    first.urgency = Range { from: first.urgency.from.min(urgency.from), to: first.urgency.to.max(urgency.to) };
                }
                None => findings.push(Line { finding: instance.finding, at, state, urgency }),
            }
        });
        findings.sort_by_key(|line| (line.finding, line.at));
        let Whole { urgency, played, apart, hands, cost, left, tier, left_tier, due } = self.whole(seen, &figures, &unnamed_work);
        let found = findings.iter().filter(|line| line.state == StateWord::Found);
        Brief {
            urgency,
            played,
            hands,
            apart,
            due,
            again: self.again(seen, found.map(|line| line.finding)),
            exact: figures.exact
                && cost.exact
                && left.exact
                && funds.iter().all(|fund| fund.exact || fund.state == AidWord::Open),
            cost,
            left,
            tiers: [tier, left_tier],
            counsels,
            funds: funds.into_iter().map(|fund| (fund.state, fund.pays)).collect(),
            findings,
        }
    }
}
