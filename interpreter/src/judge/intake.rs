//! From a record to sets of cells: what each variable of the layout can still be.

use std::sync::Arc;

use purfle_lang::book::{Book, PartId, Places, RecordPath};
use purfle_lang::evaluate::{LookSpot, Spot, compare, evaluate};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::extent::{Extent, cells_of, extent_of};
use super::from_record::{FromRecord, dynamic_cells};
use super::given::{WorkedOut, begin, write_day, write_extent};
use super::good::{Filled, GoodIs, GoodOf, good_choices, good_of};
use super::marks::{DASH, GOOD, NO_PART, NO_PLACE, STATED, UNSURE};
use super::prepared::{Prepared, Reads};
use super::said::SaidMemory;

use crate::plan::price::{Scaled, to_scaled};
use crate::record::{Entry, Record};
use purfle_lang::finite::node::{CellSet, Node, VariableId};
use purfle_lang::finite::view::{SlotId, Stands, Variable};

/// Whether a record says anything of a room's own looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Touch {
    /// Nothing.
    No,
    /// That so many of them are as they always are when they are good, and nothing else.
    Good(u32),
    /// Something else.
    Yes,
}

/// What a record leaves open.
#[derive(Debug, Default)]
pub struct Seen {
    /// What each variable can be.
    pub sets: Vec<CellSet>,
    /// Marks of each slot.
    pub marks: Vec<u8>,
    /// Numbers of the slots that need them and were seen.
    pub numbers: Vec<(SlotId, Extent)>,
    /// The record before.
    pub last: Vec<(LookSpot, Extent)>,
    /// The day of the inspection.
    pub inspected_on: Option<i64>,
    /// Rooms that something was said about.
    pub touched: Vec<Touch>,
    /// Parts that something was said about.
    pub parts: Vec<bool>,
    /// Variables whose answers are only enclosed.
    pub blurred: Vec<VariableId>,
    /// Prices worked out for this record: the ends, and whether both are reached.
    pub open_prices: Vec<(Scaled, Scaled, bool)>,
    /// Parts with places as found of which nobody said how many there are.
    pub more_places: Vec<PartId>,
    /// A look whose value leaves no cell at all, or that is said both to apply and not to.
    pub empty: Option<SlotId>,
    /// The numbers under which places as found are written down, in order: the first of them is the first place.
    pub found: Vec<(PartId, u32)>,
    /// Looks that are taken as not looked at.
    pub left_out: Vec<LookSpot>,
}

/// What is remembered of sayings.
#[derive(Debug, Default)]
pub struct SayingMemory {
    said: SaidMemory,
    cut: WorkedOut<CellSet>,
    worked: WorkedOut<CellSet>,
    good: WorkedOut<Option<GoodOf>>,
    /// The words to look it up by.
    words: Vec<u64>,
}

/// The most that is remembered of each kind of thing worked out.
const MOST_REMEMBERED: usize = 1 << 13;

