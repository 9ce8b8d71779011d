//! The best plan for a batch and a budget, and what follows from it.

use purfle_lang::book::{Book, StepId};

use super::budget::Budget;
use super::further::{Further, further};
use super::gather::Batch;
use super::instrument::Instrument;
use super::optimum::{Allotment, Candidate, Choice, Effort, NoPlan, Purses, best};
use super::orders::{Order, orders};

/// A plan for a batch.
pub struct Allotted {
    /// The instruments that have offers, as places in the batch, by record: the order in which ties are broken.
    pub candidates: Vec<usize>,
    /// What each of them is given: the place of its offer.
    pub plan: Allotment,
    /// What the plan comes to.
    pub total: Total,
    /// What more money would buy.
    pub further: Further,
    /// What other orders would have come to.
    pub orders: Vec<Order>,
}

/// What a plan comes to, in the minor unit.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Total {
    /// How many are helped at each step, gravest first.
    pub helped: Vec<usize>,
    /// What is reserved.
    pub reserved: i64,
    /// What is needed at the least.
    pub likely: i64,
    /// What is saved.
    pub saving: i64,
}

impl Total {
    /// What offers come to that are given to some instruments.
    pub fn of<'a>(steps: &[StepId], given: impl Iterator<Item = (&'a Instrument, usize)>) -> Self {
        let mut total = Self { helped: vec![0; steps.len()], ..Self::default() };
        for (instrument, offer) in given {
            let Some(offer) = instrument.offers.get(offer) else { continue };
            if let Some(helped) = steps.iter().position(|step| *step == instrument.urgency) {
                total.helped[helped] += 1;
            }
            total.reserved += offer.reserved;
            total.likely += offer.likely;
            total.saving = total.saving.saturating_add(offer.saving);
        }
        total
    }

    /// How many are helped in all.
    pub fn all(&self) -> usize {
        self.helped.iter().sum()
    }
}

/// A batch as the optimum sees it.
pub struct Question<'a> {
    /// The batch.
    pub batch: &'a Batch,
    /// The places of instruments with offers, by record.
    pub places: Vec<usize>,
    /// The same as candidates.
    pub candidates: Vec<Candidate>,
}

impl<'a> Question<'a> {
    fn of(batch: &'a Batch) -> Self {
        let instruments = &batch.instruments;
        let mut places: Vec<usize> = (0..instruments.len()).filter(|at| !instruments[*at].offers.is_empty()).collect();
        places.sort_by(|a, b| instruments[*a].record.cmp(&instruments[*b].record).then(a.cmp(b)));
        let step = |instrument: &Instrument| batch.steps.iter().position(|step| *step == instrument.urgency).unwrap_or(0);
        let choices = |instrument: &Instrument| {
            let offers = instrument.offers.iter();
            offers.map(|offer| Choice { fund: offer.aid.index(), cost: offer.reserved, saving: offer.saving }).collect()
        };
        let candidate = |at: &usize| Candidate { step: step(&instruments[*at]), choices: choices(&instruments[*at]) };
        let candidates = places.iter().map(candidate).collect();
        Self { batch, places, candidates }
    }

    /// The best plan within some purses.
    pub fn best(&self, purses: &Purses, effort: Effort) -> Result<Allotment, NoPlan> {
        best(&self.candidates, purses, effort)
    }

    /// What a plan comes to.
    pub fn total(&self, plan: &Allotment) -> Total {
        Total::of(&self.batch.steps, self.given(plan))
    }

    /// The instruments that a plan helps, and by which offer.
    pub fn given<'b>(&'b self, plan: &'b Allotment) -> impl Iterator<Item = (&'b Instrument, usize)> {
        let taken = self.places.iter().zip(&plan.taken);
        taken.filter_map(|(at, taken)| Some((self.batch.instruments.get(*at)?, (*taken)?)))
    }
}

/// Shares a budget out over a batch.
pub fn allot(book: &Book, batch: &Batch, budget: &Budget) -> Result<Allotted, NoPlan> {
    let question = Question::of(batch);
    let purses = budget.purses();
    let plan = question.best(&purses, Effort::default())?;
    let total = question.total(&plan);
    let further = further(book, &question, budget, &plan)?;
    let orders = orders(&question, &purses);
    Ok(Allotted { candidates: question.places, plan, total, further, orders })
}
