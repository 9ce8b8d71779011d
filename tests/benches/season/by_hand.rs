//! The same signs written straight into Rust by hand: what the language costs beside it, and whether both agree.

mod sheet;
mod signs;
mod three;

use std::error::Error;
use std::fs::{self, File};
use std::io::{BufRead, BufReader};
use std::ops::Range;
use std::path::Path;
use std::sync::Arc;
use std::sync::Mutex;
use std::thread;
use std::time::{Duration, Instant};

use purfle::judge::Judge;
use purfle::outcome::Outcome;
use purfle::plan::Plan;
use purfle::record::Record;
use purfle::records::{Input, Refused, Run};
use purfle_lang::book::{Book, StateWord};

use super::report::line;
use sheet::Sheet;
use signs::{NAMES, Tally, judge};

/// How many records are judged both ways and compared.
const COMPARED: usize = 2000;

/// Judges all records of a file by hand on two threads, prints how long that took beside the program's time, and
/// compares the first ones with what the program says of them.
pub fn measure(name: &str, book: &Arc<Book>, file: &Path, count: u64, program: Option<Duration>) -> Result<(), Box<dyn Error>> {
    let text = fs::read_to_string(file)?;
    let began = Instant::now();
    let total = all(&text)?;
    let took = began.elapsed();
    let found: u64 = total.iter().map(|(found, _)| found).sum();
    let open: u64 = total.iter().map(|(_, open)| open).sum();
    let per_second = count as f64 / took.as_secs_f64();
    line(&format!("{name}: by hand, the signs of {} findings, 2 threads", NAMES.len()), format!("{per_second:8.0} a second"));
    line(&format!("{name}: by hand, found and open"), format!("{found:8}, {open}"));
    if let Some(program) = program {
        let ratio = program.as_secs_f64() / took.as_secs_f64();
        line(&format!("{name}: the program (all figures, CSV) against signs by hand"), format!("{ratio:8.2} times"));
    }
    compare(name, book, file)
}

/// Found and open over all records, by finding.
fn all(text: &str) -> Result<Vec<(u64, u64)>, Box<dyn Error>> {
    let half = text[..text.len() / 2].rfind('\n').map_or(0, |at| at + 1);
    let part = |range: Range<usize>| -> Result<Vec<(u64, u64)>, String> {
        let mut total = vec![(0, 0); NAMES.len()];
        for row in text[range].lines() {
            let tally = judge(&read(row)?);
            for (sum, (found, open)) in total.iter_mut().zip(tally) {
                *sum = (sum.0 + u64::from(found), sum.1 + u64::from(open));
            }
        }
        Ok(total)
    };
    let (first, second) = thread::scope(|scope| {
        let second = scope.spawn(|| part(half..text.len()));
        (part(0..half), second.join())
    });
    let second = second.map_err(|_| "a thread broke off")??;
    Ok(first?.into_iter().zip(second).map(|(a, b)| (a.0 + b.0, a.1 + b.1)).collect())
}

fn read(row: &str) -> Result<Sheet<'_>, String> {
    serde_json::from_str(row).map_err(|bad| format!("{bad} in {row}"))
}

/// Compares what was found and what stayed open, finding by finding.
fn compare(name: &str, book: &Arc<Book>, file: &Path) -> Result<(), Box<dyn Error>> {
    let first: Vec<String> = BufReader::new(File::open(file)?).lines().take(COMPARED).collect::<Result<_, _>>()?;
    let short = file.with_extension("first.jsonl");
    fs::write(&short, first.join("\n"))?;
    let input = Input::new(&short.to_string_lossy(), false).map_err(|bad| bad.to_string())?;
    let plan = Arc::new(Plan::new(Arc::clone(book)));
    let outcomes: Mutex<Vec<Outcome>> = Mutex::new(Vec::new());
    let make = || {
        let mut judge = Judge::new(Arc::clone(&plan));
        move |record: &mut Record| judge.judge(record).map_err(|impossible| Refused::impossible(record, impossible))
    };
    Run { book, inputs: &[input], threads: 1, likeness: None }
        .each(make, |answer| {
            if let (Ok(mut outcomes), Ok(outcome)) = (outcomes.lock(), answer) {
                outcomes.push(outcome);
            }
            Ok(())
        })
        .map_err(|stopped| stopped.to_string())?;
    let outcomes = outcomes.into_inner().map_err(|_| "a thread broke off")?;
    let mut differ: Vec<(usize, usize)> = Vec::new();
    for (at, (row, outcome)) in first.iter().zip(&outcomes).enumerate() {
        let by_hand = judge(&read(row)?);
        let by_program = tally(book, outcome);
        differ.extend((0..NAMES.len()).filter(|&finding| by_hand[finding] != by_program[finding]).map(|finding| (at, finding)));
    }
    if outcomes.len() != first.len() {
        return Err(format!("{} of {} records were refused", first.len() - outcomes.len(), first.len()).into());
    }
    let all = first.len() * NAMES.len();
    line(&format!("{name}: compared with the program, finding by finding"), format!("{all:8}, {} differ", differ.len()));
    for (at, finding) in differ.iter().take(12) {
        let (by_hand, by_program) = (judge(&read(&first[*at])?)[*finding], tally(book, &outcomes[*at])[*finding]);
        line(&format!("  record {} {}", at + 1, NAMES[*finding]), format!("by hand {by_hand:?}, program {by_program:?}"));
    }
    Ok(())
}

/// The program's own outcome, counted in the same way.
fn tally(book: &Book, outcome: &Outcome) -> Tally {
    let mut tally: Tally = [(0, 0); NAMES.len()];
    for judged in outcome.findings.iter().chain(&outcome.not_ruled_out) {
        if let Some(at) = NAMES.iter().position(|name| *name == book[judged.finding].name) {
            let (found, open) = &mut tally[at];
            if judged.state == StateWord::Found { *found += 1 } else { *open += 1 }
        }
    }
    tally
}
