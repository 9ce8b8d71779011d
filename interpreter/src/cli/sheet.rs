//! `purfle sheet RULEBOOK`: what a rulebook asks, as a sheet to carry.

use std::io::{self, Write};

use clap::{Args, ValueEnum};

use super::diagnostics::refuse;
use super::output::{Destination, NEEDS_A_FILE};
use super::{Ending, complain, loaded};
use crate::sheet::{Scope, html, schema, table, workbook};

/// What `purfle sheet` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebook (NAME.purfle)
    rulebook: String,
    /// The form of the sheet
    #[arg(long = "as", value_enum, default_value_t = Form::Html, value_name = "FORM")]
    form: Form,
    /// Ask only what may apply to the instrument chosen, such as viola
    #[arg(long = "for", value_name = "CHOICE")]
    chosen: Option<String>,
    #[command(flatten)]
    destination: Destination,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// A page to print
    Html,
    /// An empty workbook to fill in, with drop-downs and explanations
    Xlsx,
    /// The heading of a table to fill in
    Csv,
    /// A JSON Schema (2020-12) of a record
    Schema,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let Some(loaded) = loaded(&arguments.rulebook) else {
        return Ok(Ending::Unusable);
    };
    let Some(book) = &loaded.book else {
        refuse(&loaded);
        return Ok(Ending::Wrong);
    };
    let scope = match arguments.chosen.as_deref().map(|chosen| Scope::choose(book, chosen)).transpose() {
        Ok(scope) => scope.unwrap_or(Scope::everything(book)),
        Err(why) => {
            complain(&format!("--for: {why}"));
            return Ok(Ending::Unusable);
        }
    };
    if let Form::Xlsx = arguments.form
        && !arguments.destination.is_file()
    {
        complain(NEEDS_A_FILE);
        return Ok(Ending::Unusable);
    }
    let Some(mut output) = arguments.destination.opened() else {
        return Ok(Ending::Unusable);
    };
    match arguments.form {
        Form::Html => output.write_all(html(&scope).map_err(io::Error::other)?.as_bytes())?,
        Form::Xlsx => output.write_all(&workbook(&scope).map_err(io::Error::other)?)?,
        Form::Csv => output.write_all(table(&scope).as_bytes())?,
        Form::Schema => writeln!(output, "{:#}", schema(&scope))?,
    }
    output.keep()?;
    Ok(Ending::Well)
}
