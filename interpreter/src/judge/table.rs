//! One room worked out for every choice of the context that it reads, and remembered.

use std::sync::Arc;

use super::alike::partition;
use super::groups::groups;
use super::intake::Seen;
use super::key::KeyMap;
use super::marks::{ASKS_BITS, asks};
use super::memory::Memory;
use super::prepared::{Prepared, every_cell};
use super::price::cells;
use super::room_result::{Change, RoomResult};
use super::solve::{Ground, Scratch, prepare, solve};
use super::tables::TableId;
use crate::plan::layout::Room;
use crate::plan::price::Scaled;
use purfle_lang::finite::node::{CellSet, VariableId};

/// The most choices of its context that a room is worked out for; beyond, they are left open.
const MOST_CHOICES: usize = 512;

/// A context variable that makes a difference to a room.
#[derive(Debug, Clone)]
pub struct Depends {
    /// Its place among the room's context variables.
    pub place: usize,
    /// The class of each cell; cells of one class make no difference.
    pub classes: Vec<u8>,
    /// One cell of each class.
    pub cells: Vec<u8>,
}

/// A room over its context.
#[derive(Debug)]
pub struct Table {
    /// What it hangs on.
    pub depends: Vec<Depends>,
    /// The result for every combination of classes, the first variable fastest.
    pub results: Vec<u32>,
    /// Whether nothing can hold whatever the context, and nothing is ruled out by it.
    pub quiet: bool,
    /// Whether there were too many choices, so that the context was left open together.
    pub open: bool,
    /// What the open looks of its context can change in it, by their places there; none before anybody asked.
    pub context_changes: Option<Arc<[(usize, Change)]>>,
}

/// Which cells of a variable nothing tells apart.
#[derive(Debug)]
pub struct Alike {
    /// The class that each cell is in; nothing where each cell stands by itself.
    class_of: Box<[CellSet]>,
}

impl Alike {
    /// Of classes that hold each cell of a variable of this size once.
    fn of(classes: &[CellSet], size: usize) -> Self {
        if classes.len() == size {
            return Self { class_of: Box::default() };
        }
        let class_of = (0..size).map(|cell| classes.iter().copied().find(|class| class >> cell & 1 == 1).unwrap_or(1 << cell));
        Self { class_of: class_of.collect() }
    }

    fn class_of(&self, cell: u32) -> CellSet {
        self.class_of.get(cell as usize).copied().unwrap_or(1 << cell)
    }

    /// A set together with all cells that are no different from one of it.
    fn closed(&self, set: CellSet) -> CellSet {
        if self.class_of.is_empty() {
            return set;
        }
        let (mut rest, mut all) = (set, 0);
        while rest != 0 {
            all |= self.class_of(rest.trailing_zeros());
            rest &= !all;
        }
        all
    }

    /// The classes that a set is made of, as far as they are in it.
    fn parts(&self, set: CellSet) -> Vec<CellSet> {
        let mut rest = set;
        std::iter::from_fn(|| {
            let part = (rest != 0).then(|| self.class_of(rest.trailing_zeros()) & set)?;
            rest &= !part;
            Some(part)
        })
        .collect()
    }
}

/// What is remembered of a room for one choice of what its context can be.
#[derive(Debug)]
pub struct ByContext {
    /// For each of its variables, the cells that nothing tells apart.
    partition: Vec<Alike>,
    /// Its tables, by what is left open of it.
    tables: KeyMap<TableId>,
}

/// What working rooms out needs beside the record.
#[derive(Clone, Copy)]
pub struct Bench<'a> {
    /// The book.
    pub book: &'a purfle_lang::book::Book,
    /// The layout.
    pub prepared: &'a Prepared,
    /// The least charge in shares.
    pub least_charge: Scaled,
    /// Shares of the major unit.
    pub scale: Scaled,
}

