//! Which records are alike in what most rooms read of the context, such as the kind of instrument.

use std::hash::BuildHasher;
use std::sync::Arc;

use purfle_lang::book::{LookId, RecordPath};
use rustc_hash::{FxBuildHasher, FxHashMap};

use crate::plan::layout::Layout;
use crate::record::{Entry, Record};

/// The most looks that records are told apart by: more would leave few that are alike.
const MOST_LOOKS: usize = 3;

/// Tells records apart by the looks that most rooms read. Rooms of records that are alike are found in the same places.
#[derive(Debug, Default)]
pub struct Likeness {
    looks: Vec<LookId>,
}

impl Likeness {
    /// By the looks of the context that most rooms of a layout read.
    pub fn of(layout: &Layout) -> Self {
        let mut readers: FxHashMap<LookId, usize> = FxHashMap::default();
        for variable in layout.rooms.iter().flat_map(|room| &room.context) {
            if let Some(slot) = layout.view.variables[*variable as usize].slot {
                *readers.entry(layout.view.slots[slot as usize].look.look).or_default() += 1;
            }
        }
        let mut looks: Vec<(usize, LookId)> = readers.into_iter().map(|(look, rooms)| (rooms, look)).collect();
        looks.sort_unstable_by_key(|(rooms, look)| (std::cmp::Reverse(*rooms), *look));
        looks.truncate(MOST_LOOKS);
        Self { looks: looks.into_iter().map(|(_, look)| look).collect() }
    }

    /// A number by which records that have as many places as found and say the same of these looks stand together, and in
    /// the order of the looks beside those that say nearly the same.
    pub fn of_record(&self, record: &Record) -> u64 {
        let (mut said, mut places) = ([0_u16; MOST_LOOKS], 0_u8);
        for entry in &record.entries {
            match entry {
                Entry::Look(look, RecordPath::Single, saying) => {
                    if let Some(at) = self.looks.iter().position(|known| known == look) {
                        // Equal words of one look are mostly one saying.
                        said[at] = (FxBuildHasher.hash_one(Arc::as_ptr(saying) as usize) >> 32) as u16;
                    }
                }
                Entry::Look(_, RecordPath::Found(place), _) => places = places.max(place.saturating_add(2).min(250) as u8),
                Entry::NoPlaces(_) => places = places.max(1),
                _ => {}
            }
        }
        said.iter().fold(places.into(), |number, said| number << u16::BITS | u64::from(*said))
    }
}
