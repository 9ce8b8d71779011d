//! What each finding costs by itself, now and if left, over everything that an instrument can be.

use std::sync::Arc;

use purfle_lang::book::{Book, FindingId, LookId, PlaceId, Places, RecordPath, StepId};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use crate::judge::Judge;
use crate::outcome::{Judged, Range, Sum};
use crate::plan::Plan;
use crate::record::Record;

/// The day of an inspection where one is needed: 2026-01-01. What costs hang on is hardly ever the date itself.
const SOME_DAY: i64 = 20_454;

/// One finding's figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Its urgency, raises included.
    pub urgency: Range<StepId>,
    /// What it costs as the only job.
    pub cost: Sum,
    /// What it costs if left.
    pub left: Sum,
    /// What each way of mending it costs, in the finding's order; none for a finding with one way.
    pub ways: Vec<Sum>,
    /// The expected extra if left, before the least charge; none unless every arrow of its chain has odds.
    pub extra: Option<Range<Number>>,
}

/// The figures of all findings of a book that can hold.
#[derive(Debug)]
pub struct Figures(Vec<Option<Figure>>);

impl Figures {
    /// The figures of a book; none where it cannot be judged by.
    pub fn of(book: &Arc<Book>) -> Option<Self> {
        let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
        judge.warm_up().ok()?;
        Some(Self::judged_by(&mut judge))
    }

    /// Judges an instrument of which nothing is known: of each finding it says what it comes to if it holds. Once as one
    /// that nobody has seen before, and once as one that was inspected before and is inspected on some day, for what is
    /// compared with either. By a book by which no instrument can be, no finding has figures.
    pub fn judged_by(judge: &mut Judge) -> Self {
        let again = seen_before(&judge.plan().book);
        let outcomes = [Record::default(), again].map(|record| judge.judge_in_full(&record).ok());
        let mut figures: Vec<Option<Figure>> = vec![None; judge.plan().book.findings.len()];
        for judged in outcomes.iter().flatten().flat_map(|outcome| outcome.findings.iter().chain(&outcome.not_ruled_out)) {
            if let Some(slot) = figures.get_mut(judged.finding.index()) {
                *slot = Some(slot.take().map_or_else(|| figure(judged), |figure| wider(figure, judged)));
            }
        }
        Self(figures)
    }

    /// A finding's figures; none where it does not hold for any such instrument.
    pub fn get(&self, finding: FindingId) -> Option<&Figure> {
        self.0.get(finding.index())?.as_ref()
    }
}

/// An instrument that was inspected before, whatever was read then.
fn seen_before(book: &Book) -> Record {
    let unknown = Arc::new(Saying::CouldNotTell);
    let mut record = Record { inspected_on: Some(SOME_DAY), ..Record::default() };
    for (at, look) in book.looks.iter().enumerate().filter(|(_, look)| look.dimension().is_some()) {
        let paths: Vec<RecordPath> = match &book[look.part].places {
            Places::Single => vec![RecordPath::Single],
            Places::Fixed(places) => (0..).take(places.len()).map(|at| RecordPath::Fixed(PlaceId(at))).collect(),
            Places::AsFound => vec![RecordPath::Found(1)],
        };
        record.last.extend(paths.into_iter().map(|path| (LookId::from_index(at), path, Arc::clone(&unknown))));
    }
    record
}

fn figure(judged: &Judged) -> Figure {
    Figure {
        urgency: judged.urgency,
        cost: judged.cost,
        left: judged.left,
        ways: judged.ways.clone(),
        extra: judged.expected_extra,
    }
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
        ways: figure.ways.into_iter().zip(&judged.ways).map(|(one, other)| sum(one, *other)).collect(),
        extra: figure
            .extra
            .zip(judged.expected_extra)
            .map(|(one, other)| Range { from: one.from.min(other.from), to: one.to.max(other.to) }),
    }
}
