//! Every choice of the context that a record leaves and that makes a difference to it.
//!
//! Each room tells which context looks it hangs on, and which of their cells make no difference to it. Only those
//! looks are gone through, and only once for cells that make no difference to any room.

use std::sync::Arc;

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use super::alone::AloneMemory;
use super::counsel::VerdictMemory;
use super::intake::{Seen, Touch};
use super::marks::required;
use super::memory::Memory;
use super::outline::Rooms;
use super::room_result::Change;
use super::solve::Scratch;
use super::table::{Bench, Table};
use super::tables::TableId;
use super::usual::{Usual, UsualMemory};
use purfle_lang::finite::node::{CellSet, Node, VariableId};

/// The most choices of the context that are gone through; beyond, the context is left open and figures are enclosed.
const MOST_CONTEXTS: usize = 1024;

/// What a judge works with on one record.
pub struct Working<'a> {
    /// Book and layout.
    pub bench: Bench<'a>,
    pub(super) memory: &'a mut Memory,
    pub(super) scratch: &'a mut Scratch,
    /// What is told of findings that nobody looked at.
    pub open_ones: OpenOnes,
}

/// What is told of findings that nobody looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpenOnes {
    /// How many there are.
    Counted,
    /// Each, with what it costs now.
    Listed,
    /// The same as of those that are suspected.
    InFull,
}

/// A room in which something can hold, or that rules some choice of the context out.
#[derive(Debug)]
pub struct Live {
    /// Which room.
    pub room: usize,
    /// Its table.
    pub table: TableId,
    /// Its different results over the choices of the context, of which there is mostly one.
    pub used: SmallVec<[u32; 4]>,
}

/// How the live rooms come out together in one choice of the context, or in several.
#[derive(Debug)]
pub struct Together {
    /// The result of each live room.
    pub results: Vec<u32>,
}

/// All choices of the context.
#[derive(Debug)]
pub struct Contexts {
    /// The variables that make a difference and are still open.
    pub variables: Vec<VariableId>,
    /// What each of them is chosen to be, choice by choice.
    sets: Vec<CellSet>,
    /// How the rooms come out in each choice, by number; at least one.
    pub choices: Vec<usize>,
    /// The different ways the rooms come out.
    pub together: Vec<Together>,
    /// The rooms that matter, first those that come out the same in every choice.
    pub live: Vec<Live>,
    /// How many of them do.
    pub settled: usize,
    /// Whether the choices are all there are; else the context was left open.
    pub whole: bool,
}

impl Contexts {
    /// What the variables are chosen to be in one choice.
    pub fn sets(&self, choice: usize) -> &[CellSet] {
        let count = self.variables.len();
        &self.sets[choice * count..(choice + 1) * count]
    }
}

