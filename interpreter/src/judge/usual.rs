//! The tables that records come back to: of rooms of which nothing was said, and of rooms that are good.
//!
//! Rooms that read the same context looks have one *scope*. What the context can be is counted out scope by scope, so a
//! room is found again by a number, and what other rooms read of the context multiplies nothing.

use rustc_hash::FxHashMap;

use super::intake::Seen;
use super::tables::TableId;
use crate::plan::layout::Layout;
use purfle_lang::finite::node::{CellSet, VariableId};

/// The context looks that a room reads, each list of them once.
#[derive(Debug)]
pub struct Scopes {
    all: Vec<Scope>,
    /// The scope of each room, and its place among those of that scope.
    of_room: Vec<(usize, usize)>,
}

#[derive(Debug)]
struct Scope {
    looks: Vec<VariableId>,
    /// How many rooms have it.
    rooms: usize,
}

impl Scopes {
    /// Those of a layout.
    pub fn of(layout: &Layout) -> Self {
        let mut all: Vec<Scope> = Vec::new();
        let of_room = layout.rooms.iter().map(|room| {
            let at = all.iter().position(|scope| scope.looks == room.context).unwrap_or_else(|| {
                all.push(Scope { looks: room.context.clone(), rooms: 0 });
                all.len() - 1
            });
            all[at].rooms += 1;
            (at, all[at].rooms - 1)
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
    pub untouched: Option<TableId>,
    /// Its table where every look is good that has a good for every record, and nothing else was said.
    pub good: Option<TableId>,
}

/// The most that is remembered of the rooms of one layout.
const MOST_REMEMBERED: usize = 1 << 15;

/// What is remembered of the rooms of one layout.
#[derive(Debug, Default)]
pub struct UsualMemory {
    scopes: Vec<OfScope>,
    count: usize,
    key: Vec<CellSet>,
}

/// What is remembered of the rooms of one scope.
#[derive(Debug, Default)]
struct OfScope {
    /// The number of what its looks can be.
    numbers: FxHashMap<Box<[CellSet]>, usize>,
    /// By that number, and there room by room.
    rooms: Vec<Usual>,
    /// Where those of the record at hand begin.
    here: usize,
}

impl UsualMemory {
    /// Takes what the context of a record can be.
    pub fn take(&mut self, scopes: &Scopes, seen: &Seen) {
        if self.count > MOST_REMEMBERED {
            *self = Self::default();
        }
        self.scopes.resize_with(scopes.all.len(), OfScope::default);
        for (scope, known) in scopes.all.iter().zip(&mut self.scopes) {
            self.key.clear();
            self.key.extend(scope.looks.iter().map(|variable| seen.sets[*variable as usize]));
            let number = known.numbers.get(self.key.as_slice()).copied().unwrap_or_else(|| {
                let number = known.numbers.len();
                known.numbers.insert(self.key.as_slice().into(), number);
                known.rooms.resize((number + 1) * scope.rooms, Usual::default());
                self.count += scope.rooms;
                number
            });
            known.here = number * scope.rooms;
        }
    }

    /// What is remembered of a room for the context that was taken last.
    pub fn room(&mut self, scopes: &Scopes, room: usize) -> &mut Usual {
        let (scope, place) = scopes.of_room[room];
        let OfScope { rooms, here, .. } = &mut self.scopes[scope];
        &mut rooms[*here + place]
    }
}
