//! What an editor asks: functions of an analysis, a file and a byte offset, that answer with plain values.
//!
//! Nothing here speaks the protocol, and nothing here knows a rule of the language that `lang` could have told: names come
//! from the resolver's notes, lines from the tree, figures from the judge. A byte offset may be any number: one beyond the
//! end is the end, one inside a character is its start.

pub mod actions;
pub mod calls;
pub mod colours;
pub mod completion;
mod cursor;
pub mod definition;
pub mod describe;
pub mod edits;
pub mod folding;
pub mod format;
pub mod hover;
pub mod inlay;
pub mod lenses;
pub mod links;
mod markup;
pub mod outline;
mod reference;
pub mod rename;
pub mod selection;
pub mod signature;
mod source;
#[cfg(test)]
mod tests;
mod tokens;
