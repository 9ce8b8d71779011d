//! The command line: one file a command. Only here and in the reports is anything printed.

mod about;
mod allot;
mod ask;
pub mod diagnostics;
mod handbook;
mod output;
mod progress;
mod proof;
mod rehearse;
mod seal;
mod sheet;
mod tidy;
mod trace;
mod triage;
mod weigh;

use std::io::{self, IsTerminal, Write};
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::load::{Loaded, load};
use crate::records::EarlierCounts;
use crate::report::{Paint, refused_words};

/// Judges inspection records of bowed string instruments by a rulebook.
#[derive(Debug, Parser)]
#[command(name = "purfle", version, arg_required_else_help = true, max_term_width = 100, after_help = AFTER)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

/// What stands below the commands.
const AFTER: &str = "Begin with: purfle triage RULEBOOK.purfle RECORDS.csv\n\n\
    Every command ends with 0 if all is well, with 1 if the answer is that something is wrong (a rulebook with errors, \
    an example that comes out otherwise, a record that was refused), and with 2 if the command line or a file could not \
    be used.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Read records and print each instrument's outcome and the batch's order of work
    Triage(triage::Arguments),
    /// Check rulebooks: everything that is wrong with them, all at once
    Proof(proof::Arguments),
    /// Run a rulebook's worked examples
    Rehearse(rehearse::Arguments),
    /// Print the inspection sheet of a rulebook, or an empty table, workbook or schema of its records
    Sheet(sheet::Arguments),
    /// Write a rulebook down as a document to read and to print
    Handbook(handbook::Arguments),
    /// Ask, one after the other, what can still change the outcome of one instrument, and write its record
    Ask(ask::Arguments),
    /// Print the seals of rulebooks: short digests of what they say
    Seal(seal::Arguments),
    /// Share a repair fund out over the instruments of a batch
    Allot(allot::Arguments),
    /// Explain one record's outcome, or one finding, counsel or fund of it: why, and what would have to be different
    Trace(trace::Arguments),
    /// Lay rulebooks out in the one canonical way
    Tidy(tidy::Arguments),
    /// What changes between two rulebooks, or two editions of one
    Weigh(weigh::Arguments),
}

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ending {
    /// All well.
    Well,
    /// The answer is that something is wrong.
    Wrong,
    /// The command line or a file could not be used.
    Unusable,
}

impl From<Ending> for ExitCode {
    fn from(ending: Ending) -> Self {
        ExitCode::from(match ending {
            Ending::Well => 0,
            Ending::Wrong => 1,
            Ending::Unusable => 2,
        })
    }
}

/// Runs the program by its command line.
pub fn run() -> ExitCode {
    let ended = match Arguments::parse().command {
        Command::Triage(arguments) => triage::run(&arguments),
        Command::Proof(arguments) => proof::run(&arguments),
        Command::Rehearse(arguments) => rehearse::run(&arguments),
        Command::Sheet(arguments) => sheet::run(&arguments),
        Command::Handbook(arguments) => handbook::run(&arguments),
        Command::Ask(arguments) => ask::run(&arguments),
        Command::Seal(arguments) => seal::run(&arguments),
        Command::Allot(arguments) => allot::run(&arguments),
        Command::Trace(arguments) => trace::run(&arguments),
        Command::Tidy(arguments) => tidy::run(&arguments),
        Command::Weigh(arguments) => weigh::run(&arguments),
    };
    match ended {
        Ok(ending) => ending.into(),
        // Whoever read the report has read enough of it.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            complain(&format!("the report cannot be written: {error}"));
            Ending::Unusable.into()
        }
    }
}

/// A rulebook with those it is built on; none, and why not said, where it cannot be used.
fn loaded(rulebook: &str) -> Option<Loaded> {
    load(rulebook).map_err(|unusable| complain(&unusable.to_string())).ok()
}

/// Says on the standard error what went wrong. If even that cannot be written, nobody is there to read it.
fn complain(message: &str) {
    let _ = writeln!(io::stderr(), "purfle: {}", crate::report::plain(message));
}

/// Says which earlier records are left out, and how many can be compared with nothing.
fn tell_earlier(counts: &EarlierCounts) {
    for refused in &counts.refused {
        complain(&format!("an earlier record is left out:\n{}", refused_words(refused).trim_end()));
    }
    match counts.unplaced {
        0 => {}
        1 => complain("1 earlier record has no tag or no date: nothing is compared with it"),
        many => complain(&format!("{many} earlier records have no tag or no date: nothing is compared with them")),
    }
}

/// Colour on a terminal that wants it.
fn paint(terminal: bool) -> Paint {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
    Paint { colour: terminal && !refused && !dumb }
}

/// Colour for the standard output.
fn paint_out() -> Paint {
    paint(io::stdout().is_terminal())
}
