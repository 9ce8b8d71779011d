//! Judging one record: certain answers and figures from least to greatest, over all cases it leaves open.

mod alike;
mod alone;
mod brief;
mod cases;
mod choices;
mod contexts;
mod counsel;
mod counts;
mod enclosed;
pub(crate) mod extent;
mod figures;
mod fold;
mod from_record;
mod fund;
mod given;
mod good;
mod groups;
mod impossible;
mod intake;
mod key;
mod laid_open;
mod last;
mod likeness;
mod marks;
mod memory;
mod next;
mod outline;
mod own_cases;
mod prepared;
mod price;
mod record_result;
mod report;
mod room_result;
mod said;
mod shared_prices;
mod sharing;
mod solve;
mod suspect;
mod table;
mod tables;
mod tiers;
mod usual;

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use num_traits::CheckedMul;
use purfle_lang::book::{Book, PartId, Places, RecordPath};
use purfle_lang::evaluate::Spot;
use purfle_lang::number::Number;
use rustc_hash::FxHashMap;

pub use brief::{Brief, Line};
pub(crate) use intake::found_places;
pub use laid_open::{StepPrice, WayPrice};
pub use likeness::Likeness;

use crate::outcome::{At, Impossible, Outcome};
use crate::plan::Plan;
use crate::plan::build::{TooFine, WrittenOut, build};
use crate::plan::price::Scaled;
use crate::record::{Entry, Record};
use contexts::{OpenOnes, Working};
use intake::{SayingMemory, Seen};
use memory::Memory;
use prepared::{Prepared, Shapes};
use purfle_lang::finite::compile::Found;
use sharing::Bits;
use solve::{Ground, Scratch};
use table::Bench;

/// Judges records by one plan, one after another. It remembers what it has worked out, so that records that look
/// alike cost little; each thread has its own.
pub struct Judge {
    plan: Arc<Plan>,
    least_charge: Scaled,
    layouts: FxHashMap<Vec<Found>, Arc<Prepared>>,
    shared: Arc<Layouts>,
    sayings: SayingMemory,
    /// How many different rooms there are so far.
    rooms: usize,
    memory: Memory,
    seen: Seen,
    scratch: Scratch,
}

/// The layouts made so far, shared by all judges of one run. One is looked up without waiting for another being made.
#[derive(Default)]
struct Layouts {
    made: Mutex<Made>,
    bench: Mutex<LayoutBench>,
}

#[derive(Default)]
struct Made {
    known: FxHashMap<Vec<Found>, Arc<Prepared>>,
    /// How many different rooms they have.
    rooms: usize,
}

impl Layouts {
    fn made(&self) -> MutexGuard<'_, Made> {
        self.made.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The layout for this, if it is made, and how many different rooms there are.
    fn known(&self, counts: &[Found]) -> Option<(Arc<Prepared>, usize)> {
        let made = self.made();
        made.known.get(counts).map(|prepared| (Arc::clone(prepared), made.rooms))
    }
}

/// What layouts are made with: all they have in common.
#[derive(Default)]
struct LayoutBench {
    bits: Bits,
    shapes: Shapes,
    written_out: WrittenOut,
}

impl Judge {
    /// A judge for a plan.
    pub fn new(plan: Arc<Plan>) -> Self {
        let least = plan.book.least_charge.and_then(|least| least.checked_mul(&Number::from_integer(plan.scale)));
        let least_charge = least.map_or(0, |least| least.ceil().to_integer());
        Self {
            plan,
            least_charge,
            layouts: FxHashMap::default(),
            shared: Arc::default(),
            sayings: SayingMemory::default(),
            rooms: 0,
            memory: Memory::default(),
            seen: Seen::default(),
            scratch: Scratch::default(),
        }
    }

    /// Another judge by the same plan, for another thread. What the plan comes to for a number of places as found is
    /// worked out once for both.
    pub fn another(&self) -> Self {
        Self { shared: Arc::clone(&self.shared), ..Self::new(Arc::clone(&self.plan)) }
    }

