//! `purfle weigh OLD NEW`: what changes between two rulebooks, or two editions of one.

mod human;

use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, ValueEnum};
use purfle_lang::book::Book;

use super::diagnostics::refuse;
use super::output::opened;
use super::progress::Progress;
use super::{Ending, complain, paint_out};
use crate::judge::Judge;
use crate::load::{Loaded, load};
use crate::records::{Input, Stopped};
use crate::report::write_json;
use crate::weigh::view::{BookView, CountedView, HouseView, VERSION, WeighedView};
use crate::weigh::{Files, Moved, beside, by_name, counted, is_house, moved, proven};

/// What `purfle weigh` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebook as it was (NAME.purfle); a house, to see what a new edition of its parent means for it
    old: String,
    /// The rulebook as it is to be; for a house the new edition of what it is built on
    new: String,
    /// Past records, to count what moves: CSV, XLSX, ODS, JSON or JSON Lines
    records: Vec<String>,
    /// Earlier records, for rulebooks that compare with last time
    #[arg(long, value_name = "FILE", requires = "records")]
    last: Vec<String>,
    /// The form of the report
    #[arg(long = "as", value_enum, default_value_t = Form::Terminal, value_name = "FORM")]
    form: Form,
    /// Write the house on the new edition, to be looked through; instead of the report
    #[arg(long, value_name = "EDITION", conflicts_with_all = ["records", "form"])]
    move_to: Option<String>,
    /// Write the moved house to a file, whole or not at all
    #[arg(long, value_name = "FILE", requires = "move_to")]
    out: Option<PathBuf>,
    /// Replace the file of --out if there is one
    #[arg(long, requires = "out")]
    force: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// For people
    Terminal,
    /// For programs
    Json,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let (mut old, mut new) = match (read(&arguments.old), read(&arguments.new)) {
        (Ok(old), Ok(new)) => (old, new),
        (old, new) => {
            let ending = |side: &Result<_, Ending>| side.as_ref().err().copied().unwrap_or(Ending::Well);
            return Ok(ending(&old).max(ending(&new)));
        }
    };
    let house = is_house(&old.0, &new.0).then(|| moved(&old.0, &new.0, &arguments.old, &arguments.new));
    if let Some(edition) = &arguments.move_to {
        return write_moved(arguments, edition, house.as_ref(), &old.0, &new.0);
    }
    let (house, new_side) = match house {
        Some(Moved { view, loaded, .. }) => (Some(view), loaded.map(|mut loaded| (loaded.ready(), loaded))),
        None => (None, None),
    };
    let called_new = called(&arguments.new, &new.1.plan().book);
    let compared = match new_side {
        Some((Some(judge), loaded)) => {
            new = (loaded, judge);
            true
        }
        Some((None, _)) => false,
        None => house.is_none(),
    };
    let mut view = WeighedView {
        purfle: VERSION,
        old: called(&arguments.old, &old.1.plan().book),
        new: called_new,
        items: Vec::new(),
        proven: None,
        counted: None,
        house,
    };
    let broken = view.house.as_ref().is_some_and(|house| !house.errors.is_empty());
    let mut ending = if broken { Ending::Wrong } else { Ending::Well };
    if compared {
        match count(arguments, &old.1, &new.1) {
            Ok(counted) => view.counted = counted,
            Err(Stopped::Output(error)) => return Err(error),
            Err(Stopped::Input(unusable)) => {
                complain(&unusable.to_string());
                return Ok(Ending::Unusable);
            }
        }
        if view.counted.as_ref().is_some_and(|counted| !counted.refused.is_empty()) {
            ending = Ending::Wrong;
        }
        view.items = by_name(&old.0, &new.0);
        view.proven = proven(&mut old.1, &mut new.1);
    } else {
        ending = Ending::Wrong;
    }
    let mut out = BufWriter::new(io::stdout());
    match arguments.form {
        Form::Terminal => out.write_all(human::report(&view, compared, paint_out()).as_bytes())?,
        Form::Json => {
            let mut text = Vec::new();
            write_json(&mut text, &view)?;
            text.push(b'\n');
            out.write_all(&text)?;
        }
    }
    out.flush()?;
    Ok(ending)
}

/// Reads a rulebook and makes it ready; what is wrong with it is said.
fn read(name: &str) -> Result<(Loaded, Judge), Ending> {
    let mut loaded = load(name).map_err(|unusable| {
        complain(&unusable.to_string());
        Ending::Unusable
    })?;
    match loaded.ready() {
        Some(judge) => Ok((loaded, judge)),
        None => {
            refuse(&loaded);
            Err(Ending::Wrong)
        }
    }
}

fn called(file: &str, book: &Arc<Book>) -> BookView {
    BookView { file: file.to_owned(), rulebook: book.name.clone(), edition: book.edition.clone() }
}

/// What past records come to, where some were given.
fn count(arguments: &Arguments, old: &Judge, new: &Judge) -> Result<Option<CountedView>, Stopped> {
    if arguments.records.is_empty() {
        return Ok(None);
    }
    // They are read once by each rulebook.
    let open = |names: &[String]| -> Result<Vec<Input>, Stopped> {
        let one = |name: &String| {
            let input = Input::new(name, true)?;
            input.check(&old.plan().book)?;
            input.check(&new.plan().book)?;
            Ok(input)
        };
        names.iter().map(one).collect()
    };
    let (inputs, last) = (open(&arguments.records)?, open(&arguments.last)?);
    let mut progress = Progress::new("records", "judged");
    let counted = counted(old, new, Files { inputs: &inputs, last: &last }, || progress.step());
    progress.finish();
    counted.map(Some)
}

/// Writes the house on the new edition.
fn write_moved(arguments: &Arguments, edition: &str, house: Option<&Moved>, old: &Loaded, new: &Loaded) -> io::Result<Ending> {
    let Some(house) = house else {
        complain(&format!(
            "{}: it does not build on the rulebook in {}, so there is nothing to move",
            arguments.old, arguments.new
        ));
        return Ok(Ending::Unusable);
    };
    let HouseView { now, builds_on, .. } = &house.view;
    if now != edition {
        complain(&format!("{}: it is edition {now} of {builds_on}, not {edition}; write --move-to {now}", arguments.new));
        return Ok(Ending::Unusable);
    }
    let Some(mut output) = opened(arguments.out.as_deref(), arguments.force) else {
        return Ok(Ending::Unusable);
    };
    let file = arguments.out.as_deref().unwrap_or(Path::new(&arguments.old));
    let text = house.text(old, new, &beside(Path::new(&arguments.new), file));
    output.write_all(text.as_bytes())?;
    output.keep()?;
    Ok(Ending::Well)
}