impl Seen {
    /// Takes a record in, of which the places as found are known.
    pub fn take(
        &mut self,
        book: &Book,
        prepared: &Prepared,
        (record, found): (&Record, Vec<(PartId, u32)>),
        memory: &mut SayingMemory,
        scale: Scaled,
    ) {
        let layout = &prepared.built.layout;
        self.sets.clear();
        self.sets.extend_from_slice(&prepared.unseen);
        self.marks.clear();
        self.marks.resize(layout.view.slots.len(), 0);
        self.touched.clear();
        self.touched.resize(layout.rooms.len(), Touch::No);
        self.parts.clear();
        self.parts.resize(book.parts.len(), false);
        self.numbers.clear();
        self.last.clear();
        self.blurred.clear();
        self.open_prices.clear();
        self.more_places.clear();
        self.empty = None;
        self.found = found;
        self.left_out.clear();
        for (look, path) in &record.left_out {
            self.left_out.push(LookSpot { look: *look, spot: self.spot(book[*look].part, *path) });
        }
        self.inspected_on = record.inspected_on;
        for (look, path, saying) in &record.last {
            if let Some(extent) = extent_of(&book[*look].kind, saying) {
                self.last.push((LookSpot { look: *look, spot: self.spot(book[*look].part, *path) }, extent));
            }
        }
        for entry in &record.entries {
            if let Entry::Look(look, path, saying) = entry {
                let part = book[*look].part;
                self.parts[part.index()] = true;
                if let Some(slot) = prepared.slot(LookSpot { look: *look, spot: self.spot(part, *path) }) {
                    self.say(book, prepared, slot, saying, memory);
                }
            }
        }
        let mut rest = false;
        for entry in &record.entries {
            match entry {
                Entry::Good(part, path) => self.good(book, prepared, *part, *path, memory),
                Entry::Absent(part, path) => {
                    self.parts[part.index()] = true;
                    for &slot in &prepared.slots_of[part.index()] {
                        if path.is_none_or(|path| self.spot(*part, path) == layout.view.slots[slot as usize].look.spot) {
                            self.mark(prepared, slot, DASH | if path.is_some() { NO_PLACE } else { NO_PART });
                        }
                    }
                }
                Entry::NoPlaces(part) | Entry::MayBeMore(part) | Entry::There(part, _) => self.parts[part.index()] = true,
                Entry::RestGood => rest = true,
                Entry::Look(..) => {}
            }
        }
        if rest {
            for at in 0..book.parts.len() {
                self.good(book, prepared, PartId::from_index(at), None, memory);
            }
        }
        for (&part, found) in &prepared.counts {
            if found.unnamed > 0 && matches!(book[part].places, Places::AsFound) {
                self.more_places.push(part);
            }
        }
        self.more_places.sort_unstable();
        self.cut_by_record(book, prepared, memory);
        self.work_out(book, prepared, memory, scale);
    }

    /// The place that a path of this record names.
    pub fn spot(&self, part: PartId, path: RecordPath) -> Spot {
        match path {
            RecordPath::Single => Spot::Single,
            RecordPath::Fixed(place) => Spot::Fixed(place.0),
            RecordPath::Found(n) => {
                let before = self.found.iter().filter(|(p, other)| *p == part && *other < n).count();
                Spot::Found(u32::try_from(before).unwrap_or(u32::MAX))
            }
        }
    }

    fn mark(&mut self, prepared: &Prepared, slot: SlotId, mark: u8) {
        self.marks[slot as usize] |= mark;
        let both = STATED | DASH;
        if self.marks[slot as usize] & both == both || mark & (DASH | NO_PLACE | NO_PART) != 0 && always(prepared, slot, mark) {
            self.empty = Some(slot);
        }
        if let Some(room) = prepared.constrains[slot as usize] {
            self.touched[room as usize] = Touch::Yes;
        }
    }

    fn narrow(&mut self, prepared: &Prepared, variable: VariableId, set: CellSet) {
        self.sets[variable as usize] &= set;
        self.touch(prepared, variable);
    }

    fn touch(&mut self, prepared: &Prepared, variable: VariableId) {
        if let Some(room) = prepared.room_of[variable as usize] {
            self.touched[room as usize] = Touch::Yes;
        }
    }

    /// Notes that so many of a room's own variables are narrowed to what is always good of them.
    fn touch_by_good(&mut self, room: u32, filled: u32) {
        let touched = &mut self.touched[room as usize];
        *touched = match *touched {
            Touch::No => Touch::Good(filled),
            Touch::Good(count) => Touch::Good(count + filled),
            Touch::Yes => Touch::Yes,
        };
    }

    /// Narrows a variable to what is always good of its look.
    fn narrow_to_good(&mut self, prepared: &Prepared, variable: VariableId, set: CellSet) {
        self.sets[variable as usize] &= set;
        if let Some(room) = prepared.room_of[variable as usize] {
            self.touch_by_good(room, 1);
        }
    }

