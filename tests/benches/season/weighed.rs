//! Past records counted by two rulebooks: one limit moved, and a house's rules against what they are built on; beside
//! one triage of the same records.

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};

use purfle_lang::book::Book;

use super::program::{make, run};
use super::report::line;
use purfle_tests::generate::Manner;

/// The limit that is moved, and where to.
const MOVED: (&str, &str) = ("- gap is above 0.2 mm", "- gap is above 0.3 mm");

/// The house that is built on the rulebook.
const HOUSE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../rulebooks/harrow-bench.purfle");

/// Counts records of either manner, and prints how long that takes beside triage.
pub fn measure(rulebook: &str, book: &Book, folder: &Path, count: u64) -> Result<(), Box<dyn Error>> {
    let text = fs::read_to_string(rulebook)?;
    if text.matches(MOVED.0).count() != 1 {
        return Err(format!("the rulebook does not say just once: {}", MOVED.0).into());
    }
    let moved = folder.join("moved-limit.purfle");
    fs::write(&moved, text.replace(MOVED.0, MOVED.1))?;
    let moved: String = moved.to_string_lossy().into_owned();
    for (name, manner) in [("ticked sheets", Manner::Ticks), ("looks only", Manner::Looks { percent: 40 })] {
        let file: PathBuf = folder.join(format!("{}.jsonl", name.replace(' ', "-")));
        make(name, book, manner, count, &file)?;
        let file = file.to_string_lossy();
        let out = folder.join("weighed.out");
        let triage = run(&["triage", rulebook, &file, "--as", "csv"], &out)?.took.as_secs_f64();
        line(&format!("{name}: one triage of {count} records"), format!("{triage:8.2} s"));
        for (change, new) in [("one limit moved", moved.as_str()), ("a house's rules", HOUSE)] {
            // What is proved of the rulebooks takes no records.
            let proved = run(&["weigh", rulebook, new, "--as", "json"], &out)?.took.as_secs_f64();
            let counted = run(&["weigh", rulebook, new, &file, "--as", "json"], &out)?;
            let took = counted.took.as_secs_f64() - proved;
            let peak = counted.peak.map_or(String::new(), |peak| format!(", {peak:.0} MB"));
            line(
                &format!("{name}: counted, {change} (to reach: 2 s)"),
                format!("{took:8.2} s, {:.2} times a triage{peak}", took / triage),
            );
        }
    }
    Ok(())
}
