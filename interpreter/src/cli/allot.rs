//! `purfle allot RULEBOOK RECORDS… --budget MONEY`: shares a repair fund out over a batch.

use std::io;
use std::sync::Arc;

use clap::{Args, ValueEnum};

use super::diagnostics::refuse;
use super::output::{Destination, Output, ended};
use super::progress::Progress;
use super::triage::{Without, exchanged, open};
use super::{Ending, complain, loaded, paint, tell_earlier};
use crate::allot::optimum::{MOST_PURSES, NoPlan};
use crate::allot::{Budget, allot, budget, gather};
use crate::judge::Judge;
use crate::records::{Input, Stopped};
use crate::report::{AllotAs, AllotReport, without_names, write_allot};
use crate::triage::Files;

/// What `purfle allot` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebook (NAME.purfle)
    rulebook: String,
    /// Files of records: CSV, XLSX, ODS, JSON or JSON Lines; FILE.xlsx#SHEET names a sheet; - reads the standard input
    #[arg(required = true)]
    records: Vec<String>,
    /// What there is to spend, such as 5000: for all funds together; FUND=3000 for one fund, as often as there are funds;
    /// with both, each is a limit
    #[arg(long, required = true, allow_hyphen_values = true, value_name = "MONEY")]
    budget: Vec<String>,
    /// Kept for later in the season: taken off the budget first
    #[arg(long, allow_hyphen_values = true, value_name = "MONEY")]
    keep: Option<String>,
    /// Mend by the textbook way only: the first way of each finding
    #[arg(long)]
    textbook: bool,
    /// The form of the report
    #[arg(long = "as", value_enum, default_value_t = Form::Terminal, value_name = "FORM")]
    form: Form,
    /// Earlier records, for rulebooks that compare with last time
    #[arg(long, value_name = "FILE")]
    last: Vec<String>,
    #[command(flatten)]
    destination: Destination,
    /// Leave out what is said to be left out: `names` are all private looks and all fields that name no part
    #[arg(long, value_enum, value_name = "WHAT")]
    without: Vec<Without>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// For people
    Terminal,
    /// For programs
    Json,
    /// For spreadsheets: a row an instrument
    Csv,
    /// One page to print
    Html,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    if let Some(why) = exchanged(&arguments.rulebook, &arguments.records, &arguments.last) {
        complain(&why);
        return Ok(Ending::Unusable);
    }
    if let Some(why) = arguments.destination.named_otherwise(arguments.form) {
        complain(&why);
        return Ok(Ending::Unusable);
    }
    let Some(mut loaded) = loaded(&arguments.rulebook) else {
        return Ok(Ending::Unusable);
    };
    let Some(first) = loaded.ready() else {
        refuse(&loaded);
        return Ok(Ending::Wrong);
    };
    let book = Arc::clone(&first.plan().book);
    if book.aids.is_empty() {
        complain(&format!(
            "{}: the rulebook has no repair fund to share out; write one as an `aid` (whom it is for, what it covers, what it pays)",
            arguments.rulebook
        ));
        return Ok(Ending::Unusable);
    }
    let budget = match budget(&book, &arguments.budget, arguments.keep.as_deref()) {
        Ok(budget) => budget,
        Err(bad) => {
            complain(&bad.to_string());
            return Ok(Ending::Unusable);
        }
    };
    let Some((inputs, last)) = open(&book, &arguments.records, &arguments.last) else {
        return Ok(Ending::Unusable);
    };
    let Some(mut output) = arguments.destination.opened() else {
        return Ok(Ending::Unusable);
    };
    let came = share(&first, arguments, &budget, (&inputs, &last), &mut output);
    ended(came, output)
}

fn share(
    first: &Judge,
    arguments: &Arguments,
    budget: &Budget,
    (inputs, last): (&[Input], &[Input]),
    output: &mut Output,
) -> Result<Ending, Stopped> {
    let book = &first.plan().book;
    let mut progress = Progress::new("records", "judged");
    let mut batch = gather(first, Files { inputs, last }, arguments.textbook, || progress.step())?;
    progress.finish();
    if arguments.without.contains(&Without::Names) {
        without_names(book, &mut batch);
    }
    tell_earlier(&batch.earlier);
    let allotted = match allot(book, &batch, budget) {
        Ok(allotted) => allotted,
        Err(NoPlan::TooLarge) => {
            complain("the sums are too large to be shared out exactly; share out fewer records at once");
            return Ok(Ending::Unusable);
        }
        Err(NoPlan::TooManyPurses) => {
            complain(&format!(
                "more than {MOST_PURSES} sums limit one another, which is more than can be weighed at once; give one sum for several funds"
            ));
            return Ok(Ending::Unusable);
        }
    };
    let form = match arguments.form {
        Form::Terminal => AllotAs::Terminal,
        Form::Json => AllotAs::Json,
        Form::Csv => AllotAs::Csv,
        Form::Html => AllotAs::Html,
    };
    let terminal = paint(output.is_terminal());
    write_allot(output, &AllotReport { book, budget, batch: &batch, allotted: &allotted }, form, terminal)?;
    let wrong = batch.totals.refused > 0 || !batch.earlier.refused.is_empty();
    Ok(if wrong { Ending::Wrong } else { Ending::Well })
}
