//! From a record's cells to its outcome: every choice of the context, every room in it, and their sums.

use std::sync::Arc;

use purfle_lang::book::{Book, HandId, PartId, PlayedWord, StateWord, StepId, Within};
use purfle_lang::number::{Number, round_scaled};

use super::fold::{Total, Which, alone_left, total};
use super::intake::{DASH, GOOD, STATED, Seen, UNSURE};
use super::next::{Floor, Gathered};
use super::prepared::Prepared;
use super::sharing::{End, Shared};
use super::solve::{Ground, InstanceResult, RoomResult, Scratch, charged, solve};
use super::suspect::pointed_to;
use super::{Memory, at_of, counsel, fund, is_found};
use crate::outcome::{At, Figure, Judged, Outcome, Range, Said, Sum};
use crate::plan::node::{CellSet, InstanceId, VariableId};
use crate::plan::price::{Price, Scaled};
use crate::record::Record;

/// The most choices of the context that are gone through; beyond, the context is left open and figures are enclosed.
const MOST_CONTEXTS: u64 = 4096;

/// What a judge works with on one record.
pub struct Working<'a> {
    /// The book.
    pub book: &'a Book,
    /// The layout.
    pub prepared: &'a Prepared,
    /// The least charge in shares.
    pub least_charge: Scaled,
    /// Shares of the major unit.
    pub scale: Scaled,
    pub(super) memory: &'a mut Memory,
    pub(super) scratch: &'a mut Scratch,
}

/// One choice of the context.
struct Context {
    cells: Vec<u8>,
    results: Vec<u32>,
    /// Whether it is one choice, and not all of them left open together.
    whole: bool,
}

/// Figures over all choices of the context so far.
struct Gather {
    urgency: (u8, u8),
    hands: (u8, u8),
    played: (bool, bool),
    apart: Vec<(PartId, bool, bool)>,
    now: Option<(Total, Total)>,
    left: Option<(Total, Total)>,
    aids: Vec<(Total, Total)>,
    on_sight: (bool, bool),
    exact: bool,
}

