//! From the merged tree to the book: every name looked up, every unit converted, every error at once.

pub mod bounds;
#[cfg(test)]
mod by_hand;
pub mod cheaper;
pub mod choices;
pub mod circles;
pub mod example;
pub mod ladder_order;
pub mod names;
pub mod operand;
pub mod places;
pub mod quantity;
pub mod rows;
pub mod scope;
pub mod single;
pub mod typed;
pub mod uses;
pub mod warnings;
