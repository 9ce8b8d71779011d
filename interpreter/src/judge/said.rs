//! What sayings leave of the looks that they are said of, remembered.

use std::sync::Arc;

use purfle_lang::saying::Saying;
use rustc_hash::FxHashMap;

use super::extent::Extent;
use super::prepared::Prepared;
use purfle_lang::finite::node::CellSet;
use purfle_lang::finite::view::SlotId;

/// The most sayings remembered.
const MOST_SAYINGS: usize = 1 << 14;

/// The most sayings of one look that are gone through to find one.
const FEW: usize = 12;

/// What sayings that state something leave, by their addresses.
#[derive(Debug, Default)]
pub struct SaidMemory {
    /// For each layout and each of its looks, the first sayings. Most looks have no more.
    first: Vec<Vec<Vec<(usize, CellSet)>>>,
    /// All others, and all of looks of which the number counts.
    others: FxHashMap<(usize, SlotId, usize), (CellSet, Extent)>,
    /// The sayings are kept, so that their addresses stay their own.
    kept: Vec<Arc<Saying>>,
}

impl SaidMemory {
    /// The cells that a saying leaves of a look, and its extent where that counts; none where it was not met before. Nothing
    /// of the saying itself is read.
    pub fn known(&self, prepared: &Prepared, slot: SlotId, saying: &Arc<Saying>) -> Option<(CellSet, Option<Extent>)> {
        let address = Arc::as_ptr(saying) as usize;
        let first = self.first.get(prepared.number)?.get(slot as usize)?;
        if let Some((_, set)) = first.iter().find(|(known, _)| *known == address) {
            return Some((*set, None));
        }
        let numbered = prepared.needs_number[slot as usize];
        if !numbered && first.len() < FEW {
            return None;
        }
        let (set, extent) = self.others.get(&(prepared.number, slot, address))?;
        Some((*set, numbered.then_some(*extent)))
    }

    /// Remembers what a saying leaves, unless its reader does not remember it either: then it will not come again.
    pub fn keep(&mut self, prepared: &Prepared, slot: SlotId, saying: &Arc<Saying>, leaves: (CellSet, Extent)) {
        if self.kept.len() >= MOST_SAYINGS || Arc::strong_count(saying) == 1 {
            return;
        }
        if self.first.len() <= prepared.number {
            self.first.resize_with(prepared.number + 1, Vec::new);
        }
        let first = &mut self.first[prepared.number];
        first.resize_with(prepared.needs_number.len(), Vec::new);
        let first = &mut first[slot as usize];
        let address = Arc::as_ptr(saying) as usize;
        if prepared.needs_number[slot as usize] || first.len() == FEW {
            self.others.insert((prepared.number, slot, address), leaves);
        } else {
            first.push((address, leaves.0));
        }
        self.kept.push(Arc::clone(saying));
    }
}
