//! What all HTML pages share: the escaping that every text goes through. Their style sheet is a template of theirs.
//!
//! A page is one file that needs nothing beside it: no script, no font, no picture from elsewhere.

mod escape;

pub use escape::Inert;
