//! Marks: how it came about what a record says of a look, one bit each.

use purfle_lang::finite::node::Node;
use purfle_lang::finite::view::Slot;

/// A value was written down for a look.
pub const STATED: u8 = 1;
/// It was written that the look does not apply.
pub const DASH: u8 = 2;
/// Somebody looked and could not tell.
pub const UNSURE: u8 = 4;
/// Filled because its part is good.
pub const GOOD: u8 = 8;
/// It was written that its place does not apply.
pub const NO_PLACE: u8 = 16;
/// It was written that its part does not apply.
pub const NO_PART: u8 = 32;

/// What the marks of a look ask of a case: a condition, and whether it has to be met.
pub fn required(slot: &Slot, marks: u8) -> Option<(&Node, bool)> {
    match asks(marks) {
        4 => Some((&slot.part, false)),
        3 => Some((&slot.place, false)),
        2 => Some((&slot.applies, false)),
        1 => Some((&slot.applies, true)),
        _ => None,
    }
}

/// Which of these conditions it is, by number: all that a room has to know of the marks of a look.
pub fn asks(marks: u8) -> u8 {
    match marks {
        _ if marks & NO_PART != 0 => 4,
        _ if marks & NO_PLACE != 0 => 3,
        _ if marks & DASH != 0 => 2,
        _ if marks & STATED != 0 => 1,
        _ => 0,
    }
}

/// How many bits such a number takes.
pub const ASKS_BITS: usize = 3;
