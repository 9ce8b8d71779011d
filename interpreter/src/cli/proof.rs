//! `purfle proof RULEBOOK…`: everything that is wrong with a rulebook, all at once; and, asked to, what mends itself.

mod mending;
mod telling;

use std::io;

use clap::{Args, ValueEnum};

use super::diagnostics::Severities;
use super::{Ending, about};
use crate::load::load;
use telling::Telling;

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
    /// Take warnings as errors
    #[arg(long)]
    strict: bool,
    /// Make the fixes that surely keep what was meant, and write the rulebooks anew
    #[arg(long)]
    mend: bool,
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
    /// SARIF 2.1.0, for code review and editors
    Sarif,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    if let Some(slug) = &arguments.about {
        return about::run(slug);
    }
    let severities = if arguments.strict { Severities::Strict } else { Severities::AsTheyAre };
    let mut telling = Telling::new(arguments.form, severities);
    let mut ending = Ending::Well;
    for name in &arguments.rulebooks {
        let proofed = load(name).and_then(|mut loaded| {
            loaded.proof();
            if arguments.mend {
                mending::mend(name, loaded).map(|(loaded, mending)| (loaded, Some(mending)))
            } else {
                Ok((loaded, None))
            }
        });
        ending = ending.max(match proofed {
            Ok((loaded, mending)) => telling.rulebook(name, &loaded, mending.as_ref())?,
            Err(unusable) => telling.unusable(&unusable),
        });
    }
    telling.end()?;
    Ok(ending)
}
