//! Tests of the program as it is typed. One binary for all of them, because linking is what costs.

// A test says what it takes for granted, in its helpers too.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod about;
mod allot;
mod ask;
mod bad_input;
mod bad_rulebook;
mod bench;
mod browser;
mod commands;
mod contract;
mod handbook;
mod hostile;
mod layout;
mod libreoffice;
mod proof;
mod readme;
mod rehearse;
mod season_pages;
mod sheet;
mod spreadsheets;
mod trace;
mod weigh;
