//! Every choice of the context that a record leaves, with all rooms worked out for it; what was worked out before is
//! remembered.

use std::sync::Arc;

use purfle_lang::book::Book;

use super::Memory;
use super::intake::{DASH, NO_PART, NO_PLACE, STATED, Seen};
use super::prepared::Prepared;
use super::solve::{Ground, RoomResult, Scratch, solve};
use crate::plan::node::CellSet;
use crate::plan::price::Scaled;

/// The most choices of the context that are gone through; beyond, the context is left open and figures are enclosed.
const MOST_CONTEXTS: u64 = 4096;

/// What a judge works with on one record.
pub struct Working<'a> {
    /// The book.
    pub book: &'a Book,
    /// The layout.
    pub prepared: &'a Prepared,
    /// The least charge in shares.
    pub least_charge: Scaled,
    /// Shares of the major unit.
    pub scale: Scaled,
    pub(super) memory: &'a mut Memory,
    pub(super) scratch: &'a mut Scratch,
}

/// One choice of the context.
#[derive(Debug)]
pub struct Context {
    /// The cell of each context variable; none where all were left open together.
    pub cells: Vec<u8>,
    /// The result of each room.
    pub results: Vec<u32>,
    /// Whether it is one choice, and not all of them left open together.
    pub whole: bool,
}

impl Working<'_> {
    pub(super) fn ground<'b>(&'b self, seen: &'b Seen) -> Ground<'b> {
        Ground { book: self.book, prepared: self.prepared, seen, least_charge: self.least_charge, scale: self.scale }
    }

    /// Every choice of the context that the record leaves, with its rooms worked out; none where the record cannot be.
    pub(super) fn contexts(&mut self, seen: &mut Seen) -> Option<Vec<Context>> {
        let layout = &self.prepared.built.layout;
        let open: Vec<CellSet> = layout.context.iter().map(|v| seen.sets[*v as usize]).collect();
        let count = open.iter().try_fold(1_u64, |n, set| n.checked_mul(u64::from(set.count_ones()))).unwrap_or(u64::MAX);
        let mut found = Vec::new();
        if count > MOST_CONTEXTS {
            // Too many to go through: every test takes what the context leaves open as it is.
            let results = self.rooms(seen, None);
            let possible = results.iter().all(|id| self.memory.results[*id as usize].possible);
            return possible.then(|| vec![Context { cells: Vec::new(), results, whole: open.is_empty() }]);
        }
        let mut cells: Vec<u8> = open.iter().map(|set| set.trailing_zeros() as u8).collect();
        loop {
            for (variable, cell) in layout.context.iter().zip(&cells) {
                seen.sets[*variable as usize] = 1 << cell;
            }
            if self.context_allowed(seen) {
                let results = self.rooms(seen, Some(&cells));
                if results.iter().all(|id| self.memory.results[*id as usize].possible) {
                    found.push(Context { cells: cells.clone(), results, whole: true });
                }
            }
            // The next choice.
            let mut at = 0;
            let more = loop {
                let Some(set) = open.get(at) else {
                    break false;
                };
                let rest = if cells[at] >= 127 { 0 } else { set & !((2 << cells[at]) - 1) };
                if rest != 0 {
                    cells[at] = rest.trailing_zeros() as u8;
                    break true;
                }
                cells[at] = set.trailing_zeros() as u8;
                at += 1;
            };
            if !more {
                break;
            }
        }
        for (variable, set) in layout.context.iter().zip(&open) {
            seen.sets[*variable as usize] = *set;
        }
        (!found.is_empty()).then_some(found)
    }

    /// Whether anything is possible at all.
    pub(super) fn possible(&mut self, seen: &mut Seen) -> bool {
        self.contexts(seen).is_some()
    }

    fn context_allowed(&self, seen: &Seen) -> bool {
        let layout = &self.prepared.built.layout;
        layout.context_constraints.iter().all(|&slot| {
            layout.slots[slot as usize].required(seen.marks[slot as usize]).is_none_or(|(node, wanted)| {
                let bounds = node.bounds(&layout.atoms, &seen.sets, &[]);
                if wanted { bounds.possibly } else { !bounds.surely }
            })
        })
    }

    /// The results of all rooms for the context set in `seen`. `cells` names the context where it is one choice.
    fn rooms(&mut self, seen: &Seen, cells: Option<&[u8]>) -> Vec<u32> {
        let known = cells.and_then(|cells| self.memory.untouched.get(&(self.prepared.number, cells.to_vec())).cloned());
        let untouched = match known {
            Some(known) => known,
            None => {
                let blank = self.prepared.blank(seen);
                let all: Vec<u32> = (0..self.prepared.built.layout.rooms.len()).map(|room| self.room(&blank, room)).collect();
                let all: Arc<[u32]> = all.into();
                if let Some(cells) = cells {
                    self.memory.untouched.insert((self.prepared.number, cells.to_vec()), Arc::clone(&all));
                }
                all
            }
        };
        let mut results = untouched.to_vec();
        for (room, result) in results.iter_mut().enumerate() {
            if seen.touched[room] {
                *result = self.room(seen, room);
            }
        }
        results
    }

    /// The result of one room.
    pub(super) fn room(&mut self, seen: &Seen, at: usize) -> u32 {
        let layout = &self.prepared.built.layout;
        let room = &layout.rooms[at];
        let mut key = std::mem::take(&mut self.memory.key);
        key.clear();
        for &variable in room.context.iter().chain(&room.variables) {
            let set = seen.sets[variable as usize];
            key.push(set as u64);
            key.push((set >> 64) as u64);
        }
        for &slot in &room.constraints {
            key.push(u64::from(seen.marks[slot as usize] & (STATED | DASH | NO_PLACE | NO_PART)));
        }
        for &open in &room.open_prices {
            let (low, high, exact) = seen.open_prices.get(open as usize).copied().unwrap_or_default();
            key.extend([low as u64, (low >> 64) as u64, high as u64, (high >> 64) as u64, u64::from(exact)]);
        }
        let found = self.memory.rooms[room.memory].get(key.as_slice()).copied();
        let id = found.unwrap_or_else(|| {
            let ground =
                Ground { book: self.book, prepared: self.prepared, seen, least_charge: self.least_charge, scale: self.scale };
            let result = solve(ground, room, self.scratch);
            let id = self.memory.results.len() as u32;
            self.memory.results.push(result);
            self.memory.rooms[room.memory].insert(key.as_slice().into(), id);
            id
        });
        self.memory.key = key;
        id
    }

    /// The results of a choice of the context.
    pub(super) fn results(&self, ids: &[u32]) -> Vec<&RoomResult> {
        ids.iter().map(|id| &self.memory.results[*id as usize]).collect()
    }
}
