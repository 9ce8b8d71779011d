//! Weighs two rulebooks: what they say differently by name, what that can change, and what it changes on past records.

mod as_read;
mod counted;
mod house;
mod joined;
mod looks;
mod proven;
mod replay;
pub mod view;
mod words;

use purfle_lang::chain::merge;
use purfle_lang::compare::items;

use crate::load::Loaded;
pub use counted::{Files, counted, counted_apart};
pub use house::{Moved, beside, is_house, moved};
pub use proven::proven;
use view::{ItemView, Words};

/// What the two say differently, by name.
pub fn by_name(old: &Loaded, new: &Loaded) -> Vec<ItemView> {
    let changes = items(&merge(&old.trees), &merge(&new.trees));
    let (before, after) = (Words::of(old), Words::of(new));
    changes.iter().map(|change| ItemView::new(change, &before, &after)).collect()
}