impl<'a> Bench<'a> {
    /// With a record.
    pub fn ground(self, seen: &'a Seen) -> Ground<'a> {
        let Self { book, prepared, least_charge, scale } = self;
        Ground { book, prepared, seen, least_charge, scale }
    }

    /// The table of a room for what the record leaves open of it; with `open`, the context is left open together.
    /// `known_context` keeps what is remembered of the room for this context.
    pub fn table(
        self,
        seen: &mut Seen,
        at: usize,
        open: bool,
        known_context: &mut Option<u32>,
        memory: &mut Memory,
        scratch: &mut Scratch,
    ) -> TableId {
        let layout = &self.prepared.built.layout;
        let room = &layout.rooms[at];
        let size = |variable: VariableId| layout.view.variables[variable as usize].size;
        let mut key = std::mem::take(&mut memory.key);
        key.clear();
        let by_context = *known_context.get_or_insert_with(|| {
            let alike = self.alike(seen, at, memory, scratch);
            key.push(u128::from(open), 1);
            for (&variable, alike) in room.context.iter().zip(alike.iter()) {
                key.push(alike.closed(seen.sets[variable as usize]), size(variable));
            }
            if let Some(known) = memory.rooms[room.memory].get(&key) {
                return *known;
            }
            let partition = self.partition(seen, at, scratch);
            let id = memory.by_context.len() as u32;
            memory.by_context.push(ByContext { partition, tables: KeyMap::default() });
            memory.rooms[room.memory].insert(&key, id);
            id
        });
        let known = &memory.by_context[by_context as usize];
        key.clear();
        for (&variable, alike) in room.variables.iter().zip(&known.partition) {
            key.push(alike.closed(seen.sets[variable as usize]), size(variable));
        }
        for &slot in &room.constraints {
            key.push(asks(seen.marks[slot as usize]).into(), ASKS_BITS);
        }
        for &open in &room.open_prices {
            let (low, high, exact) = seen.open_prices.get(open as usize).copied().unwrap_or_default();
            [(low as u128, 128), (high as u128, 128), (exact.into(), 1)]
                .into_iter()
                .for_each(|(value, bits)| key.push(value, bits));
        }
        let id = match known.tables.get(&key) {
            Some(id) => *id,
            None => {
                let variables = || room.variables.iter().chain(&room.context);
                let before: Vec<CellSet> = variables().map(|v| seen.sets[*v as usize]).collect();
                let alike = memory.alike[room.memory].as_deref().unwrap_or_default();
                for (&variable, alike) in variables().zip(known.partition.iter().chain(alike)) {
                    seen.sets[variable as usize] = alike.closed(seen.sets[variable as usize]);
                }
                let table = self.work_out(seen, at, open, memory, scratch);
                for (variable, set) in variables().zip(&before) {
                    seen.sets[*variable as usize] = *set;
                }
                let id = memory.tables.push(table);
                memory.by_context[by_context as usize].tables.insert(&key, id);
                id
            }
        };
        memory.key = key;
        id
    }

    /// Which cells of the room's variables nothing tells apart, the context being what it is.
    fn partition(self, seen: &Seen, at: usize, scratch: &mut Scratch) -> Vec<Alike> {
        let layout = &self.prepared.built.layout;
        let room = &layout.rooms[at];
        let mut all_open = self.prepared.blank(seen);
        for &variable in &room.variables {
            all_open.sets[variable as usize] = every_cell(layout.view.variables[variable as usize].size);
        }
        self.told_apart(&all_open, room, &room.variables, scratch)
    }

    /// The same for the room's context variables, whatever a record says.
    fn alike(self, seen: &Seen, at: usize, memory: &mut Memory, scratch: &mut Scratch) -> Arc<[Alike]> {
        let layout = &self.prepared.built.layout;
        let room = &layout.rooms[at];
        let known = memory.alike[room.memory].get_or_insert_with(|| {
            let mut all_open = self.prepared.blank(seen);
            for &variable in room.variables.iter().chain(&room.context) {
                all_open.sets[variable as usize] = every_cell(layout.view.variables[variable as usize].size);
            }
            self.told_apart(&all_open, room, &room.context, scratch).into()
        });
        Arc::clone(known)
    }

    fn told_apart(self, open: &Seen, room: &Room, variables: &[VariableId], scratch: &mut Scratch) -> Vec<Alike> {
        let ground = self.ground(open);
        prepare(ground, room, scratch);
        let groups = groups(ground, room, scratch).unwrap_or_default();
        let size = |variable: &VariableId| self.prepared.built.layout.view.variables[*variable as usize].size;
        let classes = partition(ground, room, &groups, variables);
        classes.iter().zip(variables).map(|(classes, variable)| Alike::of(classes, size(variable))).collect()
    }

    /// Works a room out. What is open of its context is made of whole classes of cells that are alike.
    fn work_out(self, seen: &mut Seen, at: usize, open: bool, memory: &mut Memory, scratch: &mut Scratch) -> Table {
        let room = &self.prepared.built.layout.rooms[at];
        let before: Vec<CellSet> = room.context.iter().map(|v| seen.sets[*v as usize]).collect();
        let alike = memory.alike[room.memory].as_deref().unwrap_or_default();
        let choices: Vec<Vec<CellSet>> = before.iter().zip(alike).map(|(set, alike)| alike.parts(*set)).collect();
        let count = choices.iter().try_fold(1_usize, |count, classes| count.checked_mul(classes.len()));
        let count = count.filter(|count| !open && (1..=MOST_CHOICES).contains(count));
        let Some(count) = count else {
            let open = choices.iter().any(|classes| classes.len() > 1);
            let result = solve(self.ground(seen), room, scratch);
            let quiet = is_quiet(&result);
            return Table { depends: Vec::new(), results: vec![memory.results.keep(result)], quiet, open, context_changes: None };
        };
        // Each choice by itself is a table of its own, which other records come back to.
        let mut ids: Vec<u32> = Vec::with_capacity(count);
        for number in 0..count {
            let mut rest = number;
            for (variable, classes) in room.context.iter().zip(&choices) {
                // One cell stands for all that are like it.
                let class = classes[rest % classes.len()];
                seen.sets[*variable as usize] = class & class.wrapping_neg();
                rest /= classes.len();
            }
            ids.push(match count {
                1 => memory.results.keep(solve(self.ground(seen), room, scratch)),
                _ => {
                    let table = self.table(seen, at, false, &mut None, memory, scratch);
                    memory.tables[table].results[0]
                }
            });
        }
        for (variable, set) in room.context.iter().zip(&before) {
            seen.sets[*variable as usize] = *set;
        }
        let quiet = ids.iter().all(|id| is_quiet(memory.results.of(*id)));
        let (depends, results) = compressed(&choices, &ids);
        Table { depends, results, quiet, open: false, context_changes: None }
    }
}

fn is_quiet(result: &RoomResult) -> bool {
    result.possible && result.narrowed.is_empty() && result.instances.iter().all(|known| !known.possibly)
}

/// Leaves out the variables that make no difference, and takes cells that make none together.
fn compressed(choices: &[Vec<CellSet>], ids: &[u32]) -> (Vec<Depends>, Vec<u32>) {
    let first_cell = |class: CellSet| class.trailing_zeros() as u8;
    let mut depends: Vec<Depends> = Vec::new();
    let mut stride = 1;
    for (place, sets) in choices.iter().enumerate() {
        let along = |digit: usize| {
            (0..ids.len()).filter(move |number| number / stride % sets.len() == 0).map(move |first| ids[first + digit * stride])
        };
        let all = sets.iter().fold(0, |all, set| all | set);
        let mut classes = vec![u8::MAX; (CellSet::BITS - all.leading_zeros()) as usize];
        let mut firsts: Vec<usize> = Vec::new();
        for (digit, set) in sets.iter().enumerate() {
            let class = firsts.iter().position(|first| along(*first).eq(along(digit))).unwrap_or_else(|| {
                firsts.push(digit);
                firsts.len() - 1
            });
            cells(*set).into_iter().for_each(|cell| classes[usize::from(cell)] = class as u8);
        }
        if firsts.len() > 1 {
            depends.push(Depends { place, classes, cells: firsts.iter().map(|first| first_cell(sets[*first])).collect() });
        }
        stride *= sets.len();
    }
    let count = depends.iter().map(|depends| depends.cells.len()).product();
    let results = (0..count)
        .map(|number: usize| {
            let mut rest = number;
            let (mut at, mut stride) = (0, 1);
            for (place, sets) in choices.iter().enumerate() {
                if let Some(depends) = depends.iter().find(|depends| depends.place == place) {
                    let cell = depends.cells[rest % depends.cells.len()];
                    rest /= depends.cells.len();
                    at += sets.iter().position(|set| first_cell(*set) == cell).unwrap_or(0) * stride;
                }
                stride *= sets.len();
            }
            ids[at]
        })
        .collect();
    (depends, results)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_makes_no_difference_goes() {
        // Of the first variable, the last two choices come out alike; one of them stands for two cells. The second variable
        // makes no difference.
        let choices = vec![vec![1 << 0, 1 << 2, 1 << 4 | 1 << 5], vec![1 << 0, 1 << 1]];
        let (depends, results) = compressed(&choices, &[7, 9, 9, 7, 9, 9]);
        assert_eq!(depends.len(), 1);
        assert_eq!((depends[0].place, depends[0].cells.as_slice()), (0, [0, 2].as_slice()));
        assert_eq!(depends[0].classes, [0, 255, 1, 255, 1, 1]);
        assert_eq!(results, [7, 9]);
        let (depends, results) = compressed(&choices, &[7, 9, 9, 9, 9, 9]);
        assert_eq!((depends.len(), results.as_slice()), (2, [7, 9, 9, 9].as_slice()));
    }
}
