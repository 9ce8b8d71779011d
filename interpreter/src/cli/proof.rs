//! `purfle proof RULEBOOK…`: everything that is wrong with a rulebook, all at once.

use std::io::{self, BufWriter, Write};

use clap::{Args, ValueEnum};

use super::diagnostics::{Style, human, json, line, summary};
use super::{Ending, about, complain, paint_out};
use crate::load::load;

/// What `purfle proof` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebooks (NAME.purfle)
    #[arg(required_unless_present = "about")]
    rulebooks: Vec<String>,
    /// Say what one kind of error or warning is about, with an example; alone: list all kinds
    #[arg(long, value_name = "SLUG", num_args = 0..=1, default_missing_value = about::ALL, conflicts_with = "rulebooks")]
    about: Option<String>,
    /// The form of what is told
    #[arg(long = "as", value_enum, default_value_t = Form::Human, value_name = "FORM")]
    form: Form,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Form {
    /// Pictures of the text at fault
    Human,
    /// The same in sentences, for screen readers and logs
    Plain,
    /// One line each
    Line,
    /// For programs
    Json,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    if let Some(slug) = &arguments.about {
        return about::run(slug);
    }
    let mut out = BufWriter::new(io::stdout());
    let mut ending = Ending::Well;
    let mut report = json::Report::new();
    for name in &arguments.rulebooks {
        let loaded = match load(name) {
            Ok(mut loaded) => {
                loaded.ready();
                loaded.prove();
                loaded
            }
            Err(unusable) => {
                ending = ending.max(Ending::Unusable);
                if arguments.form == Form::Json {
                    report.unusable(&unusable);
                }
                complain(&unusable.to_string());
                continue;
            }
        };
        if loaded.errors() > 0 {
            ending = ending.max(Ending::Wrong);
        }
        match arguments.form {
            Form::Human => human(&mut out, &loaded, Style::drawn(paint_out()))?,
            Form::Plain => human(&mut out, &loaded, Style::Spoken)?,
            Form::Line => line(&mut out, &loaded)?,
            Form::Json => report.add(&loaded),
        }
        if matches!(arguments.form, Form::Human | Form::Plain) {
            writeln!(out, "{}", summary(name, &loaded))?;
        }
    }
    if arguments.form == Form::Json {
        report.write(&mut out)?;
    }
    out.flush()?;
    Ok(ending)
}
