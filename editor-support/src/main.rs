//! The `purfle-editor` program: the language server, over the standard input and output.

use std::io::Write;
use std::path::PathBuf;
use std::process::ExitCode;

use clap::Parser;
use purfle_editor::server::{self, Left};

/// The language server for Purfle rulebooks. An editor starts it and speaks with it over the standard input and output.
#[derive(Debug, Parser)]
#[command(name = "purfle-editor", version, max_term_width = 100)]
struct Arguments {
    /// Note in FILE what is asked and done, and how long it took; never what stands in a rulebook
    #[arg(long, value_name = "FILE")]
    log: Option<PathBuf>,
    /// Taken because editors give it: the standard input and output are always used
    #[arg(long, hide = true)]
    stdio: bool,
}

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    match server::run(arguments.log.as_deref()) {
        Ok(Left::AfterShutdown) => ExitCode::SUCCESS,
        Ok(Left::Unannounced) => ExitCode::FAILURE,
        Err(error) => {
            let log = arguments.log.map_or(String::new(), |log| format!(" ({})", log.display()));
            // Where even that cannot be said, nothing can.
            let _ = writeln!(std::io::stderr(), "purfle-editor: it cannot start{log}: {error}");
            ExitCode::FAILURE
        }
    }
}
