//! A large rulebook with many faults, and all of them told.

use std::error::Error;
use std::fs;
use std::path::Path;

use purfle_tests::faulty::rulebook;

use super::program::run_to;
use super::report::{Rounds, line};

/// How many items it has.
const ITEMS: usize = 5_000;

/// Writes the rulebook and has it proved, as pictures and as lines.
pub fn measure(folder: &Path) -> Result<(), Box<dyn Error>> {
    let (file, out) = (folder.join("faults.purfle"), folder.join("faults.out"));
    let faulty = rulebook(ITEMS);
    fs::write(&file, &faulty.text)?;
    let file = file.to_string_lossy();
    for form in ["human", "line"] {
        let mut failed = None;
        let rounds = Rounds::of(11, || failed = run_to(1, &["proof", &file, "--as", form], &out).err().or(failed.take()));
        if let Some(error) = failed {
            return Err(error);
        }
        let faults = faulty.faults.len();
        line(&format!("{ITEMS} items with {faults} faults, all told as {form} (to reach: 1 s)"), rounds);
    }
    // The last of them is one line for each fault.
    let told = fs::read_to_string(&out)?.lines().filter(|line| line.contains(": error[")).count();
    if told == faulty.faults.len() { Ok(()) } else { Err(format!("{told} of {} faults are told", faulty.faults.len()).into()) }
}
