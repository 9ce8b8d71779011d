//! The answers: each finds the rulebook it is asked about, asks `ide`, and says in the protocol's terms what came of it.

pub mod commands;
pub mod names;
pub mod shown;
pub mod writing;
