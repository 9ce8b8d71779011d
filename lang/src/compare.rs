//! Two rulebooks beside each other: what was added, dropped and written otherwise, and what can come out differently.
//!
//! Everything is compared by name. Nothing is guessed: what bears another name is another thing. What is claimed of all
//! records at once is proved, over what a record of both may say.

mod beside;
mod beyond;
mod both;
mod carry;
mod claims;
mod clauses;
mod cost;
mod dearer;
mod guarded;
mod house;
mod items;
mod ladder;
mod matters;
mod money;
mod said;
mod soon;
mod whole;

pub use beside::{Beside, beside};
pub use beyond::BeyondClaim;
pub use both::{Alone, Both, CounselPair, OwnCost, Pair, Sums};
pub use claims::{FindingClaims, Kind, Known, Weighing};
pub use clauses::ClauseChange;
pub use house::{HouseItem, Stand, house_items};
pub use items::{How, ItemChange, items};
pub use ladder::{Relation, hand_relation, relation};
pub use matters::{Matters, matters};
pub use money::{Proved, SameFigures, SumCounsel, same_figures};
pub use said::{Said, said};
pub use whole::{Turn, Whole, WholeClaim};

#[cfg(test)]
mod tests;
