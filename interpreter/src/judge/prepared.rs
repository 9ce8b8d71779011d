//! A layout with what its rooms share and what a record starts from, made once for each number of places as found.

use purfle_lang::book::{Book, LookId, LookKind, PartId, Value};
use purfle_lang::evaluate::{Input, LookSpot, Spot, inputs_of};
use rustc_hash::FxHashMap;

use super::alone::left_reads;
use super::counsel::AskedLast;
use super::extent::{Extent, whole_extent};
use super::good::{Filled, GoodIs, filled, good_is};
use super::intake::{SayingMemory, Seen, Touch};
use super::next::{AlikeAsked, Asks, URGENT};
use super::shared_prices::{dearer_by, price_reads};
use super::sharing::{Bits, Shared, Sharing};
use super::suspect::sign_slots;
use super::tiers::Tiers;
use super::usual::Scopes;
use crate::plan::build::Built;
use crate::plan::layout::{Layout, Room};
use crate::plan::price::Scaled;
use crate::record::Record;
use purfle_lang::finite::compile::Found;
use purfle_lang::finite::node::Node;
use purfle_lang::finite::node::{CellSet, InstanceId, VariableId};
use purfle_lang::finite::view::{Dynamic, SlotId, Stands};

/// All cells of a variable.
pub fn every_cell(size: usize) -> CellSet {
    if size >= 128 { CellSet::MAX } else { (1 << size) - 1 }
}

/// A layout ready for records.
#[derive(Debug)]
pub struct Prepared {
    /// The layout and what is judged last.
    pub built: Built,
    /// What its rooms share.
    pub sharing: Sharing,
    /// How many places as found, by part.
    pub counts: FxHashMap<PartId, Found>,
    /// What each variable can be when nothing was seen.
    pub unseen: Vec<CellSet>,
    /// What each open price is when nothing was seen.
    pub unseen_prices: Vec<(Scaled, Scaled, bool)>,
    /// The rooms that each open price counts in.
    pub rooms_of_price: Vec<Vec<u32>>,
    /// The room of each variable, for those that are a room's own.
    pub room_of: Vec<Option<u32>>,
    /// The rooms that each slot's constraint narrows.
    pub constrains: Vec<Option<u32>>,
    /// The slot of each look on a part that does not repeat.
    single_slots: Vec<Option<SlotId>>,
    /// Whether a slot's number is needed beyond its cell.
    pub needs_number: Vec<bool>,
    /// Variables worked out over several measures.
    pub worked: Vec<VariableId>,
    /// What each variable is worked out from.
    pub worked_from: Vec<Reads>,
    /// What is good of each look.
    pub good: Vec<GoodIs>,
    /// What is filled where a part is good and nothing was said of it, by index of the part.
    pub good_parts: Vec<Vec<Filled>>,
    /// For each room, how many of its variables are filled when all of it is good, the same for every record.
    pub good_in_room: Vec<u32>,
    /// Looks that the record's own constants cut.
    pub dynamic: Vec<CutByRecord>,
    /// The slots of each part, by index of the part.
    pub slots_of: Vec<Vec<SlotId>>,
    /// Whether each part has a look that anything reads.
    pub part_read: Vec<bool>,
    /// What decides the cost if left of each finding by itself; none where a record brings a price of its own.
    pub left_reads: Vec<Option<Vec<VariableId>>>,
    /// Looks that apply by the same condition.
    pub alike_asked: AlikeAsked,
    /// The looks that can point to each finding.
    pub sign_slots: Vec<Vec<SlotId>>,
    /// For each context variable of each room, the figures it can change there, a bit each.
    pub can_change: Vec<Vec<u8>>,
    /// Context variables that are gone through cell by cell whatever the rooms hang on: those that prices of shared
    /// things read, and those that decide both whom a fund is for and what it needs.
    pub beside: Vec<VariableId>,
    /// What the prices of shared things read; none where a record brings one of these prices along.
    pub price_reads: Option<Vec<VariableId>>,
    /// The variables that these prices hang on, with the bits of what hangs on each: steps, and findings if left.
    pub dearer_by: Vec<(VariableId, Shared, Shared)>,
    /// What each constraint on the context alone reads.
    pub constraint_reads: Vec<Vec<VariableId>>,
    /// Variables that stand for the totals, or compare with them.
    pub totals: Vec<VariableId>,
    /// Whether what they compare with is read from a table, so that it hangs on other looks as well.
    pub totals_by_table: bool,
    /// What counsels and funds ask.
    pub last: AskedLast,
    /// The findings of each room that one of them reads, with their places in it.
    pub last_reads: Vec<Vec<(usize, InstanceId)>>,
    /// What can be asked for.
    pub asks: Asks,
    /// The context looks that rooms read.
    pub scopes: Scopes,
    /// The tiers of sums.
    pub tiers: Tiers,
    /// Which layout of its judge this is.
    pub number: usize,
}

