//! From a record's cells to its outcome: every choice of the context, every room in it, and their sums.

use purfle_lang::book::{FindingId, PartId, StateWord};
use purfle_lang::number::Number;
use rustc_hash::FxHashMap;

use super::alone::{AloneLeft, other_ways};
use super::at_of;
use super::brief::Brief;
use super::contexts::{Contexts, Live, OpenOnes, Working};
use super::figures::{Figures, FirstSums, Parted, SumsHere};
use super::intake::Seen;
use super::last::{ComeTo, Last};
use super::memory::Memory;
use super::next::{COST_IF_LEFT, COSTS, Floor, Floors, Gathered};
use super::outline::Rooms;
use super::room_result::{Changes, InstanceResult};
use super::sharing::Shared;
use super::suspect::pointed_to;
use crate::outcome::{At, Outcome};
use crate::plan::layout::Instance;
use crate::plan::price::Scaled;
use crate::record::Record;
use purfle_lang::finite::node::{CellSet, InstanceId, VariableId};

/// What is known of one finding over all choices of the context.
#[derive(Debug, Clone)]
pub struct Known {
    /// Over the cases.
    pub over: InstanceResult,
    /// Found, suspected or open.
    pub word: StateWord,
    /// By itself if left; none where nothing is to be left or nobody looked.
    pub left: Option<AloneLeft>,
    /// What further ways of mending it cost, and whether both ends are reached.
    pub ways: Vec<((Scaled, Scaled), bool)>,
    /// Which of the live rooms it is in, and where.
    place: (usize, usize),
}

impl Known {
    fn wider_ways(&mut self, other: Vec<((Scaled, Scaled), bool)>) {
        if self.ways.is_empty() {
            self.ways = other;
            return;
        }
        for (known, new) in self.ways.iter_mut().zip(other) {
            known.0 = (known.0.0.min(new.0.0), known.0.1.max(new.0.1));
            known.1 &= new.1;
        }
    }
}

/// Where a finding stands that holds in some case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stands {
    /// Which finding, and at which place.
    pub id: InstanceId,
    /// The live room.
    room: u32,
    /// Its place in it.
    place: u32,
}

/// The findings that hold in some case, in the book's order, places that nobody has named told once.
#[derive(Debug, Default)]
pub struct AllKnown {
    /// Each; those that are open only where they are to be listed.
    pub listed: Vec<(InstanceId, Known)>,
    /// How many are open.
    pub open: usize,
    /// The parts with work on places that nobody has named.
    pub unnamed_work: Vec<PartId>,
}

/// All that a record comes to, before it is written out.
pub struct Gathering {
    /// Figures over all choices of the context.
    pub figures: Figures,
    /// Findings that hold in some case.
    pub known: AllKnown,
    /// Counsels and funds.
    pub last: Last,
    /// What to look at next.
    pub looks: Gathered,
}

/// How a choice of the context, or several, comes out.
#[derive(Clone, Copy)]
struct Way {
    /// How its rooms come out together, by number.
    together: usize,
    /// Its sums, by number.
    sums: usize,
    /// The steps it can come to, a bit each.
    steps: CellSet,
}

/// What the rooms of a record come to together, over all choices of the context.
struct Summed {
    /// Over all choices.
    whole: Figures,
    /// The different sums.
    sums: Vec<SumsHere>,
    /// The different ways in which a choice comes out.
    ways: Vec<Way>,
    /// The way of each choice.
    way_of: Vec<usize>,
    /// The least that each room leaves to the others, where that was asked for.
    lowest: Floors,
}

impl Summed {
    /// What one choice of the context comes to, with its rooms.
    fn come_to<'a>(&'a self, contexts: &'a Contexts, choice: usize, rooms: Rooms<'a>, quoted: Option<Number>) -> ComeTo<'a> {
        let Way { together, sums, steps } = self.ways[self.way_of[choice]];
        ComeTo {
            chosen: &contexts.variables,
            live: &contexts.live,
            rooms,
            together,
            steps,
            sums: (sums, &self.sums[sums]),
            quoted,
        }
    }
}

