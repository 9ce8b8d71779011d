//! What more money would buy: for each instrument that was not helped how much more would include it, and what each
//! further step of money brings. Each answer is a plan made anew.

use std::collections::BTreeMap;

use purfle_lang::book::{AidId, Book};
use rustc_hash::FxHashMap;

use super::budget::Budget;
use super::optimum::{Allotment, Candidate, Effort, NoPlan, Purses, best};
use super::plan::{Question, Total};

/// What more money would buy.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Further {
    /// For each candidate that was not helped, what would include it; the nearest first.
    pub reaches: Vec<(usize, Reach)>,
    /// For the same candidates what the best plan comes to that does help them; none where there is none.
    pub instead: Vec<(usize, Option<Total>)>,
    /// How wide a step of money is.
    pub step: i64,
    /// How that was chosen.
    pub width: Width,
    /// What the money there is buys, and so many steps less or more.
    pub rungs: Vec<Rung>,
}

/// How the width of a step was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Width {
    /// Five hundred of the money.
    #[default]
    FiveHundred,
    /// A tenth of what there is, as that is less than five hundred.
    OfLittle,
    /// A tenth of what there is, or of what all need, as nobody is helped by five hundred.
    OfMuch,
}

/// How much more money would include an instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Reach {
    /// With so much more it is helped. More money can also turn a plan about: it is the least that was found, and with some
    /// sums above it another is helped instead.
    pub more: i64,
    /// Whether with less by the smallest coin it is not.
    pub exact: bool,
    /// The fund whose money that is; none where it is the money of all of them.
    pub fund: Option<AidId>,
}

/// What so much money buys.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Rung {
    /// The money to share out.
    pub money: i64,
    /// What it buys.
    pub total: Total,
    /// Whether nothing better can be bought with it.
    pub proven: bool,
}

/// The most sums of money that are tried, and of these the most that are less than there is.
const MOST_RUNGS: i64 = 20;
const MOST_LESS: i64 = 9;

/// Plans made anew are given up earlier than the plan itself.
const EFFORT: Effort = Effort { states: 400_000 };

/// All that more money would buy.
pub fn further(book: &Book, question: &Question<'_>, budget: &Budget, plan: &Allotment) -> Result<Further, NoPlan> {
    if question.candidates.is_empty() {
        return Ok(Further::default());
    }
    let (step, width) = width(book, question, budget.to_share());
    let rungs = rungs(question, budget, plan, step)?;
    let mut reaches: Vec<(usize, Reach)> = reaches(question, budget, plan)?.into_iter().collect();
    reaches.sort_by_key(|(candidate, reach)| (*reach, *candidate));
    let instead = instead(question, &budget.purses(), plan)?;
    Ok(Further { reaches, instead, step, width, rungs })
}

/// The best plans that help those who are not helped: each of them in turn is taken for graver than all others.
fn instead(question: &Question<'_>, purses: &Purses, plan: &Allotment) -> Result<Vec<(usize, Option<Total>)>, NoPlan> {
    let missed = (0..plan.taken.len()).filter(|at| plan.taken[*at].is_none());
    let mut candidates = question.candidates.clone();
    candidates.iter_mut().for_each(|candidate| candidate.step += 1);
    let mut instead = Vec::new();
    for at in missed.take(plans(question)) {
        let step = std::mem::replace(&mut candidates[at].step, 0);
        let with = best(&candidates, purses, EFFORT)?;
        candidates[at].step = step;
        let total = with.taken[at].is_some().then(|| question.total(&with));
        instead.push((at, total));
    }
    Ok(instead)
}

/// How many plans may be made anew for one question: fewer, the more instruments there are.
fn plans(question: &Question<'_>) -> usize {
    400_000 / (question.candidates.len() + 100)
}