/// A look that the record's own constants cut.
#[derive(Debug)]
pub struct CutByRecord {
    /// Its variable.
    pub variable: VariableId,
    /// The look itself.
    pub slot: SlotId,
    /// What its number or date can be at all.
    pub whole: Extent,
    /// What of the record before comes in.
    pub lasts: Vec<LookSpot>,
    /// Whether the day of the inspection comes in.
    pub inspected_on: bool,
    /// Whether nothing but the days from it to the inspection counts, or from the inspection to it.
    pub relative: bool,
    /// What is left of it by a record that tells nothing of all this; none where that is only enclosed, or not known yet.
    pub unsaid: Option<CellSet>,
}

/// Whether a value reads dates by the days between them alone.
fn is_relative(book: &Book, value: &Value) -> bool {
    match value {
        Value::Number(_) | Value::Range(..) => true,
        Value::DaysFrom(a, b) => [a, b].iter().all(|date| matches!(***date, Value::Look(_) | Value::InspectedOn)),
        Value::Negative(inner) => is_relative(book, inner),
        Value::Arithmetic(_, a, b) | Value::Lower(a, b) | Value::Higher(a, b) => is_relative(book, a) && is_relative(book, b),
        Value::Reckon(reckon) => is_relative(book, &book[*reckon].value),
        Value::Look(_)
        | Value::Last(_)
        | Value::InspectedOn
        | Value::TotalCost
        | Value::Date(_)
        | Value::Table(_)
        | Value::Formula(..) => false,
    }
}

/// What each context variable of a room can change: nothing but how soon, where it only raises or picks urgency lines.
fn can_change(layout: &Layout, room: &Room) -> Vec<u8> {
    let mut decides: Vec<VariableId> = Vec::new();
    let mut read = |node: &Node| {
        node.variables(&layout.view.atoms, &mut decides);
    };
    for &slot in &room.constraints {
        let slot = &layout.view.slots[slot as usize];
        [&slot.applies, &slot.place, &slot.part].into_iter().for_each(&mut read);
    }
    for &id in &room.instances {
        read(&layout.instances[id as usize].holds);
    }
    let mut priced = Vec::new();
    for link in layout.chain(room.instances.clone()) {
        let link = &layout.instances[link as usize];
        for (_, _, applies) in &link.becomes {
            read(applies);
        }
        let steps = link.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
        link.goods.iter().chain(steps).for_each(|price| price.variables(&layout.view.atoms, &mut |v| priced.push(v)));
    }
    decides.extend(priced);
    room.context.iter().map(|variable| if decides.contains(variable) { u8::MAX } else { URGENT }).collect()
}

/// The variables that decide both whom a fund is for and the answers it needs.
fn decides_twice(book: &Book, built: &Built) -> Vec<VariableId> {
    let view = &built.layout.view;
    let mut twice = Vec::new();
    for (aid, who) in book.aids.iter().zip(&built.whole.aids) {
        let (mut for_whom, mut needed) = (Vec::new(), Vec::new());
        who.variables(&view.atoms, &mut for_whom);
        for slot in view.slots.iter().filter(|slot| aid.needs.contains(&slot.look.look)) {
            slot.applies.variables(&view.atoms, &mut needed);
            needed.extend(slot.variable);
        }
        twice.extend(for_whom.into_iter().filter(|variable| needed.contains(variable)));
    }
    twice
}

/// What a variable is worked out from.
#[derive(Debug, Default)]
pub struct Reads {
    /// Numbers and dates.
    pub numbers: Vec<Input>,
    /// Looks that pick a table's row.
    pub keys: Vec<LookSpot>,
}

/// Makes rooms of one shape share one memory.
#[derive(Debug, Default)]
pub struct Shapes {
    known: FxHashMap<Vec<u64>, usize>,
}

impl Shapes {
    /// How many memories there are.
    pub fn count(&self) -> usize {
        self.known.len()
    }
}

