//! The optimum of a repair fund against plain enumeration: every plan there is, compared by what is written in the aims
//! and by nothing else.

use purfle::allot::optimum::{Candidate, Choice, Effort, Purses, Tie, best};
use purfle_tests::dice::Dice;

/// A random fund: few candidates, figures so coarse that plans often come out alike, or so fine that they never do.
pub fn fund(dice: &mut Dice, most: usize) -> (Vec<Candidate>, Purses) {
    let grain = *dice.pick(&[1, 10, 50, 50]).unwrap_or(&1);
    let funds = 1 + dice.below(4);
    let steps = 1 + dice.below(3);
    let (tied, alike, overlapping) = (dice.chance(25), dice.chance(20), dice.chance(50));
    let money = |dice: &mut Dice, most: i64| dice.from(0, most / grain) * grain;
    let mut candidates: Vec<Candidate> = Vec::new();
    for _ in 0..dice.below(most + 1) {
        if let Some(like) = dice.pick(&candidates).cloned().filter(|_| alike && dice.chance(50)) {
            candidates.push(like);
            continue;
        }
        let choices = (0..dice.below(4)).map(|_| {
            let cost = money(dice, 100).max(1);
            let saving = if tied { cost * 2 } else { money(dice, 100) };
            Choice { fund: dice.below(funds), cost, saving }
        });
        let mut choices: Vec<Choice> = choices.collect();
        // What one fund would pay another may pay just as well.
        for choice in choices.clone() {
            if overlapping && choices.len() < 5 && dice.chance(60) {
                choices.push(Choice { fund: dice.below(funds), ..choice });
            }
        }
        candidates.push(Candidate { step: dice.below(steps), choices });
    }
    let most = 1 + 30 * candidates.len() as i64;
    let total = dice.chance(60).then(|| money(dice, most));
    let own = |dice: &mut Dice| (total.is_none() || dice.chance(40)).then(|| money(dice, most));
    let funds = (0..funds).map(|_| own(dice)).collect();
    (candidates, Purses { total, funds })
}

/// What a plan is compared by: the counts, the saving, and the spending turned round.
type Worth = (Vec<usize>, i64, i64);

/// The best plan of all, and how many are as good.
fn enumerated(candidates: &[Candidate], purses: &Purses) -> (Worth, Vec<Option<usize>>, usize) {
    let steps = candidates.iter().map(|candidate| candidate.step + 1).max().unwrap_or(0);
    let mut plan: Vec<Option<usize>> = vec![None; candidates.len()];
    let mut best: Option<(Worth, Vec<Option<usize>>, usize)> = None;
    loop {
        if let Some(worth) = worth(candidates, purses, &plan, steps) {
            let place = |plan: &[Option<usize>]| plan.iter().map(|choice| choice.unwrap_or(usize::MAX)).collect::<Vec<_>>();
            best = Some(match best.take() {
                None => (worth, plan.clone(), 1),
                Some((known, taken, count)) if known == worth => {
                    let first = if place(&plan) < place(&taken) { plan.clone() } else { taken };
                    (known, first, count + 1)
                }
                Some(known) if known.0 > worth => known,
                Some(_) => (worth, plan.clone(), 1),
            });
        }
        // The next plan, counted like a number.
        let mut at = 0;
        loop {
            let Some(candidate) = candidates.get(at) else { return best.expect("the plan that helps nobody") };
            plan[at] = match plan[at] {
                None if candidate.choices.is_empty() => None,
                None => Some(0),
                Some(choice) if choice + 1 < candidate.choices.len() => Some(choice + 1),
                Some(_) => None,
            };
            if plan[at].is_some() {
                break;
            }
            at += 1;
        }
    }
}

/// What a plan comes to; none where it goes beyond a purse.
pub fn worth(candidates: &[Candidate], purses: &Purses, plan: &[Option<usize>], steps: usize) -> Option<Worth> {
    let mut counts = vec![0; steps];
    let (mut saving, mut spent) = (0, vec![0; purses.funds.len()]);
    for (candidate, choice) in candidates.iter().zip(plan) {
        if let Some(choice) = choice {
            let Choice { fund, cost, saving: saved } = candidate.choices[*choice];
            counts[candidate.step] += 1;
            saving += saved;
            spent[fund] += cost;
        }
    }
    let all: i64 = spent.iter().sum();
    let within = spent.iter().zip(&purses.funds).all(|(spent, limit)| limit.is_none_or(|limit| *spent <= limit));
    (within && purses.total.is_none_or(|total| all <= total)).then_some((counts, saving, -all))
}