impl Working<'_> {
    /// Every choice of the context that the record leaves, with its rooms worked out; none where the record cannot be.
    pub(super) fn contexts(&mut self, seen: &mut Seen) -> Option<Contexts> {
        let live = self.live(seen, false);
        let variables = self.variables(seen, &live);
        let classes = self.classes(seen, &live, &variables);
        let count = classes.iter().try_fold(1_usize, |count, classes| count.checked_mul(classes.len()));
        let open = live.iter().any(|live| self.memory.tables[live.table].open);
        match count {
            Some(count) if count <= MOST_CONTEXTS && !open => self.each_choice(seen, live, variables, &classes, count),
            _ => self.left_open(seen),
        }
    }

    /// Whether anything is possible at all.
    pub(super) fn possible(&mut self, seen: &mut Seen) -> bool {
        self.contexts(seen).is_some()
    }

    fn each_choice(
        &self,
        seen: &mut Seen,
        mut live: Vec<Live>,
        variables: Vec<VariableId>,
        classes: &[Vec<CellSet>],
        count: usize,
    ) -> Option<Contexts> {
        let (tables, results) = (&self.memory.tables, &self.memory.results);
        live.sort_by_key(|live| !tables[live.table].depends.is_empty());
        let settled = live.iter().take_while(|live| tables[live.table].depends.is_empty()).count();
        let mut always: Vec<u32> = Vec::with_capacity(live.len());
        for live in &mut live[..settled] {
            let id = tables[live.table].results[0];
            if !results.outline(id).possible {
                return None;
            }
            live.used.push(id);
            always.push(id);
        }
        // Only these hang on the context at all.
        let hanging = live.len() - settled;
        let moves = self.moves(&live[settled..], &variables, classes);
        let before: Vec<CellSet> = variables.iter().map(|v| seen.sets[*v as usize]).collect();
        let constraints = self.context_constraints(seen);
        let (mut sets, mut choices) = (Vec::with_capacity(count * variables.len()), Vec::with_capacity(count));
        let mut together: Vec<Together> = Vec::new();
        let mut known: FxHashMap<Box<[u32]>, usize> = FxHashMap::default();
        let mut at = vec![0; hanging];
        let mut found: Vec<u32> = Vec::with_capacity(hanging);
        for number in 0..count {
            let (mut rest, mut moves) = (number, moves.as_slice());
            at.fill(0);
            for (variable, classes) in variables.iter().zip(classes) {
                let class = rest % classes.len();
                rest /= classes.len();
                seen.sets[*variable as usize] = classes[class];
                for (at, by) in at.iter_mut().zip(&moves[class * hanging..]) {
                    *at += by;
                }
                moves = &moves[classes.len() * hanging..];
            }
            if !self.allowed(seen, &constraints) {
                continue;
            }
            found.clear();
            found.extend(live[settled..].iter().zip(&at).map(|(live, at)| tables[live.table].results[*at]));
            if !found.iter().all(|id| results.outline(*id).possible) {
                continue;
            }
            sets.extend(variables.iter().map(|variable| seen.sets[*variable as usize]));
            let same = known.get(found.as_slice()).copied().unwrap_or_else(|| {
                let results = always.iter().chain(&found).copied().collect();
                for (live, &id) in live[settled..].iter_mut().zip(&found) {
                    if !live.used.contains(&id) {
                        live.used.push(id);
                    }
                }
                known.insert(found.as_slice().into(), together.len());
                together.push(Together { results });
                together.len() - 1
            });
            choices.push(same);
        }
        for (variable, set) in variables.iter().zip(&before) {
            seen.sets[*variable as usize] = *set;
        }
        (!choices.is_empty()).then_some(Contexts { variables, sets, choices, together, live, settled, whole: true })
    }

    /// For each variable and each of its classes, how far that moves along the table of each room that hangs on the
    /// context.
    fn moves(&self, hanging: &[Live], variables: &[VariableId], classes: &[Vec<CellSet>]) -> Vec<usize> {
        let layout = &self.bench.prepared.built.layout;
        let firsts: Vec<usize> =
            classes.iter().scan(0, |sum, classes| Some(std::mem::replace(sum, *sum + classes.len()))).collect();
        let mut moves = vec![0; classes.iter().map(Vec::len).sum::<usize>() * hanging.len()];
        for (column, live) in hanging.iter().enumerate() {
            let context = &layout.rooms[live.room].context;
            let mut stride = 1;
            for depends in &self.memory.tables[live.table].depends {
                if let Ok(variable) = variables.binary_search(&context[depends.place]) {
                    for (class, set) in classes[variable].iter().enumerate() {
                        let digit = usize::from(depends.classes[set.trailing_zeros() as usize]);
                        moves[(firsts[variable] + class) * hanging.len() + column] = digit * stride;
                    }
                }
                stride *= depends.cells.len();
            }
        }
        moves
    }

    /// Too many choices to go through: every test takes what the context leaves open as it is.
    fn left_open(&mut self, seen: &mut Seen) -> Option<Contexts> {
        let mut live = self.live(seen, true);
        let results: Vec<u32> = live.iter().map(|live| self.memory.tables[live.table].results[0]).collect();
        for (live, id) in live.iter_mut().zip(&results) {
            live.used.push(*id);
        }
        let possible = self.allowed(seen, &self.context_constraints(seen))
            && results.iter().all(|id| self.memory.results.outline(*id).possible);
        let (together, settled) = (vec![Together { results }], live.len());
        let contexts =
            Contexts { variables: Vec::new(), sets: Vec::new(), choices: vec![0], together, live, settled, whole: false };
        possible.then_some(contexts)
    }

    /// What the record asks of the context alone.
    fn context_constraints(&self, seen: &Seen) -> Vec<(&Node, bool)> {
        let layout = &self.bench.prepared.built.layout;
        let asked = |&slot: &u32| required(&layout.view.slots[slot as usize], seen.marks[slot as usize]);
        layout.context_constraints.iter().filter_map(asked).collect()
    }

    fn allowed(&self, seen: &Seen, constraints: &[(&Node, bool)]) -> bool {
        constraints.iter().all(|(node, wanted)| {
            let bounds = node.bounds(&self.bench.prepared.built.layout.view.atoms, &seen.sets, &[]);
            if *wanted { bounds.possibly } else { !bounds.surely }
        })
    }

    /// The open context variables that make a difference.
    fn variables(&self, seen: &Seen, live: &[Live]) -> Vec<VariableId> {
        let prepared = self.bench.prepared;
        let layout = &prepared.built.layout;
        let open = |v: VariableId| seen.sets[v as usize].count_ones() > 1;
        let mut variables: Vec<VariableId> = Vec::new();
        for live in live {
            let context = &layout.rooms[live.room].context;
            variables.extend(self.memory.tables[live.table].depends.iter().map(|depends| context[depends.place]));
        }
        for (slot, read) in layout.context_constraints.iter().zip(&prepared.constraint_reads) {
            if required(&layout.view.slots[*slot as usize], seen.marks[*slot as usize]).is_some() {
                variables.extend(read.iter().copied().filter(|v| open(*v)));
            }
        }
        if !live.is_empty() {
            variables.extend(prepared.beside.iter().copied().filter(|v| open(*v)));
        }
        variables.sort_unstable();
        variables.dedup();
        variables
    }

    /// The cells of each of these variables, those together that make no difference to any room.
    fn classes(&self, seen: &Seen, live: &[Live], variables: &[VariableId]) -> Vec<Vec<CellSet>> {
        let prepared = self.bench.prepared;
        // What constraints read, and what is read beside the rooms, is gone through cell by cell.
        let cell_by_cell = |variable: &VariableId| {
            prepared.beside.contains(variable) || prepared.constraint_reads.iter().any(|read| read.contains(variable))
        };
        let cell_by_cell: Vec<bool> = variables.iter().map(cell_by_cell).collect();
        let first = variables.iter().zip(&cell_by_cell).map(|(variable, cell_by_cell)| {
            let set = seen.sets[*variable as usize];
            if *cell_by_cell { singles(set).collect() } else { vec![set] }
        });
        let mut classes: Vec<Vec<CellSet>> = first.collect();
        for live in live {
            let context = &prepared.built.layout.rooms[live.room].context;
            for depends in &self.memory.tables[live.table].depends {
                let Ok(at) = variables.binary_search(&context[depends.place]) else { continue };
                if cell_by_cell[at] || classes[at].iter().all(|class| class.count_ones() == 1) {
                    continue;
                }
                let mut finer = Vec::with_capacity(classes[at].len());
                for class in &classes[at] {
                    let mut parts = vec![0; depends.cells.len()];
                    for cell in singles(*class) {
                        parts[usize::from(depends.classes[cell.trailing_zeros() as usize])] |= cell;
                    }
                    finer.extend(parts.into_iter().filter(|part| *part != 0));
                }
                classes[at] = finer;
            }
        }
        classes
    }

    /// The rooms in which something can hold, or that rule some choice of the context out, with their tables.
    fn live(&mut self, seen: &mut Seen, open: bool) -> Vec<Live> {
        let prepared = self.bench.prepared;
        let layout = &prepared.built.layout;
        let which = prepared.number * 2 + usize::from(open);
        if self.memory.usual.len() <= which {
            self.memory.usual.resize_with(which + 1, UsualMemory::default);
        }
        let mut remembered = std::mem::take(&mut self.memory.usual[which]);
        remembered.take(&prepared.scopes, seen);
        let mut blank: Option<Seen> = None;
        let mut live = Vec::with_capacity(layout.rooms.len());
        for (at, room) in layout.rooms.iter().enumerate() {
            let Usual { by_context, untouched, good } = remembered.room(&prepared.scopes, at);
            let usual = match seen.touched[at] {
                Touch::No => Some(untouched),
                Touch::Good(count) if count == prepared.good_in_room[at] && room.open_prices.is_empty() => Some(good),
                Touch::Good(_) | Touch::Yes => None,
            };
            let table = match usual {
                Some(&mut Some(known)) => known,
                usual => {
                    let table = match seen.touched[at] {
                        Touch::No => self.table(blank.get_or_insert_with(|| prepared.blank(seen)), at, open, by_context),
                        Touch::Good(_) | Touch::Yes => self.table(seen, at, open, by_context),
                    };
                    if let Some(usual) = usual {
                        *usual = Some(table);
                    }
                    table
                }
            };
            if !table.is_quiet() {
                live.push(Live { room: at, table, used: SmallVec::new() });
            }
        }
        self.memory.usual[which] = remembered;
        live
    }

    fn table(&mut self, seen: &mut Seen, room: usize, open: bool, by_context: &mut Option<u32>) -> TableId {
        self.bench.table(seen, room, open, by_context, self.memory, self.scratch)
    }

    /// The live rooms as they come out together, beside what is remembered of single findings and of counsels and funds.
    pub(super) fn rooms_and_memory<'a>(
        &'a mut self,
        together: &'a Together,
    ) -> (Rooms<'a>, &'a mut AloneMemory, &'a mut VerdictMemory) {
        let Memory { results, alone, verdicts, .. } = &mut *self.memory;
        (Rooms { ids: &together.results, known: results }, alone, verdicts)
    }

    /// What the context looks that the record leaves open can change in a room, by their places among those that it reads.
    /// Where each choice of the context leaves one case, the cases are held against each other; else the room is worked out
    /// with the context left open. With `narrowed`, the record has come to leave less than the room's table was found by.
    pub(super) fn context_changes(&mut self, seen: &mut Seen, live: &Live, narrowed: bool) -> Arc<[(usize, Change)]> {
        let known = &self.memory.tables[live.table];
        if let Some(changes) = known.context_changes.as_ref().filter(|_| !narrowed) {
            return Arc::clone(changes);
        }
        let result = |id: &u32| self.memory.results.of(*id);
        let decided = known.results.iter().all(|id| result(id).single && result(id).possible) && !known.open;
        let changes: Arc<[(usize, Change)]> = if decided {
            self.differences(known)
        } else {
            let own = self.bench.prepared.built.layout.rooms[live.room].variables.len();
            let table = self.table(seen, live.room, true, &mut None);
            let result = self.memory.results.of(self.memory.tables[table].results[0]);
            result.changes.iter().filter(|(place, _)| *place >= own).map(|(place, change)| (place - own, change)).collect()
        };
        if decided || !narrowed {
            self.memory.tables[live.table].context_changes = Some(Arc::clone(&changes));
        }
        changes
    }

    fn differences(&self, table: &Table) -> Arc<[(usize, Change)]> {
        let mut stride = 1;
        let mut changes = Vec::with_capacity(table.depends.len());
        for depends in &table.depends {
            let count = depends.cells.len();
            let mut change = Change::default();
            for first in (0..table.results.len()).filter(|at| at / stride % count == 0) {
                let result = |digit: usize| self.memory.results.of(table.results[first + digit * stride]);
                for digit in 1..count {
                    change.or(result(0).difference(result(digit)));
                }
            }
            changes.push((depends.place, change));
            stride *= count;
        }
        changes.into()
    }
}

/// The cells of a set, each by itself.
fn singles(mut set: CellSet) -> impl Iterator<Item = CellSet> {
    std::iter::from_fn(move || {
        let cell = set & set.wrapping_neg();
        set &= !cell;
        (cell != 0).then_some(cell)
    })
}
