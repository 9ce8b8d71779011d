//! The `purfle` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    purfle::cli::run()
}