impl Prepared {
    /// Makes a layout ready.
    pub fn new(book: &Book, mut built: Built, counts: FxHashMap<PartId, Found>, bits: &mut Bits, shapes: &mut Shapes) -> Self {
        let sharing = Sharing::of(&built.layout, bits);
        for room in 0..built.layout.rooms.len() {
            let shape = shape(&built, &sharing, room);
            let next = shapes.known.len();
            built.layout.rooms[room].memory = *shapes.known.entry(shape).or_insert(next);
        }
        let layout = &built.layout;
        let unseen = layout.view.variables.iter().map(|v| every_cell(v.size)).collect();
        let mut room_of = vec![None; layout.view.variables.len()];
        let mut constrains = vec![None; layout.view.slots.len()];
        let mut rooms_of_price = vec![Vec::new(); built.open_prices.len()];
        for (at, room) in layout.rooms.iter().enumerate() {
            for &open in &room.open_prices {
                rooms_of_price[open as usize].push(at as u32);
            }
            for &variable in &room.variables {
                room_of[variable as usize] = Some(at as u32);
            }
            for &slot in &room.constraints {
                constrains[slot as usize] = Some(at as u32);
            }
        }
        let mut needs_number = vec![false; layout.view.slots.len()];
        let mut need = |input: &Input| {
            if let Input::Look(look) = input
                && let Some(&slot) = layout.view.slot_of.get(look)
            {
                needs_number[slot as usize] = true;
            }
        };
        let (mut worked, mut dynamic, mut worked_from) = (Vec::new(), Vec::new(), Vec::new());
        for (id, variable) in layout.view.variables.iter().enumerate() {
            let (mut numbers, mut keys) = (Vec::new(), Vec::new());
            match &variable.stands {
                Stands::Expression(value, hand) => inputs_of(book, value, hand, &mut numbers, &mut keys),
                Stands::Opaque(_, left, right, hand) => {
                    inputs_of(book, left, hand, &mut numbers, &mut keys);
                    inputs_of(book, right, hand, &mut numbers, &mut keys);
                }
                Stands::Look(look, dynamics) if !dynamics.is_empty() => {
                    let (mut read, mut rows) = (Vec::new(), Vec::new());
                    for test in dynamics {
                        inputs_of(book, &test.left, &test.hand, &mut read, &mut rows);
                        inputs_of(book, &test.right, &test.hand, &mut read, &mut rows);
                    }
                    let lasts = read.iter().filter_map(|input| match input {
                        Input::Last(look) => Some(*look),
                        _ => None,
                    });
                    let relative = |test: &Dynamic| is_relative(book, &test.left) && is_relative(book, &test.right);
                    let by_days_alone = matches!(book[look.look].kind, LookKind::Dated) && variable.cells.len() <= 2;
                    dynamic.push(CutByRecord {
                        variable: id as VariableId,
                        slot: layout.view.slot_of.get(look).copied().unwrap_or_default(),
                        whole: whole_extent(&book[look.look].kind),
                        lasts: lasts.collect(),
                        inspected_on: read.contains(&Input::InspectedOn),
                        relative: by_days_alone && dynamics.iter().all(relative),
                        unsaid: None,
                    });
                    numbers.push(Input::Look(*look));
                }
                _ => {}
            }
            if matches!(variable.stands, Stands::Expression(..) | Stands::Opaque(..)) {
                worked.push(id as VariableId);
            }
            numbers.iter().for_each(&mut need);
            let worked_out = matches!(variable.stands, Stands::Expression(..) | Stands::Opaque(..));
            worked_from.push(if worked_out { Reads { numbers, keys } } else { Reads::default() });
        }
        for open in &built.open_prices {
            let (mut numbers, mut keys) = (Vec::new(), Vec::new());
            inputs_of(book, &open.value, &open.hand, &mut numbers, &mut keys);
            numbers.iter().for_each(&mut need);
        }
        for aid in &book.aids {
            if let Some((_, look)) = aid.not_beyond {
                layout.view.slots.iter().filter(|s| s.look.look == look).for_each(|s| need(&Input::Look(s.look)));
            }
        }
        let mut totals_by_table = false;
        let mut is_total = |stands: &Stands| match stands {
            Stands::TotalUrgency | Stands::TotalTier => true,
            Stands::Opaque(_, left, right, hand) => {
                let (mut numbers, mut keys) = (Vec::new(), Vec::new());
                inputs_of(book, left, hand, &mut numbers, &mut keys);
                inputs_of(book, right, hand, &mut numbers, &mut keys);
                totals_by_table |= numbers.contains(&Input::TotalCost) && !keys.is_empty();
                numbers.contains(&Input::TotalCost)
            }
            _ => false,
        };
        let totals = (0..layout.view.variables.len()).filter(|at| is_total(&layout.view.variables[*at].stands));
        let totals: Vec<VariableId> = totals.map(|at| at as VariableId).collect();
        let last = AskedLast::of(book, &built, &totals);
        let last_reads = layout.rooms.iter().map(|room| {
            let placed = room.instances.iter().copied().enumerate();
            placed.filter(|(_, id)| last.reads(*id)).collect()
        });
        let last_reads = last_reads.collect();
        let constraint_reads = layout.context_constraints.iter().map(|slot| {
            let slot = &layout.view.slots[*slot as usize];
            let mut read = Vec::new();
            for node in [&slot.applies, &slot.place, &slot.part] {
                node.variables(&layout.view.atoms, &mut read);
            }
            read
        });
        let constraint_reads = constraint_reads.collect();
        let mut beside = decides_twice(book, &built);
        let shared_steps = sharing.step_of.iter().map(|(_, id)| &layout.occurrences[*id as usize].price);
        let goals = sharing.instance_of.iter().flat_map(|(_, id)| {
            let instance = &layout.instances[*id as usize];
            let steps = instance.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
            instance.goods.iter().chain(steps)
        });
        let shared_prices = shared_steps.chain(goals);
        for price in shared_prices.clone() {
            price.variables(&layout.view.atoms, &mut |v| beside.push(v));
        }
        let dearer_by = dearer_by(layout, &sharing);
        let price_reads = price_reads(shared_prices, &layout.view.atoms);
        beside.sort_unstable();
        beside.dedup();
        beside.retain(|v| layout.context.contains(v));
        let can_change = layout.rooms.iter().map(|room| can_change(layout, room)).collect();
        let left_reads = (0..layout.instances.len() as u32).map(|id| left_reads(layout, id)).collect();
        let alike_asked = AlikeAsked::new(layout);
        let scopes = Scopes::of(layout);
        let asks = Asks::new(book, layout, &counts);
        let sign_slots = layout.instances.iter().map(|instance| sign_slots(book, layout, instance)).collect();
        let slot_of = &layout.view.slot_of;
        let looks = (0..book.looks.len()).map(|at| LookSpot { look: LookId::from_index(at), spot: Spot::Single });
        let single_slots = looks.map(|look| slot_of.get(&look).copied()).collect();
        let mut slots_of = vec![Vec::new(); book.parts.len()];
        let mut part_read = vec![false; book.parts.len()];
        for (id, slot) in layout.view.slots.iter().enumerate() {
            let part = book[slot.look.look].part.index();
            slots_of[part].push(id as SlotId);
            part_read[part] |= slot.variable.is_some() || !slot.choices.is_empty() || needs_number[id];
        }
        Self {
            sharing,
            counts,
            unseen,
            unseen_prices: Vec::new(),
            rooms_of_price,
            room_of,
            constrains,
            single_slots,
            needs_number,
            worked,
            worked_from,
            good: Vec::new(),
            good_parts: Vec::new(),
            good_in_room: Vec::new(),
            dynamic,
            slots_of,
            part_read,
            built,
            left_reads,
            can_change,
            alike_asked,
            sign_slots,
            beside,
            price_reads,
            dearer_by,
            constraint_reads,
            totals,
            totals_by_table,
            last_reads,
            last,
            asks,
            scopes,
            tiers: Tiers::default(),
            number: 0,
        }
    }

