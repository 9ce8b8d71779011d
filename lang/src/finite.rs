//! The one finite view of a book: looks cut into cells, conditions written out over concrete places, tests as tables.
//!
//! Both the checker and the judge of records stand on it.

pub mod classify;
mod compare;
pub mod compile;
pub mod node;
pub mod standing;
pub mod unnamed;
pub mod view;
pub mod written_out;
