//! What the checker's questions cost: overlap, gap, shadow and never, over tables and over sparse rulebooks made by
//! chance, beside a plain check of pairs and beside a general solver.
//!
//! `cargo bench -p purfle-tests --bench proof`. Words after `--` choose parts of it: `tables`, `sparse`, `whole` (all checks of whole rulebooks), `weighed` (two rulebooks against each other), and `alone` to
//! leave the solver out. The solver is the program `z3` on the path (Debian: `apt-get install z3`; PyPI: `pip install
//! z3-solver`), or the one that `PURFLE_SOLVER` names; without it the rest is measured and that is said. What it
//! answers is compared with our answer, and the run fails where they differ. Of questions that are asked of every
//! rule or pair it gets a sample, and its time is scaled up: what it needs to read the rules once, and the rest by the
//! number of questions. Everything runs on one core; each time is the
//! shortest of five runs, the solver's of two.

mod clock;
mod measured;
mod pairwise;
mod rules;
mod smt;
mod solver;
mod sparse;
mod tables;
mod weighed;
mod whole;

use std::env;
use std::process::ExitCode;

use measured::Report;
use solver::Solver;

fn main() -> ExitCode {
    let asked: Vec<String> = env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    let alone = asked.iter().any(|word| word == "alone");
    let wanted = |part: &str| asked.iter().all(|word| word == "alone") || asked.iter().any(|word| word == part);
    let solver = if alone { None } else { Solver::here() };
    match &solver {
        Some(solver) => println!("beside the solver: {}", solver.version),
        None if alone => println!("without a solver"),
        None => println!("no solver on the path, so none beside it: apt-get install z3, or pip install z3-solver"),
    }
    match measure(solver.as_ref(), wanted) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("proof: {error}");
            ExitCode::FAILURE
        }
    }
}

fn measure(solver: Option<&Solver>, wanted: impl Fn(&str) -> bool) -> Result<(), String> {
    if wanted("tables") {
        let mut report = Report::new("tables: a random partition of the space, 1 % of it removed, 5 % of the rules widened");
        for columns in [3, 5, 7, 13, 20] {
            for rules in [499, 998, 1492] {
                report.add(&format!("{rules} x {columns}"), &tables::made(rules, columns), true, solver)?;
            }
        }
        report.print();
    }
    if wanted("sparse") {
        let mut report = Report::new("sparse rulebooks: 60 looks, of which a rule mentions a few");
        for (least, most, sizes) in
            [(2, 6, [150, 200, 500, 1000, 1500].as_slice()), (4, 8, &[500, 1500]), (5, 10, &[150, 500, 1500])]
        {
            for &rules in sizes {
                report.add(&format!("{rules} of {least}-{most}"), &sparse::made(rules, least, most), false, solver)?;
            }
        }
        report.print();
    }
    if wanted("weighed") {
        weighed::measure()?;
    }
    if wanted("whole") {
        whole::measure()?;
    }
    Ok(())
}
