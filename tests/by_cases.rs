//! A second judge, simple and slow. It goes through every case of a record one by one, works each out as if everything
//! had been seen, and reads the outcome off the lot. It shares the book and the record with the interpreter, and none
//! of its ways of working an outcome out.

mod agrees;
mod asked;
pub mod case;
mod condition;
pub mod figures;
mod fund;
mod kept;
pub mod lines;
mod matters;
mod points;
pub mod price;
pub mod samples;
pub mod scene;
mod value;
mod verdict;
pub mod walk;

pub use agrees::differences;
pub use verdict::{Verdict, judge};
