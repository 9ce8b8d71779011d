//! What several test modules and the benchmarks share.

#[path = "random/dice.rs"]
pub mod dice;
pub mod faulty;
pub mod generate;
