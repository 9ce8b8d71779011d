//! What a judge remembers: rooms worked out before, each different outcome of one kept once.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::alone::AloneMemory;
use super::counsel::VerdictMemory;
use super::figures::SumsMemory;
use super::key::{Key, KeyMap};
use super::outline::{Ends, Outline};
use super::room_result::{Change, Figure, RoomResult};
use super::shared_prices::PriceMemory;
use super::sharing::{Choice, End};
use super::table::{Alike, ByContext};
use super::tables::Tables;
use super::usual::UsualMemory;

/// Rooms worked out before, and what was worked out beside them.
#[derive(Default)]
pub struct Memory {
    /// By the memory of a room's shape: what is remembered for each choice of what its context can be.
    pub rooms: Vec<KeyMap<u32>>,
    /// By the memory of a room's shape: for each of its context variables, the cells that nothing in it tells apart.
    pub alike: Vec<Option<Arc<[Alike]>>>,
    /// The tables that records come back to, by the number of the layout, twice: with the context gone through, and left open.
    pub usual: Vec<UsualMemory>,
    /// What is remembered of rooms, each for one choice of what its context can be.
    pub by_context: Vec<ByContext>,
    /// Rooms over their contexts.
    pub tables: Tables,
    /// Rooms worked out.
    pub results: Results,
    /// Findings by themselves.
    pub alone: AloneMemory,
    /// What shared things cost.
    pub prices: PriceMemory,
    /// What rooms come to together.
    pub sums: SumsMemory,
    /// Whether counsels and funds apply.
    pub verdicts: VerdictMemory,
    /// A key in the making.
    pub key: Key,
}

/// The most tables remembered before everything is forgotten and begun anew.
const MOST_TABLES: usize = 32_000;
/// The same for different outcomes of rooms.
const MOST_RESULTS: usize = 16_000;

impl Memory {
    /// Whether it is time to forget.
    pub fn is_full(&self) -> bool {
        self.tables.len() > MOST_TABLES || self.by_context.len() > MOST_RESULTS || self.results.len() > MOST_RESULTS
    }
}

/// The different outcomes of rooms.
#[derive(Default)]
pub struct Results {
    all: Vec<Kept>,
    outlines: Vec<Outline>,
    known: FxHashMap<Arc<RoomResult>, u32>,
    moneys: FxHashMap<(Box<[Figure]>, bool, bool), u32>,
    ends: Ends,
}

struct Kept {
    result: Arc<RoomResult>,
    at_most: Change,
    /// The places of the findings that can hold.
    possible: Box<[usize]>,
}

impl Results {
    /// Keeps an outcome; its number is that of an equal one, if there was one before.
    pub fn keep(&mut self, mut result: RoomResult) -> u32 {
        if let Some(&known) = self.known.get(&result) {
            return known;
        }
        result.shrink();
        let result = Arc::new(result);
        let id = self.all.len() as u32;
        let next = self.moneys.len() as u32;
        let money = *self.moneys.entry((result.figures().cloned().collect(), result.exact, result.enclosed)).or_insert(next);
        if money == next {
            self.ends.push(&result);
        }
        let at_most = RoomResult::at_most(std::iter::once(&*result));
        let possible = result.instances.iter().enumerate().filter(|(_, known)| known.possibly).map(|(place, _)| place).collect();
        self.outlines.push(Outline::of(&result, money));
        self.all.push(Kept { result: Arc::clone(&result), at_most, possible });
        self.known.insert(result, id);
        id
    }

    /// An outcome by its number.
    pub fn of(&self, id: u32) -> &RoomResult {
        &self.all[id as usize].result
    }

    /// The places of the findings that can hold in an outcome.
    pub fn possible(&self, id: u32) -> &[usize] {
        &self.all[id as usize].possible
    }

    /// The ways in which an end of what outcomes of this money number cost comes out.
    pub fn choices(&self, money: u32, left: bool, end: End) -> &[Choice] {
        self.ends.of(money, left, end)
    }

    /// What is mostly asked of an outcome.
    pub fn outline(&self, id: u32) -> &Outline {
        &self.outlines[id as usize]
    }

    /// The most that any look can change where a room comes out in one of these ways.
    pub fn at_most(&self, ids: &[u32]) -> Change {
        match ids {
            [only] => self.all[*only as usize].at_most,
            ids => RoomResult::at_most(ids.iter().map(|id| self.of(*id))),
        }
    }

    fn len(&self) -> usize {
        self.all.len()
    }
}
