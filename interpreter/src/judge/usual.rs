//! The tables that records come back to: of rooms of which nothing was said, and of rooms that are good.
//!
//! Rooms that read the same context looks have one *scope*. What the context can be is counted out scope by scope, so a
//! room is found again by a number, and what other rooms read of the context multiplies nothing.

use rustc_hash::FxHashMap;

use super::intake::Seen;
use crate::plan::layout::Layout;
use purfle_lang::finite::node::{CellSet, VariableId};

/// The context looks that a room reads, each list of them once.
#[derive(Debug)]
pub struct Scopes {
    all: Vec<Vec<VariableId>>,
    /// The scope of each room.
    of_room: Vec<usize>,
}

impl Scopes {
    /// Those of a layout.
    pub fn of(layout: &Layout) -> Self {
        let mut all: Vec<Vec<VariableId>> = Vec::new();
        let of_room = layout.rooms.iter().map(|room| {
            all.iter().position(|scope| *scope == room.context).unwrap_or_else(|| {
                all.push(room.context.clone());
                all.len() - 1
            })
        });
        let of_room = of_room.collect();
        Self { all, of_room }
    }
}

/// What is remembered of one room where its context can be so.
#[derive(Debug, Clone, Copy, Default)]
pub struct Usual {
    /// Its memory for that context.
    pub by_context: Option<u32>,
    /// Its table where nothing was said of it.
    pub untouched: Option<u32>,
    /// Its table where every look is good that has a good for every record, and nothing else was said.
    pub good: Option<u32>,
}

/// The most that is remembered of the rooms of one layout.
const MOST_REMEMBERED: usize = 1 << 15;

/// What is remembered of the rooms of one layout.
#[derive(Debug, Default)]
pub struct UsualMemory {
    /// For each scope, the number of what its looks can be.
    numbers: Vec<FxHashMap<Box<[CellSet]>, usize>>,
    /// For each room, by that number.
    rooms: Vec<Vec<Usual>>,
    /// The numbers of the record at hand, scope by scope.
    here: Vec<usize>,
    count: usize,
    key: Vec<CellSet>,
}

impl UsualMemory {
    /// Takes what the context of a record can be.
    pub fn take(&mut self, scopes: &Scopes, seen: &Seen) {
        if self.count > MOST_REMEMBERED {
            *self = Self::default();
        }
        self.numbers.resize_with(scopes.all.len(), FxHashMap::default);
        self.rooms.resize_with(scopes.of_room.len(), Vec::new);
        self.here.clear();
        for (scope, numbers) in scopes.all.iter().zip(&mut self.numbers) {
            self.key.clear();
            self.key.extend(scope.iter().map(|variable| seen.sets[*variable as usize]));
            let number = numbers.get(self.key.as_slice()).copied().unwrap_or_else(|| {
                numbers.insert(self.key.as_slice().into(), numbers.len());
                numbers.len() - 1
            });
            self.here.push(number);
        }
    }

    /// What is remembered of a room for the context that was taken last.
    pub fn room(&mut self, scopes: &Scopes, room: usize) -> &mut Usual {
        let (known, number) = (&mut self.rooms[room], self.here[scopes.of_room[room]]);
        if known.len() <= number {
            self.count += number + 1 - known.len();
            known.resize(number + 1, Usual::default());
        }
        &mut known[number]
    }
}
