//! From text to tree: items by the first word of their line, then one small parse for each line and clause.

pub mod tree;
