//! Published 0/1 knapsack instances with published optima, made by D. Pisinger's generator: D. Pisinger, "Core problems
//! in knapsack algorithms", Operations Research 47 (1999); H. Kellerer, U. Pferschy, D. Pisinger, *Knapsack Problems*,
//! Springer 2004 (both citations from memory). Uncorrelated, weakly and strongly correlated; the optima are those of the
//! table published beside the files.
//!
//! An item is an instrument of which either nothing is done, at no cost, or all, at the item's weight; what is saved is
//! its value. So everybody is helped and the counts decide nothing; the greatest saving is the published optimum.
//!
//! The files are not part of this project. They are looked for in a folder `shared/data/knapsack` beside it.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use purfle::allot::optimum::{Candidate, Choice, Effort, Purses, best};

/// The optima as published.
const OPTIMA: [(&str, i64); 15] = [
    ("knapPI_1_100_1000_1", 9147),
    ("knapPI_1_200_1000_1", 11238),
    ("knapPI_1_500_1000_1", 28857),
    ("knapPI_1_1000_1000_1", 54503),
    ("knapPI_1_2000_1000_1", 110625),
    ("knapPI_2_100_1000_1", 1514),
    ("knapPI_2_200_1000_1", 1634),
    ("knapPI_2_500_1000_1", 4566),
    ("knapPI_2_1000_1000_1", 9052),
    ("knapPI_2_2000_1000_1", 18051),
    ("knapPI_3_100_1000_1", 2397),
    ("knapPI_3_200_1000_1", 2697),
    ("knapPI_3_500_1000_1", 7117),
    ("knapPI_3_1000_1000_1", 14390),
    ("knapPI_3_2000_1000_1", 28919),
];

/// The folder beside the project.
fn folder() -> PathBuf {
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the folder above the tests");
    project.parent().unwrap_or(project).join("shared").join("data").join("knapsack")
}

/// The candidates of an instance, and what there is to spend: first the number of items, then value and weight of each,
/// and the capacity last.
fn instance(text: &str) -> (Vec<Candidate>, i64) {
    let mut numbers = text.split_ascii_whitespace().map(|number| number.parse::<i64>().expect("a whole number"));
    let items = numbers.next().expect("the number of items");
    let candidates = (0..items).map(|_| {
        let (saving, cost) = (numbers.next().expect("a value"), numbers.next().expect("a weight"));
        Candidate { step: 0, choices: vec![Choice { fund: 0, cost, saving }, Choice { fund: 0, cost: 0, saving: 0 }] }
    });
    let candidates = candidates.collect();
    let capacity = numbers.next().expect("the capacity");
    assert_eq!(numbers.next(), None, "the capacity stands last");
    (candidates, capacity)
}

#[test]
fn the_published_optima_are_met() {
    let folder = folder();
    if !folder.is_dir() {
        eprintln!("NOT RUN: the published knapsack instances are looked for in shared/data/knapsack beside the project");
        return;
    }
    let mut longest = Duration::ZERO;
    for (name, optimum) in OPTIMA {
        let text = std::fs::read_to_string(folder.join(name)).unwrap_or_else(|error| panic!("{name}: {error}"));
        let (candidates, capacity) = instance(&text);
        let purses = Purses { total: Some(capacity), funds: vec![None] };
        let begun = Instant::now();
        let found = best(&candidates, &purses, Effort::default()).expect("small sums");
        longest = longest.max(begun.elapsed());
        let taken = || candidates.iter().zip(&found.taken).map(|(candidate, choice)| candidate.choices[choice.expect("helped")]);
        assert_eq!(taken().map(|choice| choice.saving).sum::<i64>(), optimum, "{name}");
        assert!(taken().map(|choice| choice.cost).sum::<i64>() <= capacity, "{name}");
        assert!(found.proven(), "{name}: {found:?}");
    }
    println!("the longest took {longest:?}");
}
