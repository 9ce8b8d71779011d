//! From our terms to the protocol's.

pub mod actions;
pub mod calls;
pub mod completion;
pub mod diagnostic;
pub mod shown;
pub mod symbols;
pub mod tokens;