    /// The plan it judges by.
    pub fn plan(&self) -> &Arc<Plan> {
        &self.plan
    }

    /// Makes ready for records without places as found, so that the first one is as quick as the rest.
    /// An error names the look that has more limits than can be kept apart.
    pub fn warm_up(&mut self) -> Result<(), TooFine> {
        let counts = self.counts(&Record::default(), &[]);
        self.layout(&counts).map(|_| ())
    }

    /// Tells which records are best judged one after another.
    pub fn likeness(&self) -> Likeness {
        let counts = self.counts(&Record::default(), &[]);
        self.another().layout(&counts).map_or_else(|_| Likeness::default(), |prepared| Likeness::of(&prepared.built.layout))
    }

    /// Judges one record. An error says which of its fields cannot be together.
    pub fn judge(&mut self, record: &Record) -> Result<Outcome, Impossible> {
        self.judged(record, OpenOnes::Listed)
    }

    /// The same for a row of a table: findings that nobody looked at are counted and not listed.
    pub fn judge_for_row(&mut self, record: &Record) -> Result<Outcome, Impossible> {
        self.judged(record, OpenOnes::Counted)
    }

    /// The same, and a finding that nobody looked at is told of as one that is suspected: with what it costs if left, and
    /// what each way of mending it costs.
    pub fn judge_in_full(&mut self, record: &Record) -> Result<Outcome, Impossible> {
        self.judged(record, OpenOnes::InFull)
    }

    /// What past records are counted by, without what only a report of the record needs: what to look at next
    /// and what single findings cost. It is the same as in the whole outcome.
    pub fn brief(&mut self, record: &Record) -> Result<Brief, Impossible> {
        self.worked(record, OpenOnes::Listed, |working, seen| {
            let result = match seen.empty {
                Some(_) => None,
                None => working.brief(seen, record),
            };
            result.ok_or_else(|| impossible::explain(working, seen, record))
        })?
    }

    /// Whether the costs of a record, now and if left, are exact and not only enclosed; no where the record cannot be.
    pub fn is_exact(&mut self, record: &Record) -> bool {
        let exact =
            self.worked(record, OpenOnes::Listed, |working, seen| seen.empty.is_none() && working.exact(seen) == Some(true));
        exact == Ok(true)
    }

    fn judged(&mut self, record: &Record, open_ones: OpenOnes) -> Result<Outcome, Impossible> {
        self.worked(record, open_ones, |working, seen| {
            let result = match seen.empty {
                Some(_) => None,
                None => working.outcome(seen, record),
            };
            result.ok_or_else(|| impossible::explain(working, seen, record))
        })?
    }

    /// Takes a record in and lets it be worked on. An error names a look that has more limits than can be kept apart.
    fn worked<T>(
        &mut self,
        record: &Record,
        open_ones: OpenOnes,
        work: impl FnOnce(&mut Working, &mut Seen) -> T,
    ) -> Result<T, Impossible> {
        let prepared = self.taken(record).map_err(|fine| impossible::too_fine(&self.plan.book, fine))?;
        let plan = Arc::clone(&self.plan);
        if self.memory.is_full() {
            self.memory = Memory::default();
        }
        let rooms = self.rooms.max(self.memory.rooms.len());
        self.memory.rooms.resize_with(rooms, key::KeyMap::default);
        self.memory.alike.resize(rooms, None);
        let mut seen = std::mem::take(&mut self.seen);
        let mut working = Working {
            bench: Bench { book: &plan.book, prepared: &prepared, least_charge: self.least_charge, scale: plan.scale },
            memory: &mut self.memory,
            scratch: &mut self.scratch,
            open_ones,
        };
        let result = work(&mut working, &mut seen);
        self.seen = seen;
        Ok(result)
    }