/// Five hundred of the money, if that makes sense: if there is so much, and it would help somebody.
fn width(book: &Book, question: &Question<'_>, money: i64) -> (i64, Width) {
    let five_hundred = 500 * 10_i64.pow(book.money.minor_places());
    let cheapest = || {
        let costs = |candidate: &Candidate| candidate.choices.iter().map(|choice| choice.cost).min();
        question.candidates.iter().filter_map(costs)
    };
    // Without money the steps are a tenth of what helping everybody would take.
    let tenth = || tenth_of(book, if money > 0 { money } else { cheapest().sum() });
    if cheapest().all(|cost| cost > five_hundred) {
        (tenth(), Width::OfMuch)
    } else if money > 0 && money < five_hundred {
        (tenth(), Width::OfLittle)
    } else {
        (five_hundred, Width::FiveHundred)
    }
}

/// About a tenth of a sum, rounded up to a one, a two or a five with noughts; at least one whole unit of the money.
fn tenth_of(book: &Book, sum: i64) -> i64 {
    let mut step = 10_i64.pow(book.money.minor_places());
    loop {
        for times in [1, 2, 5] {
            if step * times * 10 >= sum {
                return step * times;
            }
        }
        step = step.saturating_mul(10);
    }
}

/// What the money there is buys, and some steps less and more of it.
fn rungs(question: &Question<'_>, budget: &Budget, plan: &Allotment, step: i64) -> Result<Vec<Rung>, NoPlan> {
    let money = budget.to_share();
    let purses = budget.purses();
    let mut rungs: Vec<Rung> = Vec::new();
    let less = ((money - 1) / step).clamp(0, MOST_LESS);
    for at in -less..MOST_RUNGS - less {
        let sum = money + at * step;
        if sum == 0 {
            continue;
        }
        let (total, proven) = if at == 0 {
            (question.total(plan), plan.proven())
        } else {
            // Every purse grows in proportion; parts of the smallest coin are left out.
            let part = |purse: i64| match money {
                0 => sum,
                money => (i128::from(purse) * i128::from(sum) / i128::from(money)) as i64,
            };
            let funds = purses.funds.iter().map(|fund| fund.map(part)).collect();
            let plan = question.best(&Purses { total: purses.total.map(part), funds }, EFFORT)?;
            (question.total(&plan), plan.proven())
        };
        let all = total.all() == question.candidates.len();
        let beyond = at > 0 && rungs.last().is_some_and(|rung| rung.total == total);
        rungs.push(Rung { money: sum, total, proven });
        if all && beyond {
            break;
        }
    }
    Ok(rungs)
}

/// A search for how much more is needed, of the money of all or of one fund.
struct Narrowing<'a> {
    question: &'a Question<'a>,
    purses: Purses,
    fund: Option<AidId>,
    /// Plans made with so much more.
    made: BTreeMap<i64, Vec<bool>>,
    /// Whether all of them are proven to be the best.
    proven: bool,
    left: usize,
    found: FxHashMap<usize, Reach>,
}

fn reaches(question: &Question<'_>, budget: &Budget, plan: &Allotment) -> Result<FxHashMap<usize, Reach>, NoPlan> {
    let missed: Vec<usize> = (0..plan.taken.len()).filter(|at| plan.taken[*at].is_none()).collect();
    let mut nearest: FxHashMap<usize, Reach> = FxHashMap::default();
    if missed.is_empty() {
        return Ok(nearest);
    }
    let purses = budget.purses();
    let limited: Vec<usize> = (0..purses.funds.len()).filter(|fund| purses.funds[*fund].is_some()).collect();
    let raised: Vec<Option<usize>> =
        if purses.total.is_some() && limited.is_empty() { vec![None] } else { (0..purses.funds.len()).map(Some).collect() };
    for fund in raised {
        let offered = |at: &usize| {
            let choices = &question.candidates[*at].choices;
            fund.is_none_or(|fund| choices.iter().any(|choice| choice.fund == fund))
        };
        let wanted: Vec<usize> = missed.iter().copied().filter(offered).collect();
        let mut narrowing = Narrowing {
            question,
            purses: purses.clone(),
            fund: fund.map(AidId::from_index),
            made: BTreeMap::new(),
            proven: true,
            left: plans(question),
            found: FxHashMap::default(),
        };
        narrowing.run(wanted)?;
        for (at, mut reach) in narrowing.found {
            reach.exact &= narrowing.proven;
            nearest.entry(at).and_modify(|known| *known = reach.min(*known)).or_insert(reach);
        }
    }
    Ok(nearest)
}

