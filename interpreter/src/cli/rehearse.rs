//! `purfle rehearse RULEBOOK…`: the worked examples that a shop agrees on.

mod human;
mod junit;
mod mutants;
mod view;

use std::io::{self, BufWriter, Write};
use std::sync::Arc;

use clap::{Args, ValueEnum};

use self::view::{Places, Report, RulebookView};
use super::diagnostics::refuse;
use super::{Ending, complain, paint_out};
use crate::load::load;
use crate::rehearse::Rehearsal;

/// What `purfle rehearse` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebooks (NAME.purfle)
    #[arg(required = true)]
    rulebooks: Vec<String>,
    /// The form of the report
    #[arg(long = "as", value_enum, default_value_t = Form::Human, value_name = "FORM")]
    form: Form,
    /// Change one limit, choice or step at a time, and list the changes that no example notices
    #[arg(long)]
    mutants: bool,
    /// Try changes for so long at the most
    #[arg(long, requires = "mutants", value_name = "SECONDS", default_value_t = 60)]
    within: u64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// For people
    Human,
    /// JUnit XML, for whoever gathers the results of tests
    Junit,
    /// For programs
    Json,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let mut out = BufWriter::new(io::stdout());
    let mut ending = Ending::Well;
    let mut report = Report::new();
    for name in &arguments.rulebooks {
        let mut loaded = match load(name) {
            Ok(loaded) => loaded,
            Err(unusable) => {
                ending = ending.max(Ending::Unusable);
                complain(&unusable.to_string());
                report.unusable(&unusable);
                continue;
            }
        };
        let Some(mut judge) = loaded.ready() else {
            ending = ending.max(Ending::Wrong);
            refuse(&loaded);
            report.refused(name, loaded.errors());
            continue;
        };
        let book = Arc::clone(&judge.plan().book);
        let rehearsal = Rehearsal::of(&book, &mut judge);
        let places = Places::new(&loaded);
        let mut view = RulebookView::new(name, &book, &rehearsal, &places);
        if arguments.mutants {
            view.mutants = Some(mutants::tried(&book, &loaded, &places, Some(arguments.within)));
        }
        if view.failed > 0 {
            ending = ending.max(Ending::Wrong);
        }
        if arguments.form == Form::Human {
            out.write_all(human::report(&view, paint_out()).as_bytes())?;
            if let Some(tried) = &view.mutants {
                out.write_all(mutants::report(tried).as_bytes())?;
            }
        }
        report.rulebooks.push(view);
    }
    match arguments.form {
        Form::Human => {}
        Form::Junit => out.write_all(junit::report(&report).as_bytes())?,
        Form::Json => report.write(&mut out)?,
    }
    out.flush()?;
    Ok(ending)
}