    /// Works out what expressions can be when nothing was seen.
    pub fn start(&mut self, book: &Book, scale: Scaled) {
        self.tiers = Tiers::of(book, scale);
        self.good = (0..self.built.layout.view.slots.len() as u32).map(|slot| good_is(book, self, slot)).collect();
        self.good_parts = self.slots_of.iter().map(|slots| filled(book, self, slots)).collect();
        self.good_in_room = vec![0; self.built.layout.rooms.len()];
        for (room, count) in self.good_parts.iter().flatten().flat_map(|filled| &filled.rooms) {
            self.good_in_room[*room as usize] += count;
        }
        let mut seen = Seen::default();
        seen.take(book, self, (&Record::default(), Vec::new()), &mut SayingMemory::default(), scale);
        for &variable in self.worked.iter().chain(self.dynamic.iter().map(|cut| &cut.variable)) {
            self.unseen[variable as usize] = seen.sets[variable as usize];
        }
        for cut in &mut self.dynamic {
            cut.unsaid = Some(seen.sets[cut.variable as usize]).filter(|_| !seen.blurred.contains(&cut.variable));
        }
        self.unseen_prices = seen.open_prices;
    }

    /// A record of which nothing was seen but the context, as `seen` has it.
    pub fn blank(&self, seen: &Seen) -> Seen {
        let mut blank = Seen {
            sets: self.unseen.clone(),
            marks: vec![0; self.built.layout.view.slots.len()],
            touched: vec![Touch::No; self.built.layout.rooms.len()],
            open_prices: seen.open_prices.clone(),
            ..Seen::default()
        };
        for &variable in &self.built.layout.context {
            blank.sets[variable as usize] = seen.sets[variable as usize];
        }
        blank
    }

