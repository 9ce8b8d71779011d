//! The `purfle-editor` program: the language server, over the standard input and output.

use std::process::ExitCode;

use clap::Parser;

/// The language server for Purfle rulebooks. An editor starts it and speaks with it over the standard input and output.
#[derive(Debug, Parser)]
#[command(name = "purfle-editor", version, max_term_width = 100)]
struct Arguments {}

fn main() -> ExitCode {
    Arguments::parse();
    match purfle_editor::server::run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(_) => ExitCode::FAILURE,
    }
}
