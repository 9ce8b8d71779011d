//! `purfle triage RULEBOOK RECORDS…`: the main job.

use std::io;
use std::path::Path;
use std::sync::Arc;

use clap::{Args, ValueEnum};
use purfle_lang::book::Book;

use super::diagnostics::refuse;
use super::output::{Destination, NEEDS_A_FILE, Output, ended};
use super::progress::Progress;
use super::{Ending, complain, loaded, paint, tell_earlier};
use crate::compared::compared_looks;
use crate::judge::Judge;
use crate::records::{Input, STANDARD_INPUT, Stopped};
use crate::report::{As, Settings};
use crate::triage::{Files, triage};

/// What `purfle triage` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebook (NAME.purfle)
    rulebook: String,
    /// Files of records: CSV, XLSX, ODS, JSON or JSON Lines; FILE.xlsx#SHEET names a sheet; - reads the standard input
    #[arg(required = true)]
    records: Vec<String>,
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
    /// For spreadsheets
    Csv,
    /// To print: a page for the teacher, then one for the family and one for the luthier for each instrument
    Html,
    /// For spreadsheets, as a workbook: outcomes, findings and refused records on a sheet each; needs --out
    Xlsx,
}

/// What may be left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Without {
    /// Private looks, and fields that name no part
    Names,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    if let Some(why) = exchanged(&arguments.rulebook, &arguments.records, &arguments.last) {
        complain(&why);
        return Ok(Ending::Unusable);
    }
    if arguments.form == Form::Xlsx && !arguments.destination.is_file() {
        complain(NEEDS_A_FILE);
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
    let Some((inputs, last)) = open(&book, &arguments.records, &arguments.last) else {
        return Ok(Ending::Unusable);
    };
    let Some(mut output) = arguments.destination.opened() else {
        return Ok(Ending::Unusable);
    };
    let came = judge(&first, arguments, &inputs, &last, &mut output);
    // The system takes memory back faster than it can be taken apart, and the program ends here.
    std::mem::forget((loaded, first));
    ended(came, output)
}

/// What to say where records stand in the rulebook's place, a rulebook among the records, or a file twice. Only names are
/// looked at.
pub fn exchanged(rulebook: &str, records: &[String], last: &[String]) -> Option<String> {
    let ends = |name: &str, endings: &[&str]| {
        let ending = Path::new(name).extension().and_then(|ending| ending.to_str());
        ending.is_some_and(|ending| endings.iter().any(|known| known.eq_ignore_ascii_case(ending)))
    };
    if ends(rulebook, &["csv", "json", "jsonl", "ndjson", "xlsx", "ods"]) {
        return Some(format!("{}: it is named like records; the rulebook comes first, then the records", rulebook));
    }
    if let Some(rulebook) = records.iter().chain(last).find(|name| ends(name, &["purfle"])) {
        return Some(format!(
            "{rulebook}: it is named like a rulebook; one rulebook comes first, and the rest are records (CSV, XLSX, ODS or JSON)"
        ));
    }
    let twice = |names: &[String]| (1..names.len()).find(|at| names[..*at].contains(&names[*at])).map(|at| names[at].clone());
    let input = || records.iter().chain(last).filter(|name| *name == STANDARD_INPUT).nth(1).cloned();
    let twice = input().or_else(|| twice(records)).or_else(|| twice(last))?;
    let what = if twice == STANDARD_INPUT { "the standard input can be read once only" } else { "it is named twice" };
    Some(format!("{twice}: {what}; name each file once"))
}

/// Opens files of records and of earlier ones; none, and all that is wrong with them said, where one cannot be used.
pub fn open(book: &Arc<Book>, records: &[String], last: &[String]) -> Option<(Vec<Input>, Vec<Input>)> {
    let twice = !compared_looks(book).is_empty();
    let open = |names: &[String]| {
        let mut inputs = Vec::new();
        for name in names {
            let opened = Input::new(name, twice).and_then(|input| input.check(book).map(|()| input));
            match opened {
                Ok(input) => inputs.push(input),
                Err(unusable) => complain(&unusable.to_string()),
            }
        }
        (inputs.len() == names.len()).then_some(inputs)
    };
    let (records, last) = (open(records), open(last));
    records.zip(last)
}

fn judge(first: &Judge, arguments: &Arguments, inputs: &[Input], last: &[Input], output: &mut Output) -> Result<Ending, Stopped> {
    let settings = Settings {
        form: match arguments.form {
            Form::Terminal => As::Terminal,
            Form::Json => As::Json,
            Form::Csv => As::Csv,
            Form::Html => As::Html,
            Form::Xlsx => As::Xlsx,
        },
        without_names: arguments.without.contains(&Without::Names),
        paint: paint(output.is_terminal()),
    };
    let mut progress = Progress::new("records", "judged");
    let (report, earlier) = triage(first, Files { inputs, last }, settings, output, || progress.step())?;
    progress.finish();
    tell_earlier(&earlier);
    let totals = report.finish(&earlier)?;
    Ok(if totals.refused > 0 || !earlier.refused.is_empty() { Ending::Wrong } else { Ending::Well })
}