impl Working<'_> {
    /// Whether the costs of a record are exact, and not only enclosed; none where the record cannot be.
    pub(super) fn exact(&mut self, seen: &mut Seen) -> Option<bool> {
        let contexts = self.contexts(seen)?;
        let figures = self.summed(seen, &contexts, false)?.whole;
        Some(figures.exact && [figures.now.0, figures.now.1, figures.left.0, figures.left.1].iter().all(|total| total.exact))
    }

    /// The figures of each choice of the context, and of all; with `with_floors`, what each room leaves to the others as well.
    fn summed(&mut self, seen: &mut Seen, contexts: &Contexts, with_floors: bool) -> Option<Summed> {
        let mut whole: Option<Figures> = None;
        let mut sums: Vec<SumsHere> = Vec::new();
        let mut ways: Vec<Way> = Vec::new();
        let mut way_of: Vec<usize> = Vec::with_capacity(contexts.choices.len());
        let mut lowest = Floors::default();
        let mut settled: Option<Figures> = None;
        let mut firsts: Vec<FirstSums> = Vec::new();
        let elsewhere = self.shared_by(&contexts.live[contexts.settled..]);
        self.each_context(seen, contexts, |this, seen, choice| {
            let ground = this.bench.ground(seen);
            let prices = this.memory.prices.prices(ground);
            let together = contexts.choices[choice];
            let same = |way: &Way| way.together == together && sums[way.sums].at(&prices);
            if let Some(known) = ways.iter().position(same) {
                return way_of.push(known);
            }
            let Memory { sums: memory, results, .. } = &mut *this.memory;
            let rooms = Rooms { ids: &contexts.together[together].results, known: results };
            let (first, hanging) = rooms.split(contexts.settled);
            let at = sums.iter().position(|known| known.are(&prices, hanging.moneys())).unwrap_or_else(|| {
                sums.push(SumsHere::new(
                    memory.sums(ground, &prices, Parted { first, hanging, elsewhere }, &mut firsts),
                    hanging.moneys(),
                ));
                sums.len() - 1
            });
            let settled = settled.get_or_insert_with(|| Figures::without_money(first));
            let figures = settled.with(hanging, ground, &sums[at].sums, rooms);
            if with_floors {
                lowest.lower(first, hanging, sums[at].sums.always);
            }
            way_of.push(ways.len());
            ways.push(Way { together, sums: at, steps: figures.steps });
            match &mut whole {
                Some(whole) => whole.or(&figures),
                None => whole = Some(figures),
            }
        });
        let mut whole = whole?;
        whole.exact &= contexts.whole && seen.blurred.is_empty();
        Some(Summed { whole, sums, ways, way_of, lowest })
    }

    /// What these rooms can share, now and if left, in any of the ways in which they come out.
    fn shared_by(&self, live: &[Live]) -> (Shared, Shared) {
        let results = &self.memory.results;
        let outlines = live.iter().flat_map(|live| &live.used).map(|id| results.outline(*id));
        outlines.fold((0, 0), |all, outline| (all.0 | outline.shared.0, all.1 | outline.shared.1))
    }

    /// The outcome of a record; none where it cannot be.
    pub(super) fn outcome(&mut self, seen: &mut Seen, record: &Record) -> Option<Outcome> {
        let contexts = self.contexts(seen)?;
        let summed = self.summed(seen, &contexts, true)?;
        let narrowed = self.narrow(seen, &contexts);
        let mut known = self.known(seen, &contexts);
        let (mut last, mut looks) = (Last::default(), Gathered::default());
        let layout = &self.bench.prepared.built.layout;
        let told = |known: &Known, instance: &Instance| {
            (self.open_ones == OpenOnes::InFull || known.word != StateWord::Open)
                && (!instance.ways.is_empty() || !instance.becomes.is_empty())
        };
        let told = (0..known.listed.len()).filter(|at| {
            let (id, known) = &known.listed[*at];
            told(known, &layout.instances[*id as usize])
        });
        let told: Vec<usize> = told.collect();
        self.each_context(seen, &contexts, |this, seen, choice| {
            let ground = this.bench.ground(seen);
            let (rooms, alone, verdicts) = this.rooms_and_memory(&contexts.together[contexts.choices[choice]]);
            last.judge(ground, summed.come_to(&contexts, choice, rooms, record.quoted), verdicts);
            for at in &told {
                let (id, known) = &mut known.listed[*at];
                let (room, place) = known.place;
                if !rooms.known.of(rooms.ids[room]).instances[place].possibly {
                    continue;
                }
                let instance = &layout.instances[*id as usize];
                if !instance.ways.is_empty() {
                    known.wider_ways(other_ways(ground, *id));
                }
                if !instance.becomes.is_empty() {
                    let left = alone.left(ground, *id);
                    known.left = Some(known.left.map_or(left, |so_far| so_far.or(left)));
                }
            }
        });
        self.looks(seen, &contexts, &summed.lowest, narrowed, &mut looks);
        Some(self.report(seen, record, Gathering { figures: summed.whole, known, last, looks }))
    }

    /// What past records are counted by; none where the record cannot be.
    pub(super) fn brief(&mut self, seen: &mut Seen, record: &Record) -> Option<Brief> {
        let contexts = self.contexts(seen)?;
        let summed = self.summed(seen, &contexts, false)?;
        self.narrow(seen, &contexts);
        let mut last = Last::default();
        if !self.bench.book.aids.is_empty() || !self.bench.book.counsels.is_empty() {
            self.each_context(seen, &contexts, |this, seen, choice| {
                let ground = this.bench.ground(seen);
                let (rooms, _, verdicts) = this.rooms_and_memory(&contexts.together[contexts.choices[choice]]);
                last.judge(ground, summed.come_to(&contexts, choice, rooms, record.quoted), verdicts);
            });
        }
        Some(self.in_brief(seen, &contexts, summed.whole, last))
    }

    /// Sets the context to each choice in turn, and back.
    fn each_context(&mut self, seen: &mut Seen, contexts: &Contexts, mut tell: impl FnMut(&mut Self, &Seen, usize)) {
        let before: Vec<CellSet> = contexts.variables.iter().map(|v| seen.sets[*v as usize]).collect();
        for choice in 0..contexts.choices.len() {
            for (variable, set) in contexts.variables.iter().zip(contexts.sets(choice)) {
                seen.sets[*variable as usize] = *set;
            }
            tell(self, seen, choice);
        }
        for (variable, set) in contexts.variables.iter().zip(&before) {
            seen.sets[*variable as usize] = *set;
        }
    }

    /// What the record says of the rest may leave less of a look than was written down of it. Whether it does.
    fn narrow(&self, seen: &mut Seen, contexts: &Contexts) -> bool {
        let layout = &self.bench.prepared.built.layout;
        let mut narrowed = false;
        let mut keep = |known: &mut CellSet, left: CellSet| {
            narrowed |= *known & left != *known;
            *known &= left;
        };
        for (at, variable) in contexts.variables.iter().enumerate() {
            let left = (0..contexts.choices.len()).fold(0, |left, choice| left | contexts.sets(choice)[at]);
            keep(&mut seen.sets[*variable as usize], left);
        }
        for live in &contexts.live {
            let room = &layout.rooms[live.room];
            let [first, rest @ ..] = live.used.as_slice() else {
                continue;
            };
            let result = |id: &u32| self.memory.results.of(*id);
            for (place, set) in &result(first).narrowed {
                let Some(&variable) = room.variables.get(*place) else {
                    continue;
                };
                let of = |id| result(id).narrowed.iter().find(|(p, _)| p == place).map(|(_, set)| *set);
                if let Some(set) = rest.iter().try_fold(*set, |set, id| of(id).map(|other| set | other)) {
                    keep(&mut seen.sets[variable as usize], set);
                }
            }
        }
        narrowed
    }

    /// Where the findings stand that hold in some case, in the book's order.
    fn standing(&self, contexts: &Contexts) -> Vec<Stands> {
        let layout = &self.bench.prepared.built.layout;
        let result = |live: &Live, used: usize| self.memory.results.of(live.used[used]);
        let mut possible: Vec<Stands> = Vec::new();
        for (at, live) in contexts.live.iter().enumerate() {
            let instances = &layout.rooms[live.room].instances;
            for used in 0..live.used.len() {
                for &place in self.memory.results.possible(live.used[used]) {
                    // What can hold in an earlier one as well was told there.
                    if !(0..used).any(|earlier| result(live, earlier).instances[place].possibly) {
                        possible.push(Stands { id: instances[place], room: at as u32, place: place as u32 });
                    }
                }
            }
        }
        possible.sort_unstable();
        possible
    }

    /// What comes of each finding that holds in some case, in the book's order, and whether it is found, suspected or open.
    pub(super) fn each_possible(
        &self,
        seen: &Seen,
        contexts: &Contexts,
        mut tell: impl FnMut(Stands, &Instance, InstanceResult, StateWord),
    ) {
        let layout = &self.bench.prepared.built.layout;
        let ground = self.bench.ground(seen);
        for stands in self.standing(contexts) {
            let live = &contexts.live[stands.room as usize];
            let all = live.used.iter().map(|used| self.memory.results.of(*used).instances[stands.place as usize]);
            let Some(over) = all.reduce(InstanceResult::or) else { continue };
            let instance = &layout.instances[stands.id as usize];
            let word = if over.surely {
                StateWord::Found
            } else if pointed_to(ground, instance, &self.bench.prepared.sign_slots[stands.id as usize]) {
                StateWord::Suspected
            } else {
                StateWord::Open
            };
            tell(stands, instance, over, word);
        }
    }

    /// What is known of the findings that hold in some case.
    fn known(&self, seen: &Seen, contexts: &Contexts) -> AllKnown {
        let ground = self.bench.ground(seen);
        let mut known = AllKnown::default();
        // Findings at places that nobody has named, and where they are listed.
        let mut unnamed: Vec<(FindingId, Option<usize>)> = Vec::new();
        self.each_possible(seen, contexts, |stands, instance, over, word| {
            let listed = self.open_ones != OpenOnes::Counted || word != StateWord::Open;
            let part = self.bench.book[instance.finding].on;
            if at_of(ground, part, instance.spot) == At::Unnamed {
                if instance.has_work() {
                    known.unnamed_work.push(part);
                }
                // Places that nobody has named are all alike: the first stands for them, with the widest figures.
                if let Some((_, at)) = unnamed.iter().find(|(finding, _)| *finding == instance.finding) {
                    if let Some((_, first)) = at.and_then(|at| known.listed.get_mut(at)) {
                        first.over.urgency = (first.over.urgency.0.min(over.urgency.0), first.over.urgency.1.max(over.urgency.1));
                        first.over.alone = (first.over.alone.0.min(over.alone.0), first.over.alone.1.max(over.alone.1));
                    }
                    return;
                }
                unnamed.push((instance.finding, listed.then_some(known.listed.len())));
            }
            known.open += usize::from(word == StateWord::Open);
            if listed {
                let place = (stands.room as usize, stands.place as usize);
                known.listed.push((stands.id, Known { over, word, left: None, ways: Vec::new(), place }));
            }
        });
        known
    }

    /// What looks can still change: the rooms' own, then those of the context.
    fn looks(&mut self, seen: &mut Seen, contexts: &Contexts, floors: &Floors, narrowed: bool, looks: &mut Gathered) {
        let prepared = self.bench.prepared;
        let layout = &prepared.built.layout;
        let mut asked: FxHashMap<VariableId, (u8, u8)> = FxHashMap::default();
        for (at, live) in contexts.live.iter().enumerate() {
            let room = &layout.rooms[live.room];
            let floor = floors.of(at);
            let mut tell = |changes: &Changes| {
                // The room's own come first.
                for (place, change) in changes.iter().take_while(|(place, _)| *place < room.variables.len()) {
                    let variable = room.variables[place];
                    if seen.sets[variable as usize].count_ones() > 1 {
                        looks.change(self.bench.ground(seen), variable, change, floor);
                    }
                }
            };
            match live.used.as_slice() {
                [only] => tell(&self.memory.results.of(*only).changes),
                several => {
                    let mut all = Changes::default();
                    several.iter().for_each(|id| all.or_all(&self.memory.results.of(*id).changes));
                    tell(&all);
                }
            }
            self.context_looks(seen, (live, narrowed), floor, &mut asked, looks);
            if !room.open_prices.is_empty() {
                self.price_looks(seen, live, looks);
            }
        }
        for &variable in &contexts.variables {
            let results = contexts.live.iter().flat_map(|live| &live.used).map(|id| self.memory.results.of(*id));
            looks.dearer(self.bench.ground(seen), results, variable);
        }
    }

    /// What prices are worked out from, of all that can hold in a room and of what that can become: no sign reads it.
    fn price_looks(&self, seen: &Seen, live: &Live, looks: &mut Gathered) {
        let ground = self.bench.ground(seen);
        let layout = ground.layout();
        let instances = &layout.rooms[live.room].instances;
        let possible = live.used.iter().flat_map(|used| self.memory.results.possible(*used)).map(|place| instances[*place]);
        let mut possible: Vec<InstanceId> = possible.collect();
        possible.sort_unstable();
        possible.dedup();
        let now = possible.len();
        for (at, id) in layout.chain(possible).into_iter().enumerate() {
            let instance = &layout.instances[id as usize];
            let steps = instance.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
            for price in steps.chain(&instance.goods) {
                looks.price(ground, price, if at < now { COSTS } else { COST_IF_LEFT });
            }
        }
    }

    /// What the context looks can change in one room, as far as it was not asked for already.
    fn context_looks(
        &mut self,
        seen: &mut Seen,
        (live, narrowed): (&Live, bool),
        floor: Floor,
        asked: &mut FxHashMap<VariableId, (u8, u8)>,
        looks: &mut Gathered,
    ) {
        let prepared = self.bench.prepared;
        let (figures, reach) = floor.still(self.memory.results.at_most(&live.used));
        let context = prepared.built.layout.rooms[live.room].context.iter().zip(&prepared.can_change[live.room]);
        let mut wanted = context.filter(|(variable, can)| {
            let (known, known_reach) = asked.get(variable).copied().unwrap_or_default();
            let news = figures & *can & !known != 0 || (figures & *can != 0 && reach > known_reach);
            news && seen.sets[**variable as usize].count_ones() > 1
        });
        if wanted.next().is_none() {
            return;
        }
        let context = &prepared.built.layout.rooms[live.room].context;
        for &(place, change) in self.context_changes(seen, live, narrowed).iter() {
            let variable = context[place];
            let (figures, reach) = floor.still(change);
            if figures != 0 {
                let known = asked.entry(variable).or_default();
                *known = (known.0 | figures, known.1.max(reach));
                looks.change(self.bench.ground(seen), variable, change, floor);
            }
        }
    }
}
