//! `purfle handbook RULEBOOK`: the rulebook as a document to read and to print.

use std::io::{self, Write};

use clap::{Args, ValueEnum};

use super::diagnostics::refuse;
use super::output::Destination;
use super::{Ending, loaded};
use crate::by_itself::Figures;
use crate::handbook::{handbook, html, markdown};

/// What `purfle handbook` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebook (NAME.purfle)
    rulebook: String,
    /// The form of the handbook
    #[arg(long = "as", value_enum, default_value_t = Form::Html, value_name = "FORM")]
    form: Form,
    #[command(flatten)]
    destination: Destination,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// A page to read, and to print as a booklet
    Html,
    /// Markdown, with tables
    Markdown,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let Some(mut loaded) = loaded(&arguments.rulebook) else {
        return Ok(Ending::Unusable);
    };
    let judge = loaded.ready();
    let (Some(book), Some(mut judge)) = (&loaded.book, judge) else {
        refuse(&loaded);
        return Ok(Ending::Wrong);
    };
    let Some(mut output) = arguments.destination.opened() else {
        return Ok(Ending::Unusable);
    };
    let handbook = handbook(book, &loaded.trees, &Figures::judged_by(&mut judge));
    match arguments.form {
        Form::Html => output.write_all(html(&handbook).map_err(io::Error::other)?.as_bytes())?,
        Form::Markdown => output.write_all(markdown(&handbook).as_bytes())?,
    }
    output.keep()?;
    Ok(Ending::Well)
}
