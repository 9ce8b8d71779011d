//! `purfle trace RULEBOOK RECORDS [NAME]`: why.

mod advice;
mod bench;
mod choosing;
mod gravity;
mod human;
mod reading;
mod saying;
mod view;
mod whole;

use std::io::{self, Write};
use std::sync::Arc;

use clap::{Args, ValueEnum};
use purfle_lang::book::{Book, FindingId};

use self::choosing::Asked;
use self::view::{Report, Teller};
use super::diagnostics::refuse;
use super::{Ending, complain, loaded, paint_out};
use crate::judge::Judge;
use crate::load::Loaded;
use crate::outcome::{At, Outcome};
use crate::record::Record;
use crate::records::{Refused, Stopped};
use crate::report::{refused_words, write_json};
use crate::trace::Tracer;

/// What `purfle trace` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebook (NAME.purfle)
    rulebook: String,
    /// The record: a file that holds it (CSV, XLSX, ODS, JSON or JSON Lines); - reads the standard input
    records: String,
    /// What to explain: a finding, such as peg-stuck, or at one place, peg-stuck@E; a counsel or a fund; without it, the
    /// whole outcome
    name: Option<String>,
    /// Which record it is, by its own mark or its instrument's, where the file holds several
    #[arg(long, value_name = "MARK")]
    of: Option<String>,
    /// Earlier records, for rulebooks that compare with last time
    #[arg(long, value_name = "FILE")]
    last: Vec<String>,
    /// The form of the report
    #[arg(long = "as", value_enum, default_value_t = Form::Human, value_name = "FORM")]
    form: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// For people
    Human,
    /// For programs
    Json,
}

/// Why nothing is explained.
enum Stop {
    /// The command line or a file cannot be used.
    Unusable(String),
    /// The record is refused.
    Refused(Box<Refused>),
}

impl From<Stopped> for Stop {
    fn from(stopped: Stopped) -> Self {
        Self::Unusable(stopped.to_string())
    }
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let Some(mut loaded) = loaded(&arguments.rulebook) else {
        return Ok(Ending::Unusable);
    };
    let Some(mut judge) = loaded.ready() else {
        refuse(&loaded);
        return Ok(Ending::Wrong);
    };
    match explained(arguments, &loaded, &mut judge) {
        Ok(report) => {
            let mut out = io::stdout();
            match arguments.form {
                Form::Human => out.write_all(human::report(&report, paint_out()).as_bytes())?,
                Form::Json => {
                    let mut text = Vec::new();
                    write_json(&mut text, &report)?;
                    text.push(b'\n');
                    out.write_all(&text)?;
                }
            }
            out.flush()?;
            Ok(Ending::Well)
        }
        Err(Stop::Unusable(why)) => {
            complain(&why);
            Ok(Ending::Unusable)
        }
        Err(Stop::Refused(refused)) => {
            complain(&format!("the record is refused, so nothing comes of it:\n{}", refused_words(&refused).trim_end()));
            Ok(Ending::Wrong)
        }
    }
}

fn explained(arguments: &Arguments, loaded: &Loaded, judge: &mut Judge) -> Result<Report, Stop> {
    let book = Arc::clone(&judge.plan().book);
    let wanted = arguments.name.as_deref().map(|text| choosing::asked(&book, text)).transpose().map_err(Stop::Unusable)?;
    let record = choosing::record(&book, &arguments.records, &arguments.last, arguments.of.as_deref())?;
    let outcome =
        judge.judge_in_full(&record).map_err(|impossible| Stop::Refused(Box::new(Refused::impossible(&record, impossible))))?;
    let teller = Teller::new(&book, loaded, &record, &outcome);
    match wanted {
        Some(Asked::Finding(finding, place)) => one(&book, judge, &record, &outcome, &teller, finding, place),
        Some(Asked::Counsel(counsel)) => Ok(teller.one_counsel(counsel)),
        Some(Asked::Aid(aid)) => Ok(teller.one_fund(aid)),
        None => {
            let mut tracer = Tracer::new(judge, &record, &outcome);
            let told: Vec<_> = outcome.findings.iter().map(|judged| tracer.short(judged.finding, judged.at)).collect();
            Ok(teller.whole(&told))
        }
    }
}

/// One finding, at the place asked for or wherever there is something to explain.
fn one(
    book: &Book,
    judge: &mut Judge,
    record: &Record,
    outcome: &Outcome,
    teller: &Teller<'_>,
    finding: FindingId,
    place: Option<String>,
) -> Result<Report, Stop> {
    let mut tracer = Tracer::new(judge, record, outcome);
    let places: Vec<At> = match place {
        Some(place) => vec![choosing::place(book, record, finding, &place).map_err(Stop::Unusable)?],
        None => tracer.places(finding),
    };
    if places.is_empty() {
        let part = &book[book[finding].on].name;
        return Err(Stop::Unusable(format!(
            "{}: the record has no {part}, so it is clear and there is no place to explain",
            book[finding].name
        )));
    }
    let traces: Vec<_> = places.into_iter().filter_map(|at| tracer.trace(finding, at)).collect();
    Ok(teller.traces(&traces))
}