    /// What a worked-out variable comes to for this record.
    fn assign(&mut self, prepared: &Prepared, variable: VariableId, set: CellSet) {
        self.sets[variable as usize] = set;
        if set != prepared.unseen[variable as usize] {
            self.touch(prepared, variable);
        }
    }

    fn say(&mut self, book: &Book, prepared: &Prepared, slot: SlotId, saying: &Arc<Saying>, memory: &mut SayingMemory) {
        if let Some((set, extent)) = memory.said.known(prepared, slot, saying) {
            self.mark(prepared, slot, STATED);
            return self.leave(prepared, slot, set, extent);
        }
        match &**saying {
            Saying::CouldNotTell => return self.mark(prepared, slot, UNSURE),
            Saying::DoesNotApply => return self.mark(prepared, slot, DASH),
            _ => self.mark(prepared, slot, STATED),
        }
        let place = &prepared.built.layout.view.slots[slot as usize];
        if let Saying::Exactly(chosen) = &**saying {
            for (choice, variable) in &place.choices {
                self.narrow(prepared, *variable, if chosen.contains(choice) { 0b10 } else { 0b01 });
            }
            return;
        }
        let numbered = prepared.needs_number[slot as usize];
        if place.variable.is_none() && !numbered {
            return;
        }
        let extent = extent_of(&book[place.look.look].kind, saying).unwrap_or(Extent { ends: None, nothing: false });
        let set = place.variable.map_or(0, |variable| cells_of(prepared, variable, saying, extent));
        memory.said.keep(prepared, slot, saying, (set, extent));
        self.leave(prepared, slot, set, numbered.then_some(extent));
    }

    /// What a saying leaves of a look: cells, and its extent where that counts.
    fn leave(&mut self, prepared: &Prepared, slot: SlotId, set: CellSet, extent: Option<Extent>) {
        if let Some(variable) = prepared.built.layout.view.slots[slot as usize].variable {
            self.narrow(prepared, variable, set);
            if self.sets[variable as usize] == 0 {
                self.empty = Some(slot);
            }
        }
        if let Some(extent) = extent {
            self.numbers.push((slot, extent));
        }
    }

    /// Fills the looks of a good part, or of one place of it, that have a `good` and were not written down.
    fn good(&mut self, book: &Book, prepared: &Prepared, part: PartId, path: Option<RecordPath>, memory: &mut SayingMemory) {
        let said = std::mem::replace(&mut self.parts[part.index()], true);
        if !said && path.is_none() && self.left_out.is_empty() {
            for filled in &prepared.good_parts[part.index()] {
                self.fill(filled);
                if let Some(slot) = filled.then {
                    self.good_look(book, prepared, slot, memory);
                }
            }
            return;
        }
        for &slot in &prepared.slots_of[part.index()] {
            let look = prepared.built.layout.view.slots[slot as usize].look;
            if self.marks[slot as usize] & (STATED | DASH | UNSURE | GOOD) == 0
                && path.is_none_or(|path| self.spot(part, path) == look.spot)
                && !self.left_out.contains(&look)
            {
                self.good_look(book, prepared, slot, memory);
            }
        }
    }

    /// Fills looks of which nothing was said with what is always good of them.
    fn fill(&mut self, filled: &Filled) {
        for &slot in &filled.slots {
            self.marks[slot as usize] |= GOOD;
        }
        for &(variable, set) in &filled.sets {
            self.sets[variable as usize] &= set;
        }
        for &(room, count) in &filled.rooms {
            self.touch_by_good(room, count);
        }
        self.numbers.extend_from_slice(&filled.numbers);
        self.blurred.extend_from_slice(&filled.blurred);
    }

