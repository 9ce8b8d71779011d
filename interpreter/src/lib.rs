//! Judges inspection records of bowed string instruments by a rulebook, and reports what comes out.
//!
//! Data goes one way: a book is made ready as a plan, a record is judged by it, the outcome is reported.

pub mod absent_file;
pub mod allot;
pub mod by_itself;
#[cfg(test)]
mod chance;
pub mod cli;
pub mod compared;
#[cfg(test)]
mod fixture;
pub mod handbook;
pub mod html;
pub mod interview;
pub mod judge;
pub mod load;
pub mod outcome;
pub mod photos;
pub mod plan;
pub mod record;
pub mod records;
pub mod rehearse;
pub mod report;
pub mod sheet;
pub(crate) mod slice;
pub mod trace;
pub mod triage;
pub mod weigh;
pub mod witness;
