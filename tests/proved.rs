//! What is proved about rulebooks: each record that shows a claim is replayed, and each verdict is held against going
//! through all cases.

mod definitions;
pub mod facts;
mod replayed;
mod silence;
mod told;
mod verdicts;
