//! The `purfle` program.

use std::process::ExitCode;

use purfle::cli::Allocator;

#[global_allocator]
static ALLOCATOR: Allocator = Allocator;

fn main() -> ExitCode {
    purfle::cli::run()
}
