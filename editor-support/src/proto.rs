//! The protocol's terms: positions, texts and answers as the client counts and names them, and nothing but conversion.

pub mod encoding;
pub mod from_proto;
pub mod page;
pub mod pages;
pub mod to_proto;
