//! Tests of the editor support that need the whole of it.

// A test says what it takes for granted, in its helpers too.
#![allow(clippy::expect_used, clippy::panic)]

mod client;
mod clients;
mod counted;
mod dice;
mod features;
mod leaving;
mod process;
mod racing;
mod random_edits;
mod telling;
