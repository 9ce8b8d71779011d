//! The figures of one choice of the context, and of several together.

use std::cell::OnceCell;
use std::hash::BuildHasher;
use std::sync::{Arc, OnceLock};

use purfle_lang::book::PartId;
use rustc_hash::{FxBuildHasher, FxHashMap};

use super::fold::{First, Total, Which, totals};
use super::outline::{Rooms, Ways};
use super::room_result::{Figure, or_apart};
use super::shared_prices::SharedPrices;
use super::sharing::{End, Shared};
use super::solve::{Ground, highest};
use purfle_lang::finite::node::{CellSet, InstanceId};

/// The sums of one choice of the context. Choices in which every room adds the same share them, of whatever record.
#[derive(Debug)]
pub struct Sums {
    /// Cost now, from its least to its greatest.
    pub now: (Total, Total),
    /// Cost if left.
    pub left: (Total, Total),
    /// What is shared in every case, now and if left.
    pub always: (Shared, Shared),
    prices: Arc<SharedPrices>,
    aids: Vec<OnceLock<(Total, Total)>>,
}

impl Sums {
    /// The sums of rooms that share no case: of those that come out the same in every choice, and of those that hang on it.
    fn of(ground: Ground<'_>, prices: Arc<SharedPrices>, first: &FirstSums, hanging: Rooms<'_>) -> Self {
        let [now, left] = first.first.with(ground, &prices, hanging);
        let aids = ground.book.aids.iter().map(|_| OnceLock::new()).collect();
        let always = always(hanging);
        Self { prices, now, left, always: (first.always.0 | always.0, first.always.1 | always.1), aids }
    }

    /// What a fund covers.
    pub fn aid(&self, ground: Ground<'_>, aid: usize, rooms: Rooms<'_>) -> (Total, Total) {
        *self.aids[aid].get_or_init(|| totals(ground, &self.prices, rooms, Which::Aid(aid)))
    }
}

/// What is shared in every case of the rooms, now and if left.
fn always(rooms: Rooms<'_>) -> (Shared, Shared) {
    let shared = |figure: &Figure| figure.low.iter().chain(&figure.high).fold(Shared::MAX, |all, choice| all & choice.shared);
    let mut always = (0, 0);
    for (id, outline) in rooms.with_ids() {
        let may = outline.may_always_share();
        always.0 |= if may.0 { shared(&rooms.known.of(id).now) } else { 0 };
        always.1 |= if may.1 { shared(&rooms.known.of(id).left) } else { 0 };
    }
    always
}

/// What the rooms that come out the same in every choice of the context add to the sums at such prices.
pub struct FirstSums {
    prices: Arc<SharedPrices>,
    first: First,
    always: (Shared, Shared),
}

/// The rooms that matter to sums.
#[derive(Clone, Copy)]
pub struct Parted<'a> {
    /// Those that come out the same in every choice of the context.
    pub first: Rooms<'a>,
    /// Those that hang on it.
    pub hanging: Rooms<'a>,
    /// What these can share in any choice, now and if left.
    pub elsewhere: (Shared, Shared),
}

/// Sums as they stand in one record.
pub struct SumsHere {
    /// The sums.
    pub sums: Arc<Sums>,
    /// What every room adds that hangs on the context, by number.
    moneys: Vec<u32>,
    /// What counsels make of the cost.
    pub totals: OnceCell<Vec<CellSet>>,
}

impl SumsHere {
    /// Sums of which nothing is made yet.
    pub fn new(sums: Arc<Sums>, moneys: impl Iterator<Item = u32>) -> Self {
        Self { sums, moneys: moneys.collect(), totals: OnceCell::new() }
    }

    /// Whether they are reckoned at these prices.
    pub fn at(&self, prices: &Arc<SharedPrices>) -> bool {
        Arc::ptr_eq(&self.sums.prices, prices)
    }

    /// Whether these are the sums at such prices where every room that hangs on the context adds so much.
    pub fn are(&self, prices: &Arc<SharedPrices>, moneys: impl Iterator<Item = u32>) -> bool {
        self.at(prices) && self.moneys.iter().copied().eq(moneys)
    }
}

