//! What of a record's outcome past records are counted by.

use purfle_lang::book::{AidWord, FindingId, HandId, PlayedWord, StateWord, StepId};
use purfle_lang::number::Number;

use super::at_of;
use super::contexts::{Contexts, Working};
use super::figures::Figures;
use super::fold::Total;
use super::intake::Seen;
use super::last::Last;
use super::next::Gathered;
use super::price::money;
use super::report::played;
use crate::outcome::{At, Outcome, Range};

/// What past records are counted by; each figure as the whole outcome has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Brief {
    /// Urgency over the cases.
    pub urgency: Range<StepId>,
    /// Whether the instrument may be played.
    pub played: PlayedWord,
    /// The most skilled hands needed; none where nothing is to be done.
    pub hands: Range<Option<HandId>>,
    /// What it costs now, exact fractions of the major unit.
    pub cost: Range<Number>,
    /// What it costs if left.
    pub left: Range<Number>,
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
            cost: Range { from: outcome.cost.from, to: outcome.cost.to },
            left: Range { from: outcome.left.from, to: outcome.left.to },
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
        let hand = |hand: u8| hand.checked_sub(1).map(|hand| HandId(hand.into()));
        let sum =
            |(low, high): (Total, Total)| Range { from: money(low.sum, self.bench.scale), to: money(high.sum, self.bench.scale) };
        let mut exact = figures.exact;
        exact &= [figures.now.0, figures.now.1, figures.left.0, figures.left.1].iter().all(|total| total.exact);
        let funds = last.funds(ground, figures.exact, &mut Gathered::default());
        exact &= funds.iter().all(|fund| fund.exact || fund.state == AidWord::Open);
        let mut findings: Vec<Line> = Vec::new();
        self.each_possible(seen, contexts, |_, instance, over, state| {
            let at = at_of(ground, book[instance.finding].on, instance.spot);
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
        Brief {
            urgency: Range { from: step(figures.urgency.0), to: step(figures.urgency.1) },
            played: played(figures.played.0, figures.played.1),
            hands: Range { from: hand(figures.hands.0), to: hand(figures.hands.1) },
            cost: sum(figures.now),
            left: sum(figures.left),
            funds: funds.into_iter().map(|fund| (fund.state, fund.pays)).collect(),
            findings,
            exact,
        }
    }
}
