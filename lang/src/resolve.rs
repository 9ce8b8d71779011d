//! From the merged tree to the book: every name looked up, every unit converted, every error at once.

pub mod circles;
