//! microlp 0.7: <https://crates.io/crates/microlp>, "a linear programming solver for real, integer, and boolean variables",
//! branch and bound over a simplex method in floating point.
//!
//! It is asked for each aim in turn, those before it held as equations: the most of each step, the greatest saving, the
//! least spending. All three must be ours, on random funds too large for going through every plan.

use microlp::{ComparisonOp, OptimizationDirection, Problem, Variable};
use purfle::allot::optimum::{Candidate, Choice, Effort, Purses, best};
use purfle_tests::dice::Dice;

use crate::allotted::{shares, worth};

/// A fund of some dozens of candidates.
fn fund(dice: &mut Dice, funds: usize, overlapping: bool) -> (Vec<Candidate>, Purses) {
    let steps = 1 + dice.below(4);
    let linked = dice.chance(50);
    let candidates: Vec<Candidate> = (0..6 + dice.below(30))
        .map(|_| {
            let own = dice.below(funds);
            let choices = (0..1 + dice.below(3)).map(|_| {
                let cost = dice.from(20, 400);
                let saving = if dice.chance(30) { cost + dice.from(0, 20) } else { dice.from(0, 900) };
                Choice { fund: if linked { dice.below(funds) } else { own }, cost, saving }
            });
            let mut choices: Vec<Choice> = choices.collect();
            if overlapping && dice.chance(70) {
                // Another fund pays as much, or three quarters of it.
                let pays = if dice.chance(60) { 4 } else { 3 };
                let other = dice.below(funds);
                choices.extend(choices.clone().iter().map(|choice| Choice {
                    fund: other,
                    cost: choice.cost * pays / 4,
                    ..*choice
                }));
            }
            Candidate { step: dice.below(steps), choices }
        })
        .collect();
    let all: i64 = candidates.iter().map(|candidate| candidate.choices[0].cost).sum();
    let total = (funds == 1 || dice.chance(50)).then(|| all * dice.from(5, 90) / 100);
    let own = |dice: &mut Dice| (total.is_none() || dice.chance(60)).then(|| all * dice.from(5, 90) / 100 / funds as i64);
    let funds = (0..funds).map(|_| own(dice)).collect();
    (candidates, Purses { total, funds })
}

/// The figures of a choice that an aim adds up.
type Figure = Box<dyn Fn(&Candidate, &Choice) -> i64>;

/// The best value of one figure, with figures before it held.
fn stage(candidates: &[Candidate], purses: &Purses, most: &Figure, held: &[(Figure, i64)]) -> i64 {
    let mut problem = Problem::new(OptimizationDirection::Maximize);
    let mut variables: Vec<(Variable, &Candidate, &Choice)> = Vec::new();
    for candidate in candidates {
        let from = variables.len();
        for choice in &candidate.choices {
            let variable = problem.add_binary_var(most(candidate, choice) as f64);
            variables.push((variable, candidate, choice));
        }
        let one: Vec<(Variable, f64)> = variables[from..].iter().map(|(variable, ..)| (*variable, 1.0)).collect();
        problem.add_constraint(&one, ComparisonOp::Le, 1.0);
    }
    let sum = |figure: &dyn Fn(&Candidate, &Choice) -> i64| -> Vec<(Variable, f64)> {
        variables.iter().map(|(variable, candidate, choice)| (*variable, figure(candidate, choice) as f64)).collect()
    };
    for (fund, limit) in purses.funds.iter().enumerate() {
        if let Some(limit) = limit {
            let of_fund = sum(&|_, choice| if choice.fund == fund { choice.cost } else { 0 });
            problem.add_constraint(&of_fund, ComparisonOp::Le, *limit as f64);
        }
    }
    if let Some(total) = purses.total {
        problem.add_constraint(sum(&|_, choice| choice.cost), ComparisonOp::Le, total as f64);
    }
    for (figure, value) in held {
        problem.add_constraint(sum(figure), ComparisonOp::Eq, *value as f64);
    }
    let solution = problem.solve().expect("a solution").into_solution().expect("no limit of time");
    // Figures are whole: what was chosen is added up anew, without rounding.
    let chosen = variables.iter().filter(|(variable, ..)| solution.var_value(*variable) > 0.5);
    chosen.map(|(_, candidate, choice)| most(candidate, choice)).sum()
}

#[test]
fn a_solver_of_integer_programs_finds_the_same() {
    let mut dice = Dice::new(53);
    let mut several = 0;
    for _ in 0..400 {
        let funds = 1 + dice.below(3);
        compare(&fund(&mut dice, funds, false));
        several += usize::from(funds > 1);
    }
    assert!(several > 200, "funds with purses of their own are among them");
}

#[test]
fn it_finds_the_same_for_funds_that_overlap() {
    let mut dice = Dice::new(54);
    for _ in 0..200 {
        let funds = 2 + dice.below(3);
        compare(&fund(&mut dice, funds, true));
    }
}

#[test]
fn it_finds_the_same_for_funds_that_each_pay_another_share() {
    let mut dice = Dice::new(56);
    for _ in 0..120 {
        compare(&shares(&mut dice, 14));
    }
}

/// Both find the same.
fn compare((candidates, purses): &(Vec<Candidate>, Purses)) {
    let steps = candidates.iter().map(|candidate| candidate.step + 1).max().unwrap_or(0);
    let found = best(candidates, purses, Effort::default()).expect("small sums");
    let told = || format!("{candidates:?} {purses:?} {found:?}");
    let mut held: Vec<(Figure, i64)> = Vec::new();
    for step in 0..steps {
        let at_step: fn(usize) -> Figure = |step| Box::new(move |candidate, _| i64::from(candidate.step == step));
        let count = stage(candidates, purses, &at_step(step), &held);
        held.push((at_step(step), count));
    }
    let counts: Vec<usize> = held.iter().map(|(_, count)| *count as usize).collect();
    let saving: Figure = Box::new(|_, choice| choice.saving);
    let saved = stage(candidates, purses, &saving, &held);
    held.push((saving, saved));
    let spared: Figure = Box::new(|_, choice| -choice.cost);
    let spared = stage(candidates, purses, &spared, &held);
    assert_eq!(worth(candidates, purses, &found.taken, steps), Some((counts, saved, spared)), "{}", told());
    assert!(found.proven(), "{}", told());
}