impl Working<'_> {
    pub(super) fn ground<'b>(&'b self, seen: &'b Seen) -> Ground<'b> {
        Ground { book: self.book, prepared: self.prepared, seen, least_charge: self.least_charge, scale: self.scale }
    }

    /// Every choice of the context that the record leaves, with its rooms worked out; none where the record cannot be.
    fn contexts(&mut self, seen: &mut Seen) -> Option<Vec<Context>> {
        let layout = &self.prepared.built.layout;
        let open: Vec<CellSet> = layout.context.iter().map(|v| seen.sets[*v as usize]).collect();
        let count = open.iter().try_fold(1_u64, |n, set| n.checked_mul(u64::from(set.count_ones()))).unwrap_or(u64::MAX);
        let mut found = Vec::new();
        if count > MOST_CONTEXTS {
            // Too many to go through: every test takes what the context leaves open as it is.
            let results = self.rooms(seen, None);
            let possible = results.iter().all(|id| self.memory.results[*id as usize].possible);
            return possible.then(|| vec![Context { cells: Vec::new(), results, whole: open.is_empty() }]);
        }
        let mut cells: Vec<u8> = open.iter().map(|set| set.trailing_zeros() as u8).collect();
        loop {
            for (variable, cell) in layout.context.iter().zip(&cells) {
                seen.sets[*variable as usize] = 1 << cell;
            }
            if self.context_allowed(seen) {
                let results = self.rooms(seen, Some(&cells));
                if results.iter().all(|id| self.memory.results[*id as usize].possible) {
                    found.push(Context { cells: cells.clone(), results, whole: true });
                }
            }
            // The next choice.
            let mut at = 0;
            let more = loop {
                let Some(set) = open.get(at) else {
                    break false;
                };
                let rest = if cells[at] >= 127 { 0 } else { set & !((2 << cells[at]) - 1) };
                if rest != 0 {
                    cells[at] = rest.trailing_zeros() as u8;
                    break true;
                }
                cells[at] = set.trailing_zeros() as u8;
                at += 1;
            };
            if !more {
                break;
            }
        }
        for (variable, set) in layout.context.iter().zip(&open) {
            seen.sets[*variable as usize] = *set;
        }
        (!found.is_empty()).then_some(found)
    }

    /// Whether anything is possible at all.
    pub(super) fn possible(&mut self, seen: &mut Seen) -> bool {
        self.contexts(seen).is_some()
    }

    fn context_allowed(&self, seen: &Seen) -> bool {
        let layout = &self.prepared.built.layout;
        layout.context_constraints.iter().all(|&slot| {
            let marks = seen.marks[slot as usize];
            if marks & (STATED | DASH) == 0 {
                return true;
            }
            let applies = layout.slots[slot as usize].applies.bounds(&layout.atoms, &seen.sets, &[]);
            if marks & DASH != 0 { !applies.surely } else { applies.possibly }
        }) && layout.slots.iter().zip(&seen.marks).all(|(slot, marks)| {
            // What surely applies cannot be said not to.
            marks & DASH == 0 || slot.applies != crate::plan::node::Node::Constant(true)
        })
    }

    /// The results of all rooms for the context set in `seen`. `cells` names the context where it is one choice.
    fn rooms(&mut self, seen: &Seen, cells: Option<&[u8]>) -> Vec<u32> {
        let known = cells.and_then(|cells| self.memory.untouched.get(&(self.prepared.number, cells.to_vec())).cloned());
        let untouched = match known {
            Some(known) => known,
            None => {
                let blank = self.prepared.blank(seen);
                let all: Vec<u32> = (0..self.prepared.built.layout.rooms.len()).map(|room| self.room(&blank, room)).collect();
                let all: Arc<[u32]> = all.into();
                if let Some(cells) = cells {
                    self.memory.untouched.insert((self.prepared.number, cells.to_vec()), Arc::clone(&all));
                }
                all
            }
        };
        let mut results = untouched.to_vec();
        for (room, result) in results.iter_mut().enumerate() {
            if seen.touched[room] {
                *result = self.room(seen, room);
            }
        }
        results
    }

    fn room(&mut self, seen: &Seen, at: usize) -> u32 {
        let layout = &self.prepared.built.layout;
        let room = &layout.rooms[at];
        let mut key = std::mem::take(&mut self.memory.key);
        key.clear();
        for &variable in room.context.iter().chain(&room.variables) {
            let set = seen.sets[variable as usize];
            key.push(set as u64);
            key.push((set >> 64) as u64);
        }
        for &slot in &room.constraints {
            key.push(u64::from(seen.marks[slot as usize] & (STATED | DASH)));
        }
        for &open in &room.open_prices {
            let (low, high, exact) = seen.open_prices.get(open as usize).copied().unwrap_or_default();
            key.extend([low as u64, (low >> 64) as u64, high as u64, (high >> 64) as u64, u64::from(exact)]);
        }
        let found = self.memory.rooms[room.memory].get(key.as_slice()).copied();
        let id = found.unwrap_or_else(|| {
            let ground =
                Ground { book: self.book, prepared: self.prepared, seen, least_charge: self.least_charge, scale: self.scale };
            let result = solve(ground, room, self.scratch);
            let id = self.memory.results.len() as u32;
            self.memory.results.push(result);
            self.memory.rooms[room.memory].insert(key.as_slice().into(), id);
            id
        });
        self.memory.key = key;
        id
    }

    /// The outcome of a record; none where it cannot be.
    pub fn outcome(&mut self, seen: &mut Seen, record: &Record) -> Option<Outcome> {
        let contexts = self.contexts(seen)?;
        let layout = &self.prepared.built.layout;
        let open: Vec<CellSet> = layout.context.iter().map(|v| seen.sets[*v as usize]).collect();
        let mut states: Vec<Option<InstanceResult>> = vec![None; layout.instances.len()];
        let mut gather = Gather {
            urgency: (u8::MAX, 0),
            hands: (u8::MAX, 0),
            played: (false, false),
            apart: Vec::new(),
            now: None,
            left: None,
            aids: Vec::new(),
            on_sight: (false, false),
            exact: seen.blurred.is_empty() && contexts.iter().all(|context| context.whole),
        };
        let mut looks = Gathered::default();
        for context in &contexts {
            for (variable, cell) in layout.context.iter().zip(&context.cells) {
                seen.sets[*variable as usize] = 1 << cell;
            }
            let results: Vec<&RoomResult> = context.results.iter().map(|id| &self.memory.results[*id as usize]).collect();
            let ground = self.ground(seen);
            self.gather(ground, &results, &mut gather);
            self.states(&results, &mut states);
            self.looks(ground, &results, &mut looks);
        }
        // What the record says of the rest may leave less of the context than was written down of it.
        for (at, (variable, set)) in layout.context.iter().zip(&open).enumerate() {
            let left = contexts.iter().filter_map(|context| context.cells.get(at)).fold(0, |left, cell| left | 1 << cell);
            seen.sets[*variable as usize] = if contexts.iter().all(|context| context.whole) { left } else { *set };
        }
        self.context_looks(seen, &contexts, &mut looks, gather.urgency.0);
        Some(self.report(seen, record, gather, &states, looks))
    }

    fn gather(&self, ground: Ground<'_>, results: &[&RoomResult], gather: &mut Gather) {
        let (mut urgency, mut hands) = ((0, 0), (0, 0));
        let (mut forbidden, mut allowed) = (false, true);
        let mut apart: Vec<(PartId, bool, bool)> = Vec::new();
        for result in results {
            urgency = (urgency.0.max(result.urgency.0), urgency.1.max(result.urgency.1));
            hands = (hands.0.max(result.hands.0), hands.1.max(result.hands.1));
            forbidden |= result.played.0;
            allowed &= result.played.1;
            for &(part, some, not_all) in &result.apart {
                match apart.iter_mut().find(|(p, ..)| *p == part) {
                    Some(known) => *known = (part, known.1 || some, known.2 && not_all),
                    None => apart.push((part, some, not_all)),
                }
            }
            gather.on_sight.0 |= result.on_sight.0;
            gather.on_sight.1 |= result.on_sight.1;
            gather.exact &= result.exact;
        }
        gather.urgency = (gather.urgency.0.min(urgency.0), gather.urgency.1.max(urgency.1));
        gather.hands = (gather.hands.0.min(hands.0), gather.hands.1.max(hands.1));
        gather.played = (gather.played.0 || forbidden, gather.played.1 || allowed);
        for (part, some, not_all) in apart {
            match gather.apart.iter_mut().find(|(p, ..)| *p == part) {
                Some(known) => *known = (part, known.1 || some, known.2 || not_all),
                None => gather.apart.push((part, some, not_all)),
            }
        }
        let both = |which| (total(ground, results, which, End::Low), total(ground, results, which, End::High));
        widen(&mut gather.now, both(Which::Now));
        widen(&mut gather.left, both(Which::Left));
        for aid in 0..self.book.aids.len() {
            let ends = both(Which::Aid(aid));
            match gather.aids.get_mut(aid) {
                Some(known) => {
                    let mut so_far = Some(*known);
                    widen(&mut so_far, ends);
                    *known = so_far.unwrap_or(ends);
                }
                None => gather.aids.push(ends),
            }
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
                        yields_to: if old.yields_to == new.yields_to { old.yields_to } else { None },
                    },
                });
            }
        }
    }

    /// What the rooms' own looks can change, against what the other rooms have settled.
    fn looks(&self, ground: Ground<'_>, results: &[&RoomResult], looks: &mut Gathered) {
        let two_highest = |of: &dyn Fn(&RoomResult) -> u8| {
            results.iter().fold((0, 0), |(first, second): (u8, u8), result| {
                let value = of(result);
                if value > first { (value, first) } else { (first, second.max(value)) }
            })
        };
        let urgency = two_highest(&|r| r.urgency.0);
        let hands = two_highest(&|r| r.hands.0);
        let forbidding = results.iter().filter(|r| !r.played.1).count();
        let mut shared: Shared = 0;
        let mut left_shared: Shared = 0;
        for result in results {
            let always = |figure: &super::solve::Figure| {
                figure.low.iter().chain(&figure.high).fold(Shared::MAX, |all, choice| all & choice.shared)
            };
            if result.possible && !result.now.low.is_empty() {
                shared |= always(&result.now);
                left_shared |= always(&result.left);
            }
        }
        for (room, result) in self.prepared.built.layout.rooms.iter().zip(results) {
            let other = |two: (u8, u8), own: u8| if own == two.0 { two.1 } else { two.0 };
            let floor = Floor {
                urgency: other(urgency, result.urgency.0),
                hands: other(hands, result.hands.0),
                forbidden: forbidding > usize::from(!result.played.1),
                shared,
                left_shared,
            };
            for (&variable, change) in room.variables.iter().zip(&result.changes) {
                if !change.is_nothing() {
                    looks.change(ground, variable, *change, floor);
                }
            }
        }
    }

    /// What the context can change: any figure of any room that differs between two choices of one context look.
    fn context_looks(&self, seen: &Seen, contexts: &[Context], looks: &mut Gathered, floor: u8) {
        let layout = &self.prepared.built.layout;
        let ground = self.ground(seen);
        for (at, &variable) in layout.context.iter().enumerate() {
            if seen.sets[variable as usize].count_ones() <= 1 {
                continue;
            }
            let [first, rest @ ..] = contexts else {
                continue;
            };
            if first.cells.is_empty() {
                looks.context(ground, variable, &[Figure::Played, Figure::Urgency, Figure::Cost, Figure::Left], 0);
                continue;
            }
            let (mut figures, mut reach) = (Vec::new(), 0);
            for a in std::iter::once(first).chain(rest) {
                for b in contexts {
                    let differ_here_only = a.cells.iter().zip(&b.cells).enumerate().all(|(i, (x, y))| (i == at) == (x != y));
                    if differ_here_only {
                        self.difference(a, b, floor, &mut figures, &mut reach);
                        self.dearer(variable, a, &mut figures);
                    }
                }
            }
            looks.context(ground, variable, &figures, reach);
        }
    }

    /// Whether the price of something that rooms share hangs on a context look.
    fn dearer(&self, variable: VariableId, context: &Context, figures: &mut Vec<Figure>) {
        let layout = &self.prepared.built.layout;
        let sharing = &self.prepared.sharing;
        let reads = |price: &Price| {
            let mut reads = false;
            price.variables(&layout.atoms, &mut |v| reads |= v == variable);
            reads
        };
        let mut hangs: Shared = 0;
        let mut hangs_left: Shared = 0;
        for &(bit, id) in &sharing.step_of {
            if reads(&layout.occurrences[id as usize].price) {
                hangs |= 1 << bit;
            }
        }
        for &(bit, id) in &sharing.instance_of {
            let instance = &layout.instances[id as usize];
            let steps = instance.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
            if instance.goods.iter().chain(steps).any(reads) {
                hangs_left |= 1 << bit;
            }
        }
        let touches = |figure: &super::solve::Figure, bits: Shared| {
            figure.low.iter().chain(&figure.high).any(|choice| choice.shared & bits != 0)
        };
        let results = || context.results.iter().map(|id| &self.memory.results[*id as usize]);
        if results().any(|result| touches(&result.now, hangs)) && !figures.contains(&Figure::Cost) {
            figures.push(Figure::Cost);
        }
        if results().any(|result| touches(&result.left, hangs | hangs_left)) && !figures.contains(&Figure::Left) {
            figures.push(Figure::Left);
        }
    }

    fn difference(&self, a: &Context, b: &Context, floor: u8, figures: &mut Vec<Figure>, reach: &mut u8) {
        for (x, y) in a.results.iter().zip(&b.results) {
            if x == y {
                continue;
            }
            let (x, y) = (&self.memory.results[*x as usize], &self.memory.results[*y as usize]);
            let mut note = |differs: bool, figure| {
                if differs && !figures.contains(&figure) {
                    figures.push(figure);
                }
            };
            note(x.played != y.played || x.apart != y.apart, Figure::Played);
            let highest = x.urgency.1.max(y.urgency.1);
            let urgent = x.urgency != y.urgency && highest > floor;
            note(urgent, Figure::Urgency);
            note(x.hands != y.hands, Figure::Hands);
            note(x.now != y.now, Figure::Cost);
            note(x.left != y.left, Figure::Left);
            if urgent {
                *reach = (*reach).max(highest + 1);
            }
        }
    }

    fn report(
        &self,
        seen: &Seen,
        record: &Record,
        gather: Gather,
        states: &[Option<InstanceResult>],
        mut looks: Gathered,
    ) -> Outcome {
        let book = self.book;
        let layout = &self.prepared.built.layout;
        let ground = self.ground(seen);
        let urgency = Range { from: StepId(gather.urgency.0.into()), to: StepId(gather.urgency.1.into()) };
        let (mut findings, mut not_ruled_out) = (Vec::new(), Vec::new());
        let mut suspected = urgency.from;
        let mut named_once = Vec::new();
        for (id, state) in states.iter().enumerate() {
            let Some(state) = state.filter(|state| state.possibly) else {
                continue;
            };
            let judged = self.judged(ground, id as InstanceId, state, states, gather.exact);
            // Places that nobody has named are all alike: one stands for them.
            if judged.at == At::Unnamed && named_once.contains(&judged.finding) {
                continue;
            }
            if judged.at == At::Unnamed {
                named_once.push(judged.finding);
            }
            match judged.state {
                StateWord::Open => not_ruled_out.push(judged),
                StateWord::Suspected => {
                    suspected = suspected.max(judged.urgency.to);
                    findings.push(judged);
                }
                _ => findings.push(judged),
            }
        }
        findings.sort_by_key(|j| (j.state != StateWord::Found, std::cmp::Reverse(j.urgency.from.max(j.urgency.to))));
        let or_more = seen.more_places.iter().any(|part| {
            is_found(book, *part)
                && layout.instances.iter().zip(states).any(|(instance, state)| {
                    book[instance.finding].on == *part
                        && at_of(ground, *part, instance.spot) == At::Unnamed
                        && state.is_some_and(|s| s.possibly)
                        && (instance.works || !instance.goods.is_empty() || instance.on_sight || !instance.becomes.is_empty())
                })
        });
        let zero = Total { sum: 0, exact: true, covered: false };
        let sum = |ends: Option<(Total, Total)>, and_more: bool| {
            let (low, high) = ends.unwrap_or((zero, zero));
            Sum {
                from: self.money(low.sum),
                to: self.money(high.sum),
                exact: gather.exact && low.exact && high.exact,
                or_more,
                and_more,
            }
        };
        let cost = sum(gather.now, gather.on_sight.0);
        let left = sum(gather.left, gather.on_sight.1);
        let printed = |number: Number| {
            let places = book.money.minor_places();
            Number::new(round_scaled(number, places), 10_i128.pow(places))
        };
        let tiers = |sum: &Sum| Range { from: book.tier_of(printed(sum.from)), to: book.tier_of(printed(sum.to)) };
        let day = |step: StepId| {
            let on = seen.inspected_on?;
            match book[step].within {
                Within::Whenever => None,
                Within::AtOnce => Some(on),
                Within::Duration(duration) => duration.after(on),
            }
        };
        let hand = |hand: u8| hand.checked_sub(1).map(|hand| HandId(hand.into()));
        let again = findings
            .iter()
            .filter(|judged| judged.state == StateWord::Found)
            .filter_map(|judged| book[judged.finding].again?.after(seen.inspected_on?))
            .min();
        let mut first: Vec<Said> = Vec::new();
        for judged in &findings {
            let said = Said::Finding(judged.finding);
            if !book[judged.finding].first.is_empty() && !first.contains(&said) {
                first.push(said);
            }
        }
        let bounds = |id: InstanceId| states[id as usize].map_or((false, false), |state| (state.surely, state.possibly));
        let tier = tiers(&cost);
        let counsel = counsel::counsels(ground, &bounds, urgency, &cost, tier, record.quoted, &mut looks);
        first.extend(
            counsel
                .iter()
                .filter(|(id, state)| *state == StateWord::Found && !book[*id].first.is_empty())
                .map(|(id, _)| Said::Counsel(*id)),
        );
        let aid = fund::funds(ground, &gather.aids, &bounds, gather.exact, record.quoted, &mut looks);
        Outcome {
            played: played(gather.played.0, gather.played.1),
            apart: gather
                .apart
                .iter()
                .filter(|(_, some, _)| *some)
                .map(|(part, some, rest)| (*part, played(*some, *rest)))
                .collect(),
            urgency,
            suspected: suspected.min(urgency.to),
            urgency_exact: gather.exact,
            due: Range { from: day(urgency.to), to: day(urgency.from) },
            again,
            hands: Range { from: hand(gather.hands.0), to: hand(gather.hands.1) },
            first,
            tier,
            left_tier: tiers(&left),
            cost,
            left,
            quoted: record.quoted,
            findings,
            not_ruled_out,
            unseen: self.unseen(seen),
            looks: looks.in_order(),
            counsel,
            aid,
        }
    }

    fn money(&self, scaled: Scaled) -> Number {
        Number::new(scaled, self.scale)
    }

    fn judged(
        &self,
        ground: Ground<'_>,
        id: InstanceId,
        state: InstanceResult,
        states: &[Option<InstanceResult>],
        exact: bool,
    ) -> Judged {
        let instance = &self.prepared.built.layout.instances[id as usize];
        let pointed_to = !state.surely && pointed_to(ground, instance, &self.prepared.sign_slots[id as usize]);
        let word = match (state.surely, pointed_to) {
            (true, _) => StateWord::Found,
            (false, true) => StateWord::Suspected,
            (false, false) => StateWord::Open,
        };
        let charge = |sum: Scaled| self.money(charged(sum, instance.works, self.least_charge));
        let cost =
            Sum { from: charge(state.alone.0), to: charge(state.alone.1), exact, or_more: false, and_more: instance.on_sight };
        // What nobody looked at is only named, so its chain is not reckoned.
        let left = (word != StateWord::Open && !instance.becomes.is_empty()).then(|| alone_left(ground, id));
        let yields_to = state.yields_to.filter(|other| states[*other as usize].is_some_and(|other| other.surely));
        Judged {
            finding: instance.finding,
            at: at_of(ground, self.book[instance.finding].on, instance.spot),
            state: word,
            urgency: Range { from: StepId(state.urgency.0.into()), to: StepId(state.urgency.1.into()) },
            yields_to: yields_to.map(|other| self.prepared.built.layout.instances[other as usize].finding),
            cost,
            left: left.map_or(cost, |left| Sum {
                from: self.money(left.left.0),
                to: self.money(left.left.1),
                exact: exact && left.exact,
                or_more: false,
                and_more: left.on_sight,
            }),
            expected_extra: left.and_then(|left| left.extra).map(|(low, high)| {
                let share = Number::from_integer(self.scale);
                Range { from: low / share, to: high / share }
            }),
        }
    }

    /// Parts of which nothing was looked at, that may be there and that something reads.
    fn unseen(&self, seen: &Seen) -> Vec<PartId> {
        let layout = &self.prepared.built.layout;
        let looked_at = |slot: &u32| seen.marks[*slot as usize] & (STATED | DASH | UNSURE | GOOD) != 0;
        (0..self.book.parts.len())
            .filter(|&at| {
                let part = PartId::from_index(at);
                !self.book[part].context
                    && !seen.parts[at]
                    && self.prepared.part_read[at]
                    && (is_found(self.book, part) && seen.more_places.contains(&part) || !self.prepared.slots_of[at].is_empty())
                    && !self.prepared.slots_of[at].iter().any(looked_at)
                    && layout.parts[at].bounds(&layout.atoms, &seen.sets, &[]).possibly
            })
            .map(PartId::from_index)
            .collect()
    }
}

fn widen(so_far: &mut Option<(Total, Total)>, next: (Total, Total)) {
    *so_far = Some(match *so_far {
        None => next,
        Some((low, high)) => {
            let mut least = if next.0.sum < low.sum { next.0 } else { low };
            let mut most = if next.1.sum > high.sum { next.1 } else { high };
            least.covered = low.covered && next.0.covered;
            most.covered = high.covered || next.1.covered;
            least.exact = low.exact && next.0.exact;
            most.exact = high.exact && next.1.exact;
            (least, most)
        }
    });
}

fn played(some_forbid: bool, some_allow: bool) -> PlayedWord {
    match (some_forbid, some_allow) {
        (false, _) => PlayedWord::Yes,
        (true, false) => PlayedWord::No,
        (true, true) => PlayedWord::Open,
    }
}
