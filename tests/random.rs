//! Random rulebooks and records, and what the two judges make of them.

mod conditions;
pub mod dice;
mod judged;
pub mod records;
pub mod rulebook;
mod sketch;