/// Sums worked out before: by what shared things cost, then by what every room adds. Most come once and never again, so
/// they are kept only when they come a second time.
#[derive(Debug, Default)]
pub struct SumsMemory {
    /// The prices are kept, so that their address stays their own.
    known: FxHashMap<usize, (Arc<SharedPrices>, KnownSums)>,
    count: usize,
    /// Marks of those that came lately and are not kept, each in the place that it falls in.
    came: Vec<u32>,
    /// What every room adds, by number, in the making.
    moneys: Vec<u32>,
}

type KnownSums = FxHashMap<Box<[u32]>, Arc<Sums>>;

/// The most that are remembered.
const MOST_REMEMBERED: usize = 1 << 14;

/// How many marks of those that are not kept there are.
const MARKS: usize = 1 << 13;

impl SumsMemory {
    /// The sums of rooms that share no case. `firsts` is what was worked out of the same record before.
    pub fn sums(
        &mut self,
        ground: Ground<'_>,
        prices: &Arc<SharedPrices>,
        rooms: Parted<'_>,
        firsts: &mut Vec<FirstSums>,
    ) -> Arc<Sums> {
        if self.count >= MOST_REMEMBERED {
            *self = Self::default();
        }
        let mut moneys = std::mem::take(&mut self.moneys);
        moneys.clear();
        moneys.extend(rooms.first.moneys().chain(rooms.hanging.moneys()));
        let sums = self.by_moneys(ground, prices, &moneys, rooms, firsts);
        self.moneys = moneys;
        sums
    }

    fn by_moneys(
        &mut self,
        ground: Ground<'_>,
        prices: &Arc<SharedPrices>,
        moneys: &[u32],
        Parted { first, hanging, elsewhere }: Parted<'_>,
        firsts: &mut Vec<FirstSums>,
    ) -> Arc<Sums> {
        let address = Arc::as_ptr(prices) as usize;
        if let Some(sums) = self.known.get(&address).and_then(|(_, known)| known.get(moneys)) {
            return Arc::clone(sums);
        }
        let at = firsts.iter().position(|first| Arc::ptr_eq(&first.prices, prices)).unwrap_or_else(|| {
            let prices = Arc::clone(prices);
            firsts.push(FirstSums { first: First::of(ground, &prices, first, elsewhere), always: always(first), prices });
            firsts.len() - 1
        });
        let sums = Arc::new(Sums::of(ground, Arc::clone(prices), &firsts[at], hanging));
        if self.came_before(address, moneys) {
            let (_, known) = self.known.entry(address).or_insert_with(|| (Arc::clone(prices), KnownSums::default()));
            known.insert(moneys.into(), Arc::clone(&sums));
            self.count += 1;
        }
        sums
    }

    /// Whether these came lately. Now they did.
    fn came_before(&mut self, prices: usize, moneys: &[u32]) -> bool {
        self.came.resize(MARKS, 0);
        let hash = FxBuildHasher.hash_one((prices, moneys));
        let mark = (hash >> 32) as u32;
        std::mem::replace(&mut self.came[hash as usize % MARKS], mark) == mark
    }
}

/// Figures over the cases of one choice of the context, or of several.
#[derive(Debug, Clone)]
pub struct Figures {
    /// Steps.
    pub urgency: (u8, u8),
    /// The steps that cases come to, a bit each.
    pub steps: CellSet,
    /// Hands, one up; nought for none.
    pub hands: (u8, u8),
    /// Whether some case forbids playing, and whether some allows it.
    pub played: (bool, bool),
    /// The same for pieces that stand apart.
    pub apart: Vec<(PartId, bool, bool)>,
    /// Cost now, from its least to its greatest.
    pub now: (Total, Total),
    /// Cost if left.
    pub left: (Total, Total),
    /// Whether some case holds a cost known only on sight: now, and if left.
    pub on_sight: (bool, bool),
    /// Whether every figure but money is reached by cases.
    pub exact: bool,
}

impl Figures {
    /// The figures where nothing holds.
    fn of_nothing() -> Self {
        let nothing = Total { sum: 0, exact: true, covered: false, besides: false };
        Self {
            urgency: (0, 0),
            steps: 1,
            hands: (0, 0),
            played: (false, true),
            apart: Vec::new(),
            now: (nothing, nothing),
            left: (nothing, nothing),
            on_sight: (false, false),
            exact: true,
        }
    }

    /// All but the money of rooms that share no case.
    pub fn without_money(rooms: Rooms<'_>) -> Self {
        let mut figures = Self::of_nothing();
        figures.add(rooms);
        figures
    }

