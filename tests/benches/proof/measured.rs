//! Each kind of question measured on one set of rules, three ways, and the lines that tell of it.

use std::time::Duration;

use purfle_lang::search::{Gaps, Overlaps, Question, Region, Verdict, gaps};

use crate::clock::{ratio, shown, timed};
use crate::pairwise;
use crate::rules::Rules;
use crate::smt::{preamble, question};
use crate::solver::Solver;

/// So many questions of a kind the solver gets.
const SAMPLE: usize = 60;

/// So many parts of a table may be looked at for gaps.
const MOST_PARTS: u64 = 1_000_000;

/// The lines of one family of rules.
pub struct Report {
    title: &'static str,
    lines: Vec<[String; 8]>,
}

/// How a kind of question came out for us.
struct Ours {
    what: &'static str,
    told: String,
    undecided: usize,
    took: Duration,
}

/// A plain check of the same, if there is one, and what it finds.
type Plain = Option<(String, Duration)>;

/// The questions of a kind: what lies inside, what must be avoided, and whether there is such a case.
type Asked = Vec<(Vec<(char, usize)>, Vec<(char, usize)>, Option<bool>)>;

impl Report {
    /// A report without lines.
    pub fn new(title: &'static str) -> Report {
        Report { title, lines: Vec::new() }
    }

    /// Measures everything on a set of rules.
    pub fn add(&mut self, name: &str, rules: &Rules, dense: bool, solver: Option<&Solver>) -> Result<(), String> {
        let boxes = &rules.boxes;
        let numbers: Vec<usize> = (0..boxes.len()).collect();
        let fixed = match solver {
            Some(solver) => Some(solver.run(&preamble(rules))?.took),
            None => None,
        };
        let mut line = |ours: Ours, plain: Plain, asked: Asked, of: usize| -> Result<(), String> {
            let beside = match (solver, fixed) {
                (Some(solver), Some(fixed)) => Some(estimate(solver, fixed, rules, &asked, of)?),
                _ => None,
            };
            self.lines.push(written(name, &ours, plain, beside));
            Ok(())
        };

        let (overlaps, took) = timed(|| Overlaps::of(&rules.space, boxes));
        let (pairs, plainly) = timed(|| pairwise::overlaps(boxes));
        check(pairs == overlaps.count(), || format!("{name}: {pairs} and {} pairs", overlaps.count()))?;
        let every = boxes.len() * (boxes.len() - 1) / 2;
        let asked = spread(every, SAMPLE)
            .map(|at| (at / boxes.len(), at % boxes.len()))
            .filter(|(one, two)| one != two)
            .map(|(one, two)| (vec![('r', one), ('r', two)], Vec::new(), Some(overlaps.with(one).has(two))))
            .collect();
        let ours = Ours { what: "overlap", told: format!("{pairs} pairs"), undecided: 0, took };
        line(ours, Some((format!("{pairs} pairs"), plainly)), asked, every)?;

        let (gap, took) = timed(|| Question::new(&rules.space).avoiding(boxes).answer());
        witness(name, &gap, &Region::everywhere(), boxes.iter())?;
        let told = match &gap {
            Verdict::Found(_) => "there is one",
            Verdict::None(_) => "there is none",
            Verdict::Undecided => "not decided",
        };
        let ours = Ours { what: "gap, first", told: told.to_owned(), undecided: undecided(&gap), took };
        let asked = vec![(Vec::new(), all_of(&numbers), found(&gap))];
        line(ours, None, asked, 1)?;

        if dense {
            let (all, took) = timed(|| gaps(&rules.space, &Region::everywhere(), boxes, MOST_PARTS));
            check(all.regions.is_empty() == matches!(gap, Verdict::None(_)), || format!("{name}: gaps differ"))?;
            let Gaps { regions, uncovered, complete, .. } = all;
            let told = format!("{} boxes, {uncovered} cases", regions.len());
            let ours = Ours { what: "gaps, all", told, undecided: usize::from(!complete), took };
            line(ours, None, Vec::new(), 0)?;
        }

        for (what, graver_only) in [("shadow, others", false), ("shadow, graver", true)] {
            let shadows = |one: usize, two: usize| one != two && (!graver_only || rules.gravity[two] > rules.gravity[one]);
            let chosen = |at: usize, overlaps: &Overlaps| -> Vec<usize> {
                overlaps.with(at).iter().filter(|other| shadows(at, *other)).collect()
            };
            // Finding out which rules overlap is part of it.
            let (verdicts, took) = timed(|| {
                let overlaps = Overlaps::of(&rules.space, boxes);
                let ask = |at: &usize| {
                    let others = chosen(*at, &overlaps);
                    let others = others.iter().map(|other| &boxes[*other]);
                    Question::new(&rules.space).within(&boxes[*at]).avoiding(others).answer()
                };
                numbers.iter().map(ask).collect::<Vec<_>>()
            });
            for (at, verdict) in verdicts.iter().enumerate() {
                let others = numbers.iter().filter(|other| shadows(at, **other)).map(|other| &boxes[*other]);
                witness(name, verdict, &boxes[at], others)?;
            }
            let (plain, plainly) = timed(|| pairwise::shadowed(&rules.space, boxes, shadows));
            for (at, plain) in plain.iter().enumerate() {
                check(!plain || !matches!(verdicts[at], Verdict::Found(_)), || format!("{name}: rule {at} is covered"))?;
            }
            let asked = spread(boxes.len(), SAMPLE)
                .map(|at| (vec![('r', at)], all_of(&chosen(at, &overlaps)), found(&verdicts[at])))
                .collect();
            let ours = Ours::of(what, &verdicts, took);
            let seen = plain.iter().filter(|plain| **plain).count();
            line(ours, Some((format!("sees {seen}"), plainly)), asked, boxes.len())?;
        }

        let never = |at: usize| Question::new(&rules.space).within(&boxes[at]).impossible(&rules.impossible).answer();
        let (verdicts, took) = timed(|| numbers.iter().map(|at| never(*at)).collect::<Vec<_>>());
        let impossible: Vec<(char, usize)> = (0..rules.impossible.len()).map(|at| ('n', at)).collect();
        let asked = spread(boxes.len(), SAMPLE).map(|at| (vec![('r', at)], impossible.clone(), found(&verdicts[at]))).collect();
        line(Ours::of("never", &verdicts, took), None, asked, boxes.len())
    }

