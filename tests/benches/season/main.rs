//! What a season costs: a rulebook made ready, a large one with many faults told, a small batch, a large one, the same
//! signs written by hand, records of which only one part was touched, and past records counted by two rulebooks.
//!
//! `cargo bench -p purfle-tests --bench season`, with `PURFLE_RECORDS=1000000` for the full run (100,000 otherwise).
//! The generated records stay where `PURFLE_FOLDER` says, and are thrown away without it.
//! Words after `--` choose parts of it: `faults`, `small`, `untouched`, `large`, `reading`, `by-hand`, `weighed`.
//! Where two things are compared they are measured in this one run, and the ratio is printed.

mod by_hand;
mod faults;
mod program;
mod reading;
mod ready;
mod report;
mod untouched;
mod weighed;

use std::env;
use std::error::Error;
use std::path::PathBuf;
use std::process::ExitCode;

use purfle_tests::generate::Manner;
use report::line;

/// The standard rulebook.
const RULEBOOK: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../rulebooks/first-look.purfle");

fn main() -> ExitCode {
    if program::is_program() {
        return program::be();
    }
    match measure() {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("season: {error}");
            ExitCode::FAILURE
        }
    }
}

fn measure() -> Result<(), Box<dyn Error>> {
    let records = match env::var("PURFLE_RECORDS") {
        Ok(text) => text.replace('_', "").parse()?,
        Err(_) => 100_000_u64,
    };
    let thrown_away = tempfile::tempdir()?;
    let folder = env::var_os("PURFLE_FOLDER").map_or_else(|| thrown_away.path().to_owned(), PathBuf::from);
    line("workers", std::thread::available_parallelism().map_or(1, usize::from));
    let book = ready::measure(RULEBOOK)?;
    let asked: Vec<String> = env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    let wanted = |part: &str| asked.is_empty() || asked.iter().any(|word| word == part);
    if wanted("faults") {
        faults::measure(&folder)?;
    }
    if wanted("small") {
        program::small(RULEBOOK, &book, &folder)?;
    }
    if wanted("untouched") {
        untouched::measure(RULEBOOK, &book, &folder, records / 5)?;
    }
    if wanted("weighed") {
        weighed::measure(RULEBOOK, &book, &folder, records)?;
    }
    for (name, manner) in [("ticked sheets", Manner::Ticks), ("looks only", Manner::Looks { percent: 40 })] {
        let file = folder.join(format!("{}.jsonl", name.replace(' ', "-")));
        if wanted("large") || wanted("reading") || wanted("by-hand") {
            program::make(name, &book, manner, records, &file)?;
        }
        let took = if wanted("large") { Some(program::large(name, RULEBOOK, &file, records)?) } else { None };
        if wanted("reading") {
            reading::measure(name, &book, &file, records)?;
        }
        if wanted("by-hand") {
            by_hand::measure(name, &book, &file, records, took)?;
        }
    }
    Ok(())
}