/// A random fund of which each part pays another share of the same prices, rounded down to the smallest coin.
pub fn shares(dice: &mut Dice, most: usize) -> (Vec<Candidate>, Purses) {
    let funds = 2 + dice.below(3);
    let parts = [100, *dice.pick(&[80, 75]).unwrap_or(&80), 60, *dice.pick(&[50, 33]).unwrap_or(&50)];
    let (steps, everybody) = (1 + dice.below(2), dice.chance(50));
    let candidates: Vec<Candidate> = (0..1 + dice.below(most))
        .map(|_| {
            let price = dice.from(4, 60);
            let ways = [(price, dice.from(0, 90)), (price / 2, dice.from(0, 45))];
            let ways = &ways[..1 + dice.below(2)];
            let own = dice.below(funds);
            let pays = |fund: &usize| everybody || *fund == own || (own + 1) % funds == *fund;
            let of_fund = |fund: usize| {
                ways.iter().map(move |(price, saving)| Choice { fund, cost: price * parts[fund] / 100, saving: *saving })
            };
            Candidate { step: dice.below(steps), choices: (0..funds).filter(pays).flat_map(of_fund).collect() }
        })
        .collect();
    let need: i64 = candidates.iter().map(|candidate| candidate.choices[0].cost).sum();
    let own = |dice: &mut Dice| Some(need * dice.from(5, 60) / 100);
    let total = dice.chance(25).then(|| need * dice.from(30, 90) / 100);
    (candidates, Purses { total, funds: (0..funds).map(|_| own(dice)).collect() })
}

/// Holds the plan that is found against every plan there is; how many are as good as the best.
fn as_enumerated(candidates: &[Candidate], purses: &Purses, round: &str) -> usize {
    let (expected, first, count) = enumerated(candidates, purses);
    let found = best(candidates, purses, Effort::default()).expect("small sums");
    let told = || format!("{round}: {candidates:?} {purses:?}");
    let steps = expected.0.len();
    assert_eq!(worth(candidates, purses, &found.taken, steps), Some(expected), "{}", told());
    assert!(found.proven(), "{}", told());
    assert_eq!(found.taken, first, "{}", told());
    assert_eq!(found.tie, if count > 1 { Tie::Ordered } else { Tie::None }, "{}", told());
    count
}

#[test]
fn every_plan_of_funds_that_each_pay_another_share_is_compared() {
    let mut dice = Dice::new(57);
    let (mut tied, mut four) = (0, 0);
    for round in 0..500 {
        let (candidates, purses) = shares(&mut dice, 4);
        let count = as_enumerated(&candidates, &purses, &format!("round {round}"));
        tied += usize::from(count > 1);
        four += usize::from(purses.funds.len() == 4);
    }
    assert!(tied > 20 && four > 100, "all kinds are there: {tied} {four}");
}

#[test]
fn every_plan_of_small_funds_is_compared() {
    let mut dice = Dice::new(51);
    let (mut tied, mut apart, mut several) = (0, 0, 0);
    for round in 0..6_000 {
        let (candidates, purses) = fund(&mut dice, 6);
        let count = as_enumerated(&candidates, &purses, &format!("round {round}"));
        tied += usize::from(count > 1);
        apart += usize::from(count == 1);
        several += usize::from(purses.funds.iter().flatten().count() > 1);
    }
    assert!(tied > 500 && apart > 500 && several > 500, "all kinds of funds are there: {tied} {apart} {several}");
}

#[test]
fn with_hardly_any_effort_the_plan_still_keeps_within_the_purses_and_says_how_far_it_may_be_off() {
    let mut dice = Dice::new(52);
    let (mut unproven, mut short) = (0, 0);
    for round in 0..2_000 {
        let (candidates, purses) = if round % 2 == 0 { fund(&mut dice, 6) } else { shares(&mut dice, 3) };
        let (expected, ..) = enumerated(&candidates, &purses);
        let found = best(&candidates, &purses, Effort { states: dice.below(6) }).expect("small sums");
        let steps = expected.0.len();
        let told = || format!("round {round}: {candidates:?} {purses:?}: {found:?}, best {expected:?}");
        let reached = worth(&candidates, &purses, &found.taken, steps).unwrap_or_else(|| panic!("{}", told()));
        assert!(reached <= expected, "{}", told());
        unproven += usize::from(!found.proven());
        short += usize::from(reached < expected);
        if found.proven() {
            assert_eq!(reached, expected, "{}", told());
        }
        match found.more_helped {
            Some(step) => assert_eq!(reached.0[..step], expected.0[..step], "{}", told()),
            None => {
                assert_eq!(reached.0, expected.0, "{}", told());
                assert!(expected.1 - reached.1 <= found.more_saved, "{}", told());
                if found.more_saved == 0 {
                    assert!(expected.2 - reached.2 <= found.less_spent, "{}", told());
                }
            }
        }
    }
    assert!(unproven > 100 && short > 20, "the limit is reached: {unproven} {short}");
}