impl Narrowing<'_> {
    /// Doubles the money until all are helped, then narrows down between two sums, the smaller ones first.
    fn run(&mut self, mut wanted: Vec<usize>) -> Result<(), NoPlan> {
        let dearest = |candidate: &usize| self.question.candidates[*candidate].choices.iter().map(|choice| choice.cost).max();
        let mut low = 0;
        let mut more = wanted.iter().filter_map(dearest).min().unwrap_or(1).max(1);
        // With what all of them cost at the dearest everybody is helped.
        let enough: i64 = self.question.candidates.iter().filter_map(|c| c.choices.iter().map(|choice| choice.cost).max()).sum();
        let mut between = Vec::new();
        while !wanted.is_empty() {
            let (now, later) = self.split(more, &wanted)?;
            between.push((low, more, now));
            wanted = later;
            if more >= enough {
                break;
            }
            (low, more) = (more, more.saturating_mul(2).min(enough.max(1)));
        }
        between.into_iter().try_for_each(|(low, high, wanted)| self.narrow(low, high, wanted))?;
        // A sum that was tried for another one may be less, and help as well.
        let mut all: Vec<usize> = self.found.keys().copied().collect();
        all.sort_unstable();
        for candidate in all {
            while let Some((low, high)) = self.less(candidate) {
                self.narrow(low, high, vec![candidate])?;
            }
        }
        Ok(())
    }

    /// Two sums that were tried, both less than what is known to include a candidate: the greater one does, and the smaller one
    /// does not.
    fn less(&self, candidate: usize) -> Option<(i64, i64)> {
        let known = self.found.get(&candidate)?.more;
        let helps = |helped: &[bool]| helped.get(candidate).copied().unwrap_or(false);
        let (high, _) = self.made.range(..known).find(|(_, helped)| helps(helped))?;
        let low = self.made.range(..high).next_back().map_or(0, |(low, _)| *low);
        Some((low, *high))
    }

    /// With so much more: who is helped, and who is not.
    fn split(&mut self, more: i64, wanted: &[usize]) -> Result<(Vec<usize>, Vec<usize>), NoPlan> {
        if !self.made.contains_key(&more) {
            self.left = self.left.saturating_sub(1);
            let mut purses = self.purses.clone();
            purses.total = purses.total.map(|total| total + more);
            for (fund, purse) in purses.funds.iter_mut().enumerate() {
                if self.fund.is_none_or(|raised| raised.index() == fund) {
                    *purse = purse.map(|purse| purse + more);
                }
            }
            let plan = self.question.best(&purses, EFFORT)?;
            self.proven &= plan.proven();
            self.made.insert(more, plan.taken.iter().map(Option::is_some).collect());
        }
        let helped = self.made.get(&more).map(Vec::as_slice).unwrap_or_default();
        Ok(wanted.iter().partition(|at| helped.get(**at).copied().unwrap_or(false)))
    }

    /// These are helped with `high` more, and not with `low`.
    fn narrow(&mut self, low: i64, high: i64, wanted: Vec<usize>) -> Result<(), NoPlan> {
        if wanted.is_empty() {
            return Ok(());
        }
        if high - low <= 1 || self.left == 0 {
            let reach = Reach { more: high, exact: high - low <= 1, fund: self.fund };
            self.found.extend(wanted.into_iter().map(|at| (at, reach)));
            return Ok(());
        }
        let middle = low + (high - low) / 2;
        let (now, later) = self.split(middle, &wanted)?;
        self.narrow(low, middle, now)?;
        self.narrow(middle, high, later)
    }
}