    /// The slot of a look at a place.
    pub fn slot(&self, look: LookSpot) -> Option<SlotId> {
        match look.spot {
            // Nearly all looks are on parts that do not repeat.
            Spot::Single => self.single_slots[look.look.index()],
            _ => self.built.layout.view.slot_of.get(&look).copied(),
        }
    }
}

/// What makes two rooms give equal results for equal cells: their findings in order, what those share, and what their
/// variables are. Places as found count by their order only.
fn shape(built: &Built, sharing: &Sharing, room: usize) -> Vec<u64> {
    use std::hash::BuildHasher;
    let layout = &built.layout;
    let room = &layout.rooms[room];
    let mut places = FoundPlaces::default();
    let mut shape = Vec::new();
    for &id in &room.instances {
        let instance = &layout.instances[id as usize];
        shape.push(u64::from(instance.finding.0) << 33 | places.code(instance.spot));
        shape.push(sharing.holds[id as usize].map_or(0, u64::from));
        // All that it can become is priced in its room.
        for link in layout.chain(vec![id]) {
            let link = &layout.instances[link as usize];
            shape.extend(link.occurrences.iter().map(|&o| sharing.steps[o as usize].map_or(0, u64::from)));
            shape.extend(link.becomes.iter().map(|(goal, ..)| sharing.holds[*goal as usize].map_or(0, u64::from) + 1000));
        }
        shape.push(u64::MAX);
    }
    for bits in [sharing.fickle, sharing.fickle_steps] {
        shape.extend([bits as u64, (bits >> 64) as u64]);
    }
    for &slot in &room.constraints {
        let look = layout.view.slots[slot as usize].look;
        shape.extend([u64::from(look.look.0) | 1 << 40, places.code(look.spot)]);
    }
    shape.push(room.variables.len() as u64);
    let hasher = rustc_hash::FxBuildHasher;
    for &variable in room.variables.iter().chain(&room.context) {
        let variable = &layout.view.variables[variable as usize];
        let (kind, spot) = match &variable.stands {
            Stands::Look(look, _) => (1 + (u64::from(look.look.0) << 8), Some(look.spot)),
            Stands::Choice(look, choice) => (2 + (u64::from(look.look.0) << 8) + ((*choice as u64) << 40), Some(look.spot)),
            Stands::Expression(..) => (3, None),
            Stands::Opaque(..) => (4, None),
            Stands::Exists(part, at) => (5 + (u64::from(part.0) << 8), Some(Spot::Found(*at))),
            Stands::TotalUrgency => (6, None),
            Stands::TotalTier => (7, None),
        };
        shape.extend([kind, spot.map_or(0, |spot| places.code(spot)), variable.size as u64]);
        let cells: Vec<_> = variable.cells.iter().collect();
        shape.push(hasher.hash_one(&cells));
    }
    shape
}

/// Places as found, numbered in the order in which a room comes upon them.
#[derive(Default)]
struct FoundPlaces(Vec<u32>);

impl FoundPlaces {
    fn code(&mut self, spot: Spot) -> u64 {
        match spot {
            Spot::Single => 0,
            Spot::Fixed(at) => 1 + u64::from(at),
            Spot::Found(at) => {
                let known = self.0.iter().position(|other| *other == at);
                let order = known.unwrap_or_else(|| {
                    self.0.push(at);
                    self.0.len() - 1
                });
                (1 << 32) + order as u64
            }
        }
    }
}
