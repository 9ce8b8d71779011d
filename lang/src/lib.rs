//! The Purfle language: text in, a resolved book and a list of diagnostics out; no input or output of its own.
//!
//! Data goes one way: text → items → tree → book. Each stage always returns what it could make of its
//! input together with every diagnostic it found.

// The code that is made of the grammar names it.
extern crate alloc;

pub mod amount;
pub mod beside;
pub mod book;
pub mod cells;
pub mod chain;
pub mod check;
pub mod compare;
pub mod diagnostic;
pub mod evaluate;
pub mod finite;
pub mod formula;
pub mod mend;
pub mod nearest;
pub mod number;
pub mod pages;
pub mod quiet;
pub mod resolve;
pub mod saying;
pub mod seal;
pub mod search;
pub mod source;
pub mod span;
pub mod syntax;
pub mod tidy;
pub mod unit;
pub mod wording;
