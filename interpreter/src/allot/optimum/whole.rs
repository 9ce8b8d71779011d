//! The best plan of one part: first from purses taken together, and where that does not settle it with every purse kept apart.

use rustc_hash::FxHashMap;

use super::group::{self, Shares};
use super::handing::{Handed, Handing, hand};
use super::part::Part;
use super::pooled::Pooled;
use super::stage::Stage;
use super::{Allotment, Choice, Effort, MOST_PURSES, NoPlan, Tie, counts, open, relax, search};

/// The plan of a part: for each member the place of its choice.
pub fn best_of_part(part: &Part, effort: Effort) -> Result<Allotment, NoPlan> {
    let Some(pooled) = Pooled::of(part) else { return solve(part, effort) };
    match from_pool(part, pooled, effort)? {
        None => solve(part, effort),
        Some((plan, whole)) => {
            let settled = plan.proven() && plan.tie != Tie::Unsettled;
            if settled || whole || part.members.len() > FEW {
                return Ok(plan);
            }
            let apart = solve(part, effort)?;
            Ok(if apart.proven() || !plan.proven() { apart } else { plan })
        }
    }
}

/// So few members are gone through once more with every purse by itself, if only to tell which of several plans comes first.
const FEW: usize = 64;

/// How often the purses taken together are made a little smaller, where a plan cannot be handed out.
const SMALLER: usize = 24;

/// The plan from purses taken together, if it can be handed out, and whether keeping every purse by itself would ask the
/// same question. Where the best plan from them cannot be handed out, one that spends less is: no plan is better than the one
/// that could not be, so it is known how far from the best this one can be.
fn from_pool(part: &Part, mut pooled: Pooled, effort: Effort) -> Result<Option<(Allotment, bool)>, NoPlan> {
    let mut beyond: Option<Allotment> = None;
    let mut smaller = 0;
    loop {
        if pooled.part.purses.len() > MOST_PURSES {
            return Ok(None);
        }
        let mut plan = solve(&pooled.part, effort)?;
        if !pooled.keeps_within(&plan.taken) {
            continue;
        }
        if let Handing::Done(handed) = hand(part, &pooled, &plan.taken) {
            plan.tie = tie(plan.tie, part, &handed, pooled.is_whole());
            if let Some(best) = beyond {
                (plan.more_helped, plan.more_saved, plan.less_spent) = distance(&pooled.part, &best, &plan);
                plan.tie = Tie::Unsettled;
            }
            plan.taken = handed.taken;
            return Ok(Some((plan, pooled.is_whole())));
        }
        smaller += 1;
        if smaller > SMALLER || !pooled.spend_less(&plan.taken) {
            return Ok(None);
        }
        beyond = beyond.or(Some(plan));
    }
}

/// How far a plan is from one that no plan is better than: the gravest step at which fewer are helped, what less is saved, and
/// where as much is, what more is spent.
fn distance(part: &Part, best: &Allotment, plan: &Allotment) -> (Option<usize>, i64, i64) {
    let come_to = |plan: &Allotment| {
        let (mut helped, mut saved, mut spent) = (vec![0; part.steps], 0_i64, 0_i64);
        for (member, taken) in part.members.iter().zip(&plan.taken) {
            if let Some(open) = taken.and_then(|taken| member.choices.get(taken)) {
                helped[member.step] += 1;
                saved = saved.saturating_add(open.choice.saving);
                spent = spent.saturating_add(open.choice.cost);
            }
        }
        (helped, saved, spent)
    };
    let ((most, saved, least), (helped, less, spent)) = (come_to(best), come_to(plan));
    let fewer = (0..part.steps).find(|step| helped[*step] < most[*step]);
    let more_helped = [fewer, best.more_helped].into_iter().flatten().min();
    let more_saved = (saved - less).max(0).saturating_add(best.more_saved);
    // Where nothing more can be saved, no plan spends less than the best one, but for what is open there.
    (more_helped, more_saved, (spent - least).max(0).saturating_add(best.less_spent))
}

/// Whether plans came out alike, once a plan is handed out.
fn tie(of_pool: Tie, part: &Part, handed: &Handed, whole: bool) -> Tie {
    match (of_pool, handed.several) {
        (Tie::None, Some(false)) => Tie::None,
        (Tie::None, Some(true)) if handed.first => Tie::Ordered,
        // With everybody served as listed first, no plan that is as good comes before. That there is one is only certain
        // where it, too, keeps within every purse.
        (Tie::Ordered, several) if handed.as_listed && (whole || several == Some(true) || differ(part, &handed.taken)) => {
            Tie::Ordered
        }
        _ => Tie::Unsettled,
    }
}

/// Whether members alike in everything fare differently, so that they could change places.
fn differ(part: &Part, taken: &[Option<usize>]) -> bool {
    let mut known: FxHashMap<(usize, Vec<Choice>), Option<usize>> = FxHashMap::default();
    part.members.iter().zip(taken).any(|(member, taken)| {
        let choices = member.choices.iter().map(|open| open.choice).collect();
        known.insert((member.step, choices), *taken).is_some_and(|before| before != *taken)
    })
}

/// The best plan within the purses of a part, each by itself.
fn solve(part: &Part, effort: Effort) -> Result<Allotment, NoPlan> {
    match part.purses.len() {
        0 | 1 => solve_over::<1>(part, effort),
        2 => solve_over::<2>(part, effort),
        3 => solve_over::<3>(part, effort),
        4 => solve_over::<4>(part, effort),
        5..=MOST_PURSES => solve_over::<MOST_PURSES>(part, effort),
        _ => Err(NoPlan::TooManyPurses),
    }
}

/// The same, over as many purses.
fn solve_over<const D: usize>(part: &Part, effort: Effort) -> Result<Allotment, NoPlan> {
    let groups = group::groups::<D>(part);
    let (scale, limits) = group::scale_and_limits::<D>(part).ok_or(NoPlan::TooLarge)?;
    let counted = match D {
        1 => counts::cheapest_first(part, &groups, limits),
        _ => counts::each_in_turn(part, &groups, limits, effort),
    };
    let stage = Stage::savings(&groups, &limits, &counted.helped, scale);
    let start = stage.value_of(&counted.plan);
    let relaxed = relax::relax(&stage, &counted.plan);
    let mut best: (Shares, i128) = (counted.plan, start);
    if let Some((plan, value)) = relaxed.feasible.clone().filter(|(_, value)| *value > best.1) {
        best = (plan, value);
    }
    let (mut more_saved, mut less_spent) = (0, 0);
    let mut tie = Tie::Unsettled;
    let told = |plan: &Shares, tied: bool| if tied || group::split(&groups, plan) { Tie::Ordered } else { Tie::None };
    let less = Effort { states: if counted.unproven.is_some() { effort.states / 8 } else { effort.states } };
    let found = search::improve(&stage, &relaxed, counted.beside.as_ref(), best, less);
    let mut plan = found.plan;
    if found.open > found.value {
        (more_saved, less_spent) = open::open(&stage, &relaxed, &plan, (found.open, found.most_saved), scale);
    } else if let Some(tied) = found.tied {
        tie = told(&plan, tied);
    } else if let Some((first, tied)) = search::first_of_all(&stage, &relaxed, found.value, effort) {
        plan = first;
        tie = told(&plan, tied);
    }
    let taken = group::hand_out(&groups, &plan, part.members.len());
    Ok(Allotment { taken, more_helped: counted.unproven, more_saved, less_spent, tie })
}
