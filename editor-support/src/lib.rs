//! Editor support for Purfle: what an editor asks about a rulebook, and the language server that answers.
//!
//! `analysis` and `ide` are pure and speak of bytes; `proto` turns that into the protocol's terms; `server` keeps the open
//! documents and the order of things.

pub mod analysis;
pub mod ide;
pub mod proto;
pub mod server;