    /// The same of these rooms and others, with the money of all of them; for the context set in the ground.
    pub fn with(&self, others: Rooms<'_>, ground: Ground<'_>, sums: &Sums, all: Rooms<'_>) -> Self {
        let mut figures = self.clone();
        figures.add(others);
        (figures.now, figures.left) = (sums.now, sums.left);
        figures.on_sight.1 |= ground.prepared.sharing.on_sight.iter().any(|&(bit, id)| goal_on_sight(ground, all, bit, id));
        figures
    }

    fn add(&mut self, rooms: Rooms<'_>) {
        for (id, outline) in rooms.with_ids() {
            // Nothing holding is the lowest there is, and most rooms come to nothing else.
            if outline.steps != 1 {
                self.steps = highest(self.steps, outline.steps);
            }
            self.urgency = (self.urgency.0.max(outline.urgency.0), self.urgency.1.max(outline.urgency.1));
            self.hands = (self.hands.0.max(outline.hands.0), self.hands.1.max(outline.hands.1));
            self.played = (self.played.0 || outline.played.0, self.played.1 && outline.played.1);
            if outline.apart {
                self.and_apart(&rooms.known.of(id).apart);
            }
            self.on_sight = (self.on_sight.0 || outline.on_sight.0, self.on_sight.1 || outline.on_sight.1);
            self.exact &= outline.exact;
        }
    }

    /// Adds what another room says of pieces that stand apart.
    fn and_apart(&mut self, apart: &[(PartId, bool, bool)]) {
        for &(part, some, not_all) in apart {
            match self.apart.iter_mut().find(|(p, ..)| *p == part) {
                Some(known) => *known = (part, known.1 || some, known.2 && not_all),
                None => self.apart.push((part, some, not_all)),
            }
        }
    }

    /// Adds the figures of another choice of the context.
    pub fn or(&mut self, other: &Self) {
        let wider = |a: (u8, u8), b: (u8, u8)| (a.0.min(b.0), a.1.max(b.1));
        self.urgency = wider(self.urgency, other.urgency);
        self.steps |= other.steps;
        self.hands = wider(self.hands, other.hands);
        self.played = (self.played.0 || other.played.0, self.played.1 || other.played.1);
        or_apart(&mut self.apart, &other.apart);
        self.now = widen(self.now, other.now);
        self.left = widen(self.left, other.left);
        self.on_sight = (self.on_sight.0 || other.on_sight.0, self.on_sight.1 || other.on_sight.1);
        self.exact &= other.exact;
    }
}

/// Whether some case holds a shared goal that stands and whose cost is known only on sight.
fn goal_on_sight(ground: Ground<'_>, rooms: Rooms<'_>, bit: u32, id: InstanceId) -> bool {
    let over: Shared = ground.prepared.built.layout.instances[id as usize]
        .yields_to
        .iter()
        .filter(|other| **other != id)
        .fold(0, |over, other| over | ground.prepared.sharing.holds[*other as usize].map_or(0, |bit| 1 << bit));
    let mut there = false;
    for (number, outline) in rooms.with_ids() {
        // Most rooms share nothing: they bring nothing about and take nothing away.
        if [End::Low, End::High].map(|end| outline.ways(Which::Left, end)) == [Ways::Nothing; 2] && !outline.enclosed {
            continue;
        }
        let result = rooms.known.of(number);
        let choices = || result.left.low.iter().chain(&result.left.high);
        if choices().next().is_none() {
            continue;
        }
        let loose = result.enclosed;
        there |= choices().any(|choice| choice.shared >> bit & 1 == 1 && (loose || choice.shared & over == 0));
        if !loose && !choices().any(|choice| choice.shared & over == 0) {
            return false;
        }
    }
    there
}

fn widen(so_far: (Total, Total), next: (Total, Total)) -> (Total, Total) {
    let (low, high) = so_far;
    let mut least = if next.0.sum < low.sum { next.0 } else { low };
    let mut most = if next.1.sum > high.sum { next.1 } else { high };
    least.covered = low.covered && next.0.covered;
    most.covered = high.covered || next.1.covered;
    least.besides = low.besides && next.0.besides;
    most.besides = high.besides || next.1.besides;
    least.exact = low.exact && next.0.exact;
    most.exact = high.exact && next.1.exact;
    (least, most)
}
