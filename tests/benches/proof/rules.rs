//! Rules over cells, as all of this benchmark takes them.

use purfle_lang::search::{Region, Space};

/// A set of rules, each a box with a gravity.
pub struct Rules {
    /// The looks and their cells.
    pub space: Space,
    /// What each rule asks for.
    pub boxes: Vec<Region>,
    /// How grave each rule is, from 0 to 4.
    pub gravity: Vec<u8>,
    /// What no instrument shows.
    pub impossible: Vec<Region>,
}
