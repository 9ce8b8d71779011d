//! `purfle seal RULEBOOK…`: a short digest of what a rulebook says.

use std::io::{self, Write};

use clap::Args;

use super::diagnostics::refuse;
use super::{Ending, complain};
use crate::load::load;
use crate::report::shown;

/// What `purfle seal` is told.
#[derive(Debug, Args)]
pub struct Arguments {
    /// The rulebooks (NAME.purfle)
    #[arg(required = true)]
    rulebooks: Vec<String>,
}

/// Runs the command.
pub fn run(arguments: &Arguments) -> io::Result<Ending> {
    let mut out = io::stdout().lock();
    let mut ending = Ending::Well;
    for name in &arguments.rulebooks {
        let loaded = match load(name) {
            Ok(loaded) => loaded,
            Err(unusable) => {
                complain(&unusable.to_string());
                ending = ending.max(Ending::Unusable);
                continue;
            }
        };
        let Some(book) = &loaded.book else {
            refuse(&loaded);
            ending = ending.max(Ending::Wrong);
            continue;
        };
        writeln!(out, "{}  {} {}", book.seal, book.name, shown(&book.edition))?;
        for parent in &book.parents {
            writeln!(out, "{}    built on {} {}", parent.seal, parent.name, shown(&parent.edition))?;
        }
    }
    out.flush()?;
    Ok(ending)
}
