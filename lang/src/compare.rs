//! Two rulebooks beside each other: what was added, dropped and written otherwise, and what can come out differently.
//!
//! Everything is compared by name. Nothing is guessed: what bears another name is another thing. What is claimed of all
//! records at once is proved, over what a record of both may say.

mod both;
mod carry;
mod claims;
mod clauses;
mod cost;
mod house;
mod items;
mod ladder;
mod money;
mod said;
mod whole;

pub use both::{Both, CounselPair, OwnCost, Pair};
pub use claims::{FindingClaims, Kind, Known, Weighing};
pub use clauses::ClauseChange;
pub use house::{HouseItem, Stand, house_items};
pub use items::{How, ItemChange, items};
pub use ladder::{Relation, hand_relation, relation};
pub use money::{SameFigures, same_figures};
pub use said::{Said, said};
pub use whole::{Turn, Whole, WholeClaim};

#[cfg(test)]
mod tests;