    /// Takes a record in, and gives back the layout that it is judged by.
    fn taken(&mut self, record: &Record) -> Result<Arc<Prepared>, TooFine> {
        let plan = Arc::clone(&self.plan);
        let found = found_places(&plan.book, record);
        let counts = self.counts(record, &found);
        let prepared = self.layout(&counts)?;
        self.seen.take(&plan.book, &prepared, (record, found), &mut self.sayings, plan.scale);
        Ok(prepared)
    }

    /// How many places of each part as found the record leaves room for, beside those that it names.
    fn counts(&self, record: &Record, places: &[(PartId, u32)]) -> Vec<Found> {
        let mut rest = false;
        let mut counts: Vec<(Found, bool, bool)> = self
            .plan
            .found
            .iter()
            .map(|(part, _)| {
                let recorded = places.iter().filter(|(p, _)| p == part).count() as u32;
                (Found { recorded, unnamed: 0 }, recorded > 0, false)
            })
            .collect();
        let mut note = |part: PartId, none: bool, more: bool| {
            if let Some(at) = self.plan.found.iter().position(|(p, _)| *p == part) {
                counts[at].1 |= none;
                counts[at].2 |= more;
            }
        };
        for entry in &record.entries {
            match entry {
                Entry::Good(part, None) | Entry::Absent(part, None) | Entry::NoPlaces(part) => note(*part, true, false),
                Entry::MayBeMore(part) => note(*part, false, true),
                Entry::RestGood => rest = true,
                Entry::Look(..) | Entry::There(..) | Entry::Good(..) | Entry::Absent(..) => {}
            }
        }
        for (at, (_, most)) in self.plan.found.iter().enumerate() {
            let (found, said, open) = &mut counts[at];
            if *open || !(*said || rest) {
                found.unnamed = *most;
            }
        }
        counts.into_iter().map(|(found, ..)| found).collect()
    }

    fn layout(&mut self, counts: &[Found]) -> Result<Arc<Prepared>, TooFine> {
        if let Some(known) = self.layouts.get(counts) {
            return Ok(Arc::clone(known));
        }
        let (prepared, rooms) = match self.shared.known(counts) {
            Some(known) => known,
            None => self.made(counts)?,
        };
        self.rooms = rooms;
        self.layouts.insert(counts.to_vec(), Arc::clone(&prepared));
        Ok(prepared)
    }

    /// Makes a layout, unless that has been done while this waited for its turn.
    fn made(&self, counts: &[Found]) -> Result<(Arc<Prepared>, usize), TooFine> {
        let mut bench = self.shared.bench.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = self.shared.known(counts) {
            return Ok(known);
        }
        let by_part: FxHashMap<PartId, Found> =
            self.plan.found.iter().zip(counts).map(|((part, _), found)| (*part, *found)).collect();
        let LayoutBench { bits, shapes, written_out } = &mut *bench;
        let built = build(&self.plan.book, &by_part, self.plan.scale, written_out)?;
        let mut prepared = Prepared::new(&self.plan.book, built, by_part, bits, shapes);
        prepared.number = self.shared.made().known.len();
        prepared.start(&self.plan.book, self.plan.scale);
        let prepared = Arc::new(prepared);
        let mut made = self.shared.made();
        made.known.insert(counts.to_vec(), Arc::clone(&prepared));
        made.rooms = shapes.count();
        Ok((prepared, made.rooms))
    }
}

/// Where something was judged, as the outcome says it.
fn at_of(ground: Ground<'_>, part: PartId, spot: Spot) -> At {
    match spot {
        Spot::Single => At::Part,
        Spot::Fixed(at) => At::Place(RecordPath::Fixed(purfle_lang::book::PlaceId(at))),
        Spot::Found(at) => {
            let mut places = ground.seen.found.iter().filter(|(p, _)| *p == part).map(|(_, n)| *n);
            places.nth(at as usize).map_or(At::Unnamed, |n| At::Place(RecordPath::Found(n)))
        }
    }
}

/// Whether a part repeats as found.
fn is_found(book: &Book, part: PartId) -> bool {
    matches!(book[part].places, Places::AsFound)
}