    /// Fills a look of which nothing was said, if it has a `good`.
    fn good_look(&mut self, book: &Book, prepared: &Prepared, slot: SlotId, memory: &mut SayingMemory) {
        let place = &prepared.built.layout.view.slots[slot as usize];
        let by_record;
        let (good, always) = match &prepared.good[slot as usize] {
            GoodIs::Always(None) => return,
            GoodIs::Always(Some(good)) => (good, true),
            GoodIs::ByRecord(reads) => match self.good_by_record(book, prepared, (slot, reads), memory) {
                Some(good) => {
                    by_record = good;
                    (&by_record, false)
                }
                None => return,
            },
        };
        self.marks[slot as usize] |= GOOD;
        if let Some(variable) = place.variable {
            if !good.settled {
                self.blurred.push(variable);
            }
            if always {
                self.narrow_to_good(prepared, variable, good.set);
            } else {
                self.narrow(prepared, variable, good.set);
            }
        }
        if prepared.needs_number[slot as usize]
            && let Some(extent) = good.extent
        {
            self.numbers.push((slot, extent));
        }
        for (variable, set) in good_choices(book, prepared, slot) {
            self.narrow_to_good(prepared, variable, set);
        }
    }

    /// What is good of a look by this record, remembered for all that it comes from.
    fn good_by_record(
        &self,
        book: &Book,
        prepared: &Prepared,
        (slot, reads): (SlotId, &Reads),
        memory: &mut SayingMemory,
    ) -> Option<GoodOf> {
        self.write_given(&mut memory.words, prepared, slot, reads);
        if let Some(&known) = memory.good.get(memory.words.as_slice()) {
            return known;
        }
        let good = good_of(book, prepared, slot, self);
        if memory.good.len() < MOST_REMEMBERED {
            memory.good.insert(memory.words.as_slice().into(), good);
        }
        good
    }

    /// Cuts the looks that are compared with something the record brings along.
    fn cut_by_record(&mut self, book: &Book, prepared: &Prepared, memory: &mut SayingMemory) {
        for cut in &prepared.dynamic {
            let variable = cut.variable;
            let known = &prepared.built.layout.view.variables[variable as usize];
            let Stands::Look(look, dynamics) = &known.stands else {
                continue;
            };
            let said = self.number(cut.slot);
            let inspected_on = self.inspected_on.filter(|_| cut.inspected_on);
            if let Some(set) = cut.unsaid
                && said.is_none()
                && inspected_on.is_none()
                && cut.lasts.iter().all(|look| self.last_of(*look).is_none())
            {
                self.sets[variable as usize] = set;
                continue;
            }
            let extent = said.unwrap_or(cut.whole);
            let on = inspected_on.filter(|_| cut.relative).map(|on| Number::from_integer(on.into()));
            begin(&mut memory.words, prepared, variable);
            memory.words.push(u64::from(on.is_some()) << 1 | u64::from(extent.ends.is_some()));
            match on {
                // Only the days between count, so the same number of days is the same.
                Some(on) => {
                    let ends = extent.ends.filter(|ends| Some(*ends) != cut.whole.ends).map(|(low, high)| (low - on, high - on));
                    write_extent(&mut memory.words, Some(Extent { ends, ..extent }));
                }
                None => {
                    write_extent(&mut memory.words, Some(extent));
                    write_day(&mut memory.words, inspected_on);
                }
            }
            for look in &cut.lasts {
                write_extent(&mut memory.words, self.last_of(*look));
            }
            let (set, blurred) = match memory.cut.get(memory.words.as_slice()) {
                Some(set) => (*set, false),
                None => {
                    let (set, blurred) = dynamic_cells(book, known.cells.len(), &known.cells, *look, dynamics, extent, self);
                    if !blurred && memory.cut.len() < MOST_REMEMBERED {
                        memory.cut.insert(memory.words.as_slice().into(), set);
                    }
                    (set, blurred)
                }
            };
            if blurred {
                self.blurred.push(variable);
            }
            self.sets[variable as usize] = set;
            if set != prepared.unseen[variable as usize] || extent != cut.whole {
                self.touch(prepared, variable);
            }
        }
    }