    /// Prints the lines under each other.
    pub fn print(&self) {
        let heads = ["rules", "question", "answer", "not decided", "ours ms", "pairwise ms", "ratio", "solver ms, ratio"];
        let width = |at: usize| self.lines.iter().map(|line| line[at].len()).chain([heads[at].len()]).max().unwrap_or(0);
        let widths: Vec<usize> = (0..heads.len()).map(width).collect();
        println!("\n{}\n", self.title);
        for line in [heads.map(str::to_owned)].iter().chain(&self.lines) {
            let cells: Vec<String> = line.iter().zip(&widths).map(|(cell, width)| format!("{cell:width$}")).collect();
            println!("{}", cells.join("  ").trim_end());
        }
    }
}

impl Ours {
    /// How a question that was asked of every rule came out.
    fn of(what: &'static str, verdicts: &[Verdict], took: Duration) -> Ours {
        let none = verdicts.iter().filter(|verdict| matches!(verdict, Verdict::None(_))).count();
        let undecided = verdicts.iter().map(undecided).sum();
        Ours { what, told: format!("{none} of {}", verdicts.len()), undecided, took }
    }
}

/// What the solver would take for all questions of a kind, from those it was asked; each answer is held against ours.
fn estimate(solver: &Solver, fixed: Duration, rules: &Rules, asked: &Asked, of: usize) -> Result<(Duration, String), String> {
    if asked.is_empty() {
        return Ok((Duration::ZERO, "not asked".to_owned()));
    }
    let text: String = asked.iter().map(|(inside, outside, _)| question(inside, outside.iter().copied())).collect();
    let run = solver.run(&(preamble(rules) + &text))?;
    let answers = run.answers.get(1..).unwrap_or_default();
    check(answers.len() == asked.len(), || format!("the solver gave {} answers of {}", answers.len(), asked.len()))?;
    for (its, (inside, _, ours)) in answers.iter().zip(asked) {
        if let (Some(its), Some(ours)) = (its, ours) {
            check(its == ours, || format!("the solver says {its} of {inside:?}, and we {ours}"))?;
        }
    }
    let unsaid = answers.iter().filter(|answer| answer.is_none()).count();
    let asking = run.took.saturating_sub(fixed);
    if asked.len() < of && asking < fixed / 10 {
        return Ok((Duration::ZERO, format!("too little to scale up (asked {} of {of})", asked.len())));
    }
    let each = asking.as_secs_f64() / asked.len() as f64;
    let all = fixed + Duration::from_secs_f64(each * of as f64);
    let mut how = if asked.len() == of { String::new() } else { format!(" (asked {} of {of})", asked.len()) };
    if unsaid > 0 {
        how += &format!(" ({unsaid} not decided)");
    }
    Ok((all, how))
}

fn written(name: &str, ours: &Ours, plain: Plain, beside: Option<(Duration, String)>) -> [String; 8] {
    let (plainly, its_ratio) = match plain {
        Some((told, took)) => (format!("{} {told}", shown(took)), ratio(took, ours.took)),
        None => ("cannot say".to_owned(), String::new()),
    };
    let solver = match beside {
        Some((took, how)) if took > Duration::ZERO => format!("{}, {}{how}", shown(took), ratio(took, ours.took)),
        Some((_, how)) => how,
        None => String::new(),
    };
    let told = [ours.what.to_owned(), ours.told.clone(), ours.undecided.to_string(), shown(ours.took)];
    let [what, told, undecided, took] = told;
    [name.to_owned(), what, told, undecided, took, plainly, its_ratio, solver]
}

/// Some numbers below `end`, evenly spread.
fn spread(end: usize, most: usize) -> impl Iterator<Item = usize> {
    let count = end.min(most);
    (0..count).map(move |at| at * end / count)
}

fn all_of(numbers: &[usize]) -> Vec<(char, usize)> {
    numbers.iter().map(|at| ('r', *at)).collect()
}

fn found(verdict: &Verdict) -> Option<bool> {
    match verdict {
        Verdict::Found(_) => Some(true),
        Verdict::None(_) => Some(false),
        Verdict::Undecided => None,
    }
}

fn undecided(verdict: &Verdict) -> usize {
    usize::from(*verdict == Verdict::Undecided)
}

/// Whether what was found is one: inside, and in none of those to avoid.
fn witness<'a>(
    name: &str,
    verdict: &Verdict,
    inside: &Region,
    mut avoided: impl Iterator<Item = &'a Region>,
) -> Result<(), String> {
    let Verdict::Found(case) = verdict else { return Ok(()) };
    check(inside.has(case) && !avoided.any(|region| region.has(case)), || format!("{name}: {case:?} is no witness"))
}

fn check(holds: bool, otherwise: impl FnOnce() -> String) -> Result<(), String> {
    if holds { Ok(()) } else { Err(otherwise()) }
}
