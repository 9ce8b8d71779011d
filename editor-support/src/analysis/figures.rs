//! What each finding costs by itself, now and if left, over everything that an instrument can be.

use std::sync::Arc;

use purfle::judge::Judge;
use purfle::outcome::{Judged, Range, Sum};
use purfle::plan::Plan;
use purfle::record::Record;
use purfle_lang::book::{Book, FindingId, StepId};

/// One finding's figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its urgency, raises included.
    pub urgency: Range<StepId>,
    /// What it costs as the only job.
    pub cost: Sum,
    /// What it costs if left.
    pub left: Sum,
}

/// The figures of all findings of a book that can hold at all.
#[derive(Debug)]
pub struct Figures(Vec<Option<Figure>>);

impl Figures {
    /// Judges an instrument of which nothing is known: of each finding it says what it comes to if it holds.
    pub(super) fn of(book: &Arc<Book>) -> Option<Self> {
        let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
        judge.warm_up().ok()?;
        let outcome = judge.judge_in_full(&Record::default()).ok()?;
        let mut figures: Vec<Option<Figure>> = vec![None; book.findings.len()];
        for judged in outcome.findings.iter().chain(&outcome.not_ruled_out) {
            if let Some(slot) = figures.get_mut(judged.finding.index()) {
                *slot = Some(slot.take().map_or_else(|| figure(judged), |figure| wider(figure, judged)));
            }
        }
        Some(Self(figures))
    }

    /// A finding's figures; none where it can never hold.
    pub fn get(&self, finding: FindingId) -> Option<&Figure> {
        self.0.get(finding.index())?.as_ref()
    }
}

fn figure(judged: &Judged) -> Figure {
    Figure { urgency: judged.urgency, cost: judged.cost, left: judged.left }
}

/// Over all its places.
fn wider(figure: Figure, judged: &Judged) -> Figure {
    let sum = |one: Sum, other: Sum| Sum {
        from: one.from.min(other.from),
        to: one.to.max(other.to),
        exact: one.exact && other.exact,
        or_more: one.or_more || other.or_more,
        and_more: one.and_more || other.and_more,
    };
    Figure {
        urgency: Range { from: figure.urgency.from.min(judged.urgency.from), to: figure.urgency.to.max(judged.urgency.to) },
        cost: sum(figure.cost, judged.cost),
        left: sum(figure.left, judged.left),
    }
}