    /// Answers over looks that are read elsewhere too are only enclosed.
    fn blur(&mut self, known: &Variable, variable: VariableId, set: CellSet) {
        if known.shared && set.count_ones() > 1 {
            self.blurred.push(variable);
        }
    }

    /// Works out the expressions over several measures, and the prices that measures decide.
    fn work_out(&mut self, book: &Book, prepared: &Prepared, memory: &mut SayingMemory, scale: Scaled) {
        let layout = &prepared.built.layout;
        for &variable in &prepared.worked {
            let known = &layout.view.variables[variable as usize];
            self.write_given(&mut memory.words, prepared, variable, &prepared.worked_from[variable as usize]);
            if let Some(&set) = memory.worked.get(memory.words.as_slice()) {
                self.blur(known, variable, set);
                self.assign(prepared, variable, set);
                continue;
            }
            let set = match &known.stands {
                Stands::Expression(value, hand) => {
                    let nothing: CellSet = 1 << (known.size - 1);
                    match evaluate(book, value, hand, &FromRecord { book, prepared, seen: self }) {
                        None => nothing,
                        Some(worked) => {
                            let cells = known.cells.within(worked.low.0, worked.high.1);
                            let set = cells.fold(0, |set, cell| set | 1 << cell);
                            if worked.nothing { set | nothing } else { set }
                        }
                    }
                }
                Stands::Opaque(comparison, left, right, hand) => {
                    let inputs = FromRecord { book, prepared, seen: self };
                    let verdict = compare(*comparison, evaluate(book, left, hand, &inputs), evaluate(book, right, hand, &inputs));
                    CellSet::from(verdict.met) | CellSet::from(verdict.unmet) << 1 | CellSet::from(verdict.neither) << 2
                }
                _ => continue,
            };
            if memory.worked.len() < MOST_REMEMBERED {
                memory.worked.insert(memory.words.as_slice().into(), set);
            }
            self.blur(known, variable, set);
            self.assign(prepared, variable, set);
        }
        for open in &prepared.built.open_prices {
            let inputs = FromRecord { book, prepared, seen: self };
            let worked = evaluate(book, &open.value, &open.hand, &inputs);
            let price = worked.and_then(|worked| {
                let (low, high, exact) = to_scaled(worked.low.0 * open.rate, worked.high.1 * open.rate, scale)?;
                let single = worked.low.0 == worked.low.1 && worked.high.0 == worked.high.1 && !worked.nothing;
                Some((low.max(0), high.max(0), exact && single))
            });
            let price = price.unwrap_or((0, 0, false));
            let at = self.open_prices.len();
            if prepared.unseen_prices.get(at) != Some(&price) {
                for &room in &prepared.rooms_of_price[at] {
                    self.touched[room as usize] = Touch::Yes;
                }
            }
            self.open_prices.push(price);
        }
    }
}

/// Whether what a mark says does not apply always does.
fn always(prepared: &Prepared, slot: SlotId, mark: u8) -> bool {
    let known = &prepared.built.layout.view.slots[slot as usize];
    let always = [(DASH, &known.applies), (NO_PLACE, &known.place), (NO_PART, &known.part)];
    always.into_iter().any(|(said, node)| mark & said != 0 && *node == Node::Constant(true))
}

/// The numbers under which a record writes places as found down, by part and in order.
pub fn found_places(book: &Book, record: &Record) -> Vec<(PartId, u32)> {
    let mut found = Vec::new();
    for entry in &record.entries {
        match entry {
            Entry::Look(look, RecordPath::Found(n), _) => found.push((book[*look].part, *n)),
            Entry::There(part, RecordPath::Found(n))
            | Entry::Good(part, Some(RecordPath::Found(n)))
            | Entry::Absent(part, Some(RecordPath::Found(n))) => found.push((*part, *n)),
            _ => {}
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}
