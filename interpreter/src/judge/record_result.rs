//! From a record's cells to its outcome: every choice of the context, every room in it, and their sums.

use purfle_lang::book::StateWord;

use super::alone::{AloneLeft, alone_left};
use super::at_of;
use super::contexts::{Context, Working};
use super::figures::Figures;
use super::intake::Seen;
use super::last::Last;
use super::next::Gathered;
use super::solve::{InstanceResult, RoomResult};
use super::suspect::pointed_to;
use crate::outcome::{At, Outcome};
use crate::plan::node::{CellSet, InstanceId};
use crate::record::Record;

/// What is known of one finding over all choices of the context.
#[derive(Debug, Clone, Copy)]
pub struct Known {
    /// Over the cases.
    pub over: InstanceResult,
    /// Found, suspected or open.
    pub word: StateWord,
    /// By itself if left; none where nothing is to be left or nobody looked.
    pub left: Option<AloneLeft>,
}

/// All that a record comes to, before it is written out.
pub struct Gathering {
    /// Figures over all choices of the context.
    pub figures: Figures,
    /// Findings that hold in some case.
    pub known: Vec<(InstanceId, Known)>,
    /// Counsels and funds.
    pub last: Last,
    /// What to look at next.
    pub looks: Gathered,
}

impl Working<'_> {
    /// The outcome of a record; none where it cannot be.
    pub(super) fn outcome(&mut self, seen: &mut Seen, record: &Record) -> Option<Outcome> {
        let contexts = self.contexts(seen)?;
        let open = self.context_sets(seen);
        let mut states: Vec<Option<InstanceResult>> = vec![None; self.prepared.built.layout.instances.len()];
        let mut by_context: Vec<Figures> = Vec::with_capacity(contexts.len());
        for context in &contexts {
            self.choose(seen, context);
            let results = self.results(&context.results);
            by_context.push(Figures::of(self.ground(seen), &results));
            self.states(&results, &mut states);
        }
        self.narrow(seen, &contexts, &open);
        let mut known = self.known(seen, &states);
        let narrowed = self.context_sets(seen);
        let (mut last, mut looks) = (Last::default(), Gathered::default());
        for (context, figures) in contexts.iter().zip(&by_context) {
            self.choose(seen, context);
            let results = self.results(&context.results);
            let ground = self.ground(seen);
            last.judge(ground, &results, figures, record.quoted);
            looks.rooms(ground, &results, None);
            self.lefts(seen, &results, &mut known);
        }
        self.restore(seen, &narrowed);
        self.context_looks(seen, &contexts, &mut looks);
        self.restore(seen, &narrowed);
        let mut by_context = by_context.into_iter();
        let mut figures = by_context.next()?;
        by_context.for_each(|other| figures.or(&other));
        figures.exact &= contexts.iter().all(|context| context.whole) && seen.blurred.is_empty();
        Some(self.report(seen, record, Gathering { figures, known, last, looks }))
    }

    /// What each context variable can be.
    fn context_sets(&self, seen: &Seen) -> Vec<CellSet> {
        self.prepared.built.layout.context.iter().map(|v| seen.sets[*v as usize]).collect()
    }

    fn restore(&self, seen: &mut Seen, sets: &[CellSet]) {
        for (variable, set) in self.prepared.built.layout.context.iter().zip(sets) {
            seen.sets[*variable as usize] = *set;
        }
    }

    /// Sets the context variables to one choice.
    fn choose(&self, seen: &mut Seen, context: &Context) {
        for (variable, cell) in self.prepared.built.layout.context.iter().zip(&context.cells) {
            seen.sets[*variable as usize] = 1 << cell;
        }
    }

    fn states(&self, results: &[&RoomResult], states: &mut [Option<InstanceResult>]) {
        for (room, result) in self.prepared.built.layout.rooms.iter().zip(results) {
            for (&id, new) in room.instances.iter().zip(&result.instances) {
                let known = &mut states[id as usize];
                *known = Some(match *known {
                    None => *new,
                    Some(old) => InstanceResult {
                        surely: old.surely && new.surely,
                        possibly: old.possibly || new.possibly,
                        urgency: (old.urgency.0.min(new.urgency.0), old.urgency.1.max(new.urgency.1)),
                        alone: (old.alone.0.min(new.alone.0), old.alone.1.max(new.alone.1)),
                        yields_to: old.yields_to & new.yields_to,
                    },
                });
            }
        }
    }

    /// What the record says of the rest may leave less of a look than was written down of it.
    fn narrow(&self, seen: &mut Seen, contexts: &[Context], open: &[CellSet]) {
        let layout = &self.prepared.built.layout;
        if contexts.iter().any(|context| !context.whole) {
            return self.restore(seen, open);
        }
        for (at, variable) in layout.context.iter().enumerate() {
            seen.sets[*variable as usize] =
                contexts.iter().filter_map(|context| context.cells.get(at)).fold(0, |left, cell| left | 1 << cell);
        }
        for (at, room) in layout.rooms.iter().enumerate().filter(|(at, _)| seen.touched[*at]) {
            let result = |context: &Context| &self.memory.results[context.results[at] as usize];
            let [first, rest @ ..] = contexts else {
                continue;
            };
            for (place, set) in &result(first).narrowed {
                let Some(&variable) = room.variables.get(*place) else {
                    continue;
                };
                let of = |context| result(context).narrowed.iter().find(|(p, _)| p == place).map(|(_, set)| *set);
                if let Some(set) = rest.iter().try_fold(*set, |set, context| of(context).map(|other| set | other)) {
                    seen.sets[variable as usize] &= set;
                }
            }
        }
    }

    /// The findings that hold in some case, places that nobody has named told once.
    fn known(&self, seen: &Seen, states: &[Option<InstanceResult>]) -> Vec<(InstanceId, Known)> {
        let layout = &self.prepared.built.layout;
        let ground = self.ground(seen);
        let mut known: Vec<(InstanceId, Known)> = Vec::new();
        let mut unnamed: Vec<(purfle_lang::book::FindingId, usize)> = Vec::new();
        for (id, state) in states.iter().enumerate() {
            let Some(over) = state.filter(|state| state.possibly) else {
                continue;
            };
            let instance = &layout.instances[id];
            let word = if over.surely {
                StateWord::Found
            } else if pointed_to(ground, instance, &self.prepared.sign_slots[id]) {
                StateWord::Suspected
            } else {
                StateWord::Open
            };
            if at_of(ground, self.book[instance.finding].on, instance.spot) == At::Unnamed {
                // Places that nobody has named are all alike: the first stands for them, with the widest figures.
                if let Some((_, at)) = unnamed.iter().find(|(finding, _)| *finding == instance.finding) {
                    let first: &mut Known = &mut known[*at].1;
                    first.over.urgency =
                        (first.over.urgency.0.min(over.urgency.0), first.over.urgency.1.max(over.urgency.1));
                    first.over.alone = (first.over.alone.0.min(over.alone.0), first.over.alone.1.max(over.alone.1));
                    continue;
                }
                unnamed.push((instance.finding, known.len()));
            }
            known.push((id as InstanceId, Known { over, word, left: None }));
        }
        known
    }

    /// What findings cost by themselves if left, for the context that is set. What nobody looked at is only named, so
    /// its chain is not reckoned.
    fn lefts(&self, seen: &Seen, results: &[&RoomResult], known: &mut [(InstanceId, Known)]) {
        let layout = &self.prepared.built.layout;
        for (id, known) in known.iter_mut() {
            if known.word == StateWord::Open || layout.instances[*id as usize].becomes.is_empty() {
                continue;
            }
            let holds = self.prepared.sharing.room_of[*id as usize].is_some_and(|room| {
                let at = layout.rooms[room as usize].instances.iter().position(|other| other == id);
                at.is_some_and(|at| results[room as usize].instances[at].possibly)
            });
            if holds {
                let left = alone_left(self.ground(seen), *id);
                known.left = Some(known.left.map_or(left, |so_far| so_far.or(left)));
            }
        }
    }

    /// What each open context look can change: every room that reads it is worked out with it left open, for every
    /// choice of the rest of the context.
    fn context_looks(&mut self, seen: &mut Seen, contexts: &[Context], looks: &mut Gathered) {
        let prepared = self.prepared;
        let layout = &prepared.built.layout;
        for (at, &variable) in layout.context.iter().enumerate() {
            if seen.sets[variable as usize].count_ones() <= 1 {
                continue;
            }
            let mut done: Vec<&Context> = Vec::new();
            for context in contexts.iter().filter(|context| context.whole) {
                let alike = |other: &Context| {
                    context.cells.iter().zip(&other.cells).enumerate().all(|(i, (x, y))| i == at || x == y)
                };
                if done.iter().any(|other| alike(other)) {
                    continue;
                }
                done.push(context);
                let set = contexts.iter().filter(|other| alike(other)).fold(0, |set, other| set | 1 << other.cells[at]);
                if CellSet::count_ones(set) <= 1 {
                    continue;
                }
                let before = self.context_sets(seen);
                self.choose(seen, context);
                seen.sets[variable as usize] = set;
                let mut ids = context.results.clone();
                for (room, id) in ids.iter_mut().enumerate() {
                    if layout.rooms[room].context.contains(&variable) {
                        *id = self.room(seen, room);
                    }
                }
                looks.rooms(self.ground(seen), &self.results(&ids), Some(variable));
                self.restore(seen, &before);
            }
        }
    }
}
