//! From our terms to the protocol's.

pub mod diagnostic;
