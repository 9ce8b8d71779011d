//! One room worked out for every choice of the context that it reads, and remembered.

use super::Memory;
use super::intake::{DASH, NO_PART, NO_PLACE, STATED, Seen};
use super::prepared::Prepared;
use super::price::cells;
use super::room_result::RoomResult;
use super::solve::{Ground, Scratch, solve};
use crate::plan::node::CellSet;
use crate::plan::price::Scaled;

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
}

impl Table {
    /// The result where each variable has the class that `class_of` gives for its place among the room's context.
    pub fn at(&self, class_of: impl Fn(&Depends) -> usize) -> u32 {
        let mut at = 0;
        let mut stride = 1;
        for depends in &self.depends {
            at += class_of(depends) * stride;
            stride *= depends.cells.len();
        }
        self.results[at]
    }
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
    pub fn table(self, seen: &mut Seen, at: usize, open: bool, memory: &mut Memory, scratch: &mut Scratch) -> u32 {
        let room = &self.prepared.built.layout.rooms[at];
        let mut key = std::mem::take(&mut memory.key);
        key.clear();
        key.push(u64::from(open));
        for &variable in room.context.iter().chain(&room.variables) {
            let set = seen.sets[variable as usize];
            key.push(set as u64);
            if self.prepared.built.layout.variables[variable as usize].size > 64 {
                key.push((set >> 64) as u64);
            }
        }
        for &slot in &room.constraints {
            key.push(u64::from(seen.marks[slot as usize] & (STATED | DASH | NO_PLACE | NO_PART)));
        }
        for &open in &room.open_prices {
            let (low, high, exact) = seen.open_prices.get(open as usize).copied().unwrap_or_default();
            key.extend([low as u64, (low >> 64) as u64, high as u64, (high >> 64) as u64, u64::from(exact)]);
        }
        let found = memory.rooms[room.memory].get(key.as_slice()).copied();
        let id = found.unwrap_or_else(|| {
            let table = self.work_out(seen, at, open, memory, scratch);
            let id = memory.tables.len() as u32;
            memory.tables.push(table);
            memory.rooms[room.memory].insert(key.as_slice().into(), id);
            id
        });
        memory.key = key;
        id
    }

    fn work_out(self, seen: &mut Seen, at: usize, open: bool, memory: &mut Memory, scratch: &mut Scratch) -> Table {
        let room = &self.prepared.built.layout.rooms[at];
        let before: Vec<CellSet> = room.context.iter().map(|v| seen.sets[*v as usize]).collect();
        let choices: Vec<Vec<u8>> = before.iter().map(|set| cells(*set)).collect();
        let count = choices.iter().try_fold(1_usize, |count, cells| count.checked_mul(cells.len()));
        let count = count.filter(|count| !open && (1..=MOST_CHOICES).contains(count));
        let Some(count) = count else {
            let open = choices.iter().any(|cells| cells.len() > 1);
            let result = solve(self.ground(seen), room, scratch);
            let quiet = is_quiet(&result);
            memory.results.push(result);
            return Table { depends: Vec::new(), results: vec![memory.results.len() as u32 - 1], quiet, open };
        };
        let mut ids: Vec<u32> = Vec::with_capacity(count);
        let first = memory.results.len();
        for number in 0..count {
            let mut rest = number;
            for (variable, cells) in room.context.iter().zip(&choices) {
                seen.sets[*variable as usize] = 1 << cells[rest % cells.len()];
                rest /= cells.len();
            }
            let result = solve(self.ground(seen), room, scratch);
            let known = memory.results[first..].iter().position(|other| *other == result);
            ids.push(known.map_or(memory.results.len(), |known| first + known) as u32);
            if known.is_none() {
                memory.results.push(result);
            }
        }
        for (variable, set) in room.context.iter().zip(&before) {
            seen.sets[*variable as usize] = *set;
        }
        let quiet = memory.results[first..].iter().all(is_quiet);
        let (depends, results) = compressed(&choices, &ids);
        Table { depends, results, quiet, open: false }
    }
}

fn is_quiet(result: &RoomResult) -> bool {
    result.possible && result.narrowed.is_empty() && result.instances.iter().all(|known| !known.possibly)
}

/// Leaves out the variables that make no difference, and takes cells that make none together.
fn compressed(choices: &[Vec<u8>], ids: &[u32]) -> (Vec<Depends>, Vec<u32>) {
    let mut depends: Vec<Depends> = Vec::new();
    let mut stride = 1;
    for (place, cells) in choices.iter().enumerate() {
        let along = |digit: usize| {
            (0..ids.len()).filter(move |number| number / stride % cells.len() == 0).map(move |first| ids[first + digit * stride])
        };
        let mut classes = vec![u8::MAX; cells.last().map_or(0, |cell| usize::from(*cell) + 1)];
        let mut firsts: Vec<usize> = Vec::new();
        for digit in 0..cells.len() {
            let class = firsts.iter().position(|first| along(*first).eq(along(digit))).unwrap_or_else(|| {
                firsts.push(digit);
                firsts.len() - 1
            });
            classes[usize::from(cells[digit])] = class as u8;
        }
        if firsts.len() > 1 {
            depends.push(Depends { place, classes, cells: firsts.iter().map(|first| cells[*first]).collect() });
        }
        stride *= cells.len();
    }
    let count = depends.iter().map(|depends| depends.cells.len()).product();
    let results = (0..count)
        .map(|number: usize| {
            let mut rest = number;
            let (mut at, mut stride) = (0, 1);
            for (place, cells) in choices.iter().enumerate() {
                if let Some(depends) = depends.iter().find(|depends| depends.place == place) {
                    let cell = depends.cells[rest % depends.cells.len()];
                    rest /= depends.cells.len();
                    at += cells.iter().position(|c| *c == cell).unwrap_or(0) * stride;
                }
                stride *= cells.len();
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
        // The first variable has three cells of which the last two are alike; the second makes no difference.
        let choices = vec![vec![0, 2, 5], vec![0, 1]];
        let (depends, results) = compressed(&choices, &[7, 9, 9, 7, 9, 9]);
        assert_eq!(depends.len(), 1);
        assert_eq!((depends[0].place, depends[0].cells.as_slice()), (0, [0, 2].as_slice()));
        assert_eq!(depends[0].classes, [0, 255, 1, 255, 255, 1]);
        assert_eq!(results, [7, 9]);
        let (depends, results) = compressed(&choices, &[7, 9, 9, 9, 9, 9]);
        assert_eq!((depends.len(), results.as_slice()), (2, [7, 9, 9, 9].as_slice()));
    }
}
