//! What sharing out a fund costs: 5,000 instruments with three ways each, by how saving hangs on cost, how fine the prices
//! are, and how funds overlap.
//!
//! `cargo bench -p purfle-tests --bench allot`. A word after `--` chooses the models whose name has it; `judging` what
//! judging takes beside it.

mod judging;

use std::process::ExitCode;
use std::time::{Duration, Instant};

use purfle::allot::optimum::{Allotment, Candidate, Choice, Effort, Purses, best};
use purfle_tests::dice::Dice;

/// How many instruments.
const INSTRUMENTS: usize = 5_000;

/// How many steps of urgency.
const STEPS: usize = 4;

/// How often each is measured; the median is printed.
const TIMES: usize = 5;

/// What saving comes to, by what the first way costs and what this one costs.
type Saving = fn(&mut Dice, i64, i64) -> i64;

/// What the first way costs.
type Price = fn(&mut Dice) -> i64;

/// How saving hangs on cost.
const MODELS: [(&str, Saving); 4] = [
    ("independent", |dice, _, _| dice.from(0, 120_000)),
    ("near twice the cost", |dice, first, cost| 3 * first - cost + dice.from(-first / 5, first / 5)),
    ("cost and a little", |dice, _, cost| cost + dice.from(0, 500)),
    ("nothing is saved", |_, _, _| 0),
];

/// How costs are drawn: to the cent, or a sum of a few prices, as a price list gives.
const PRICES: [(&str, Price); 2] = [
    ("to the cent", |dice| dice.from(2_000, 60_000)),
    ("from a list of prices", |dice| {
        (0..1 + dice.below(3)).map(|_| [2_550, 4_000, 8_550, 12_075, 21_300, 40_050][dice.below(6)]).sum()
    }),
];

/// How funds overlap.
struct Funds {
    name: &'static str,
    /// How many there are.
    count: usize,
    /// How many of a hundred instruments may have their share from the next fund as well.
    both: u64,
    /// What that fund pays, in hundredths of what the first would.
    pays: i64,
    /// What there is for all of them together, in hundredths of the share of the need; none where only their own count.
    total: Option<i64>,
    /// What each has of its own, in hundredths of that share.
    own: &'static [i64],
    /// What each pays of everybody's price, in hundredths; empty where an instrument has a fund of its own, and the next.
    parts: &'static [i64],
}

const FUNDS: [Funds; 8] = [
    Funds { name: "one fund", count: 1, both: 0, pays: 100, total: Some(100), own: &[], parts: &[] },
    Funds { name: "3 funds with room, a total", count: 3, both: 30, pays: 100, total: Some(100), own: &[50, 60, 70], parts: &[] },
    Funds { name: "3 funds", count: 3, both: 30, pays: 100, total: None, own: &[27, 33, 40], parts: &[] },
    Funds { name: "3 funds, a smaller total", count: 3, both: 30, pays: 100, total: Some(90), own: &[27, 33, 40], parts: &[] },
    Funds { name: "2 funds for everybody", count: 2, both: 100, pays: 100, total: None, own: &[60, 40], parts: &[] },
    Funds { name: "2 funds, one pays less, a total", count: 2, both: 60, pays: 75, total: Some(80), own: &[60, 40], parts: &[] },
    Funds { name: "4 funds, the next pays less", count: 4, both: 40, pays: 80, total: None, own: &[17, 22, 27, 33], parts: &[] },
    Funds {
        name: "4 funds for everybody, each pays another part",
        count: 4,
        both: 0,
        pays: 100,
        total: None,
        own: &[17, 22, 27, 33],
        parts: &[100, 80, 60, 50],
    },
];

fn main() -> ExitCode {
    let asked: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    for funds in &FUNDS {
        for (prices, price) in PRICES {
            for (model, saving) in MODELS {
                for share in [5, 20, 50] {
                    let name = format!("{}, {prices}, {model}, {share} % of the need", funds.name);
                    if asked.is_empty() || asked.iter().any(|word| name.contains(word.as_str())) {
                        measure(&name, funds, price, saving, share);
                    }
                }
            }
        }
    }
    if asked.is_empty() || asked.iter().any(|word| word == "judging") {
        for records in [40, 5_000] {
            if let Err(error) = judging::measure(records) {
                eprintln!("allot: {error}");
                return ExitCode::FAILURE;
            }
        }
    }
    ExitCode::SUCCESS
}

fn measure(name: &str, funds: &Funds, price: Price, saving: Saving, share: i64) {
    let mut dice = Dice::new(7);
    let candidates: Vec<Candidate> = (0..INSTRUMENTS)
        .map(|_| {
            let first = price(&mut dice);
            let fund = dice.below(funds.count);
            let ways = [first, first * 6 / 10, first * 3 / 10];
            let choices = ways.map(|cost| Choice { fund, cost, saving: saving(&mut dice, first, cost).max(0) });
            let (next, pays) = ((fund + 1) % funds.count, funds.pays);
            let other = choices.map(|choice| Choice { fund: next, cost: choice.cost * pays / 100, ..choice });
            let choices = if dice.chance(funds.both) { [choices, other].concat() } else { choices.to_vec() };
            let of_fund = |(fund, part): (usize, &i64)| {
                choices.iter().map(move |choice| Choice { fund, cost: choice.cost * part / 100, ..*choice }).collect::<Vec<_>>()
            };
            let of_all: Vec<Choice> = funds.parts.iter().enumerate().flat_map(of_fund).collect();
            let choices = if of_all.is_empty() { choices } else { of_all };
            Candidate { step: dice.below(STEPS), choices }
        })
        .collect();
    let need: i64 = candidates.iter().map(|candidate| candidate.choices[0].cost).sum();
    let part = |hundredths: i64| need * share / 100 * hundredths / 100;
    let own = |fund: usize| funds.own.get(fund).copied().map(part);
    let purses = Purses { total: funds.total.map(part), funds: (0..funds.count).map(own).collect() };
    let mut took = [Duration::ZERO; TIMES];
    let mut plan = None;
    for took in &mut took {
        let begun = Instant::now();
        plan = best(&candidates, &purses, Effort::default()).ok();
        *took = begun.elapsed();
    }
    took.sort_unstable();
    let told = plan.map_or("too large".to_owned(), |plan| told(&candidates, &plan));
    println!("{name:<88} {:>8.1} ms  {told}", took[TIMES / 2].as_secs_f64() * 1000.0);
}

fn told(candidates: &[Candidate], plan: &Allotment) -> String {
    let mut counts = [0; STEPS];
    for (candidate, _) in candidates.iter().zip(&plan.taken).filter(|(_, choice)| choice.is_some()) {
        counts[candidate.step] += 1;
    }
    let proven = match (plan.more_helped, plan.more_saved, plan.less_spent) {
        (None, 0, 0) => "proven".to_owned(),
        (None, 0, less) => format!("the best saving, within {less} of the least spending"),
        (None, more, _) => format!("within {more} of the best saving"),
        (Some(step), ..) => format!("not proven at step {step}"),
    };
    format!("{proven}, ties {:?}, helped {counts:?}", plan.tie)
}
