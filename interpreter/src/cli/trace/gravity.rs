//! What makes a finding as grave as it is: the urgency line that won, those that did not, and raises.

use serde::Serialize;

use purfle_lang::book::StepId;

use super::view::{ChangeView, PlaceView, SignView, StepView, Teller, met_words};
use crate::report::plain;
use crate::trace::{Met, Trace, lifted};

/// What makes a finding as grave as it is.
#[derive(Serialize)]
pub struct GravityView {
    /// Its step at the least; none where it is clear.
    pub from: Option<StepView>,
    /// Its step at the most.
    pub to: Option<StepView>,
    /// Its urgency lines.
    pub lines: Vec<LineView>,
    /// Raises on its part.
    pub raises: Vec<RaiseView>,
}

/// An urgency line.
#[derive(Serialize)]
pub struct LineView {
    /// Its step.
    pub step: String,
    /// The whole line, as written.
    pub says: String,
    /// Where.
    pub written: Option<PlaceView>,
    /// Whether it counts wherever the finding holds: `met`, `not met` or `open`.
    pub counts: &'static str,
    /// Whether it is the one that the step comes from, for certain; `perhaps` where it may be.
    pub wins: &'static str,
    /// Its condition, with what came of it.
    pub condition: Option<SignView>,
}

/// A raise.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RaiseView {
    /// Its name.
    pub raise: String,
    /// Its words.
    pub words: String,
    /// By how many steps.
    pub by: u32,
    /// No higher than this step.
    pub cap: String,
    /// Where it is written.
    pub written: Option<PlaceView>,
    /// Whether it counts wherever the finding holds.
    pub counts: &'static str,
    /// The step to which it lifts the gravest line that surely counts; none where that is no higher.
    pub lifts_to: Option<String>,
    /// Its condition, with what came of it.
    pub condition: SignView,
    /// What house rulebooks changed of it.
    pub changes: Vec<ChangeView>,
}

/// What makes the finding of a trace as grave as it is.
pub fn gravity(teller: &Teller<'_>, trace: &Trace) -> GravityView {
    let book = teller.book;
    let step = |id: StepId| StepView { step: book[id].name.clone(), words: plain(&book[id].words).into_owned() };
    let judged = trace.short.judged.as_ref();
    let top = StepId::from_index(book.steps.len().saturating_sub(1));
    // The gravest that surely counts, and the gravest that may.
    let surely = trace.lines.iter().filter(|line| line.counts == Met::Met).map(|line| line.step).max();
    let possibly = trace.lines.iter().filter(|line| line.counts != Met::NotMet).map(|line| line.step).max();
    let lines = trace.lines.iter().map(|line| LineView {
        step: book[line.step].name.clone(),
        says: teller.written(line.span),
        written: teller.place(line.span),
        counts: met_words(line.counts),
        wins: match line.counts {
            Met::Met if Some(line.step) == possibly => "yes",
            Met::Met if Some(line.step) == surely => "perhaps",
            Met::Open if Some(line.step) > surely => "perhaps",
            _ => "no",
        },
        condition: line.when.as_ref().map(|when| teller.sign(when)),
    });
    let raises = trace.raises.iter().map(|raised| {
        let raise = &book[raised.raise];
        let from = surely.unwrap_or(StepId(0));
        let to = lifted(from, raise.by, raise.cap, top);
        RaiseView {
            raise: raise.name.clone(),
            words: plain(&raise.words).into_owned(),
            by: raise.by,
            cap: book[raise.cap].name.clone(),
            written: teller.place(raise.origin.span),
            counts: met_words(raised.counts),
            lifts_to: (to > from).then(|| book[to].name.clone()),
            condition: teller.sign(&raised.when),
            changes: teller.changes(&raise.origin.changes),
        }
    });
    GravityView {
        from: judged.map(|judged| step(judged.urgency.from)),
        to: judged.map(|judged| step(judged.urgency.to)),
        lines: lines.collect(),
        raises: raises.collect(),
    }
}
