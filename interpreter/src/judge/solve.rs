//! Working one room out, for one choice of the context: in groups that hang together, case by case where they are few.

use purfle_lang::book::Book;

use super::alike::classes;
use super::cases::{GroupSums, Row, by_cases};
use super::counts::by_counts;
use super::enclosed::enclosed;
use super::groups::{Group, groups};
use super::intake::Seen;
use super::prepared::Prepared;
use super::room_result::{Changes, RoomResult, blank, nothing_held};
use super::sharing::{Choice, End, Shared, join, prune};
use crate::plan::layout::{Layout, Room};
use crate::plan::price::Scaled;
use purfle_lang::finite::node::{Bounds, CellSet, InstanceId, VariableId};

/// The most cases a group is worked out by; beyond, its figures are enclosed.
pub const MOST_CASES: u64 = 60_000;
/// Groups with more cases are worked out by what their counts are made of, where they have any.
const MOST_EASY: u64 = 64;

/// Working memory of the solver.
#[derive(Debug, Default)]
pub struct Scratch {
    /// The case at hand: the cell of every variable of the room.
    pub case: Vec<u8>,
    /// Which findings hold in it.
    pub holds: Vec<bool>,
    /// What is known of every finding of the room, all cases together.
    pub bounds: Vec<Bounds>,
    /// The cases of the group at hand.
    pub rows: Vec<Option<Row>>,
    /// What stands in the case at hand, with what it costs by itself.
    pub standing: Vec<(InstanceId, (Scaled, Scaled))>,
    /// What holds if it is left.
    pub left: Vec<InstanceId>,
    /// Steps counted so far.
    pub steps: Vec<u32>,
    /// What the cases of the group at hand came to so far.
    pub sums: GroupSums,
    /// What one case comes to by.
    pub key: Vec<u64>,
}

/// What a solver needs to know.
#[derive(Clone, Copy)]
pub struct Ground<'a> {
    /// The book.
    pub book: &'a Book,
    /// The layout.
    pub prepared: &'a Prepared,
    /// The record; its context variables have one cell each.
    pub seen: &'a Seen,
    /// What each fund asks of a finding alone.
    pub least_charge: Scaled,
    /// Money in shares.
    pub scale: Scaled,
}

impl Ground<'_> {
    /// The layout itself.
    pub fn layout(&self) -> &Layout {
        &self.prepared.built.layout
    }
}

/// Makes the working memory ready for a room: every variable at the first of its cells, nothing holding.
pub fn prepare(ground: Ground<'_>, room: &Room, scratch: &mut Scratch) {
    let layout = ground.layout();
    scratch.holds.clear();
    scratch.holds.resize(layout.instances.len(), false);
    scratch.case.clear();
    scratch.case.resize(layout.view.variables.len(), 0);
    for &variable in room.context.iter().chain(&room.variables) {
        scratch.case[variable as usize] = ground.seen.sets[variable as usize].trailing_zeros().min(127) as u8;
    }
}

/// Works a room out: what is decided already is folded away, and what no longer hangs together is worked out apart.
pub fn solve(ground: Ground<'_>, room: &Room, scratch: &mut Scratch) -> RoomResult {
    prepare(ground, room, scratch);
    let mut result = blank(room, ground.book.aids.len());
    let empty = |v: &VariableId| ground.seen.sets[*v as usize] == 0;
    let Some(groups) = groups(ground, room, scratch).filter(|_| !room.variables.iter().any(empty)) else {
        finish(&mut result, ground);
        return result;
    };
    result = nothing_held(room, ground.book.aids.len());
    for group in &groups {
        let classes = classes(ground, group);
        let cases = classes.iter().try_fold(1_u64, |product, classes| product.checked_mul(classes.len() as u64));
        let many = cases.is_none_or(|cases| cases > MOST_EASY);
        let part = match if many { by_counts(ground, room, group, scratch) } else { None } {
            Some(part) => part,
            None if cases.is_some_and(|cases| cases <= MOST_CASES) => by_cases(ground, room, group, &classes, scratch),
            None => enclosed(ground, room, group, scratch),
        };
        combine(ground, &mut result, part, group);
    }
    finish(&mut result, ground);
    result
}

/// Adds a group that shares no case with what is there already.
pub fn combine(ground: Ground<'_>, whole: &mut RoomResult, part: RoomResult, group: &Group) {
    let (fickle, steps) = (ground.prepared.sharing.fickle, ground.prepared.sharing.fickle_steps);
    whole.possible &= part.possible;
    if !whole.possible {
        return;
    }
    whole.exact &= part.exact;
    for local in &group.instances {
        whole.instances[local.at] = part.instances[local.at];
    }
    // A look can change nothing that another group has settled, and the other way round. Each hangs on one group only.
    let settle = |changes: &mut Changes, (urgency, hands, allows): (u8, u8, bool)| {
        changes.settle(|change| {
            if change.urgency <= urgency + 1 {
                change.urgency = 0;
            }
            if change.hands <= hands {
                change.hands = 0;
            }
            change.played &= allows;
        });
    };
    let mut changes = part.changes;
    settle(&mut changes, (whole.urgency.0, whole.hands.0, whole.played.1));
    settle(&mut whole.changes, (part.urgency.0, part.hands.0, part.played.1));
    whole.changes.or_all(&changes);
    whole.enclosed |= part.enclosed;
    whole.single &= part.single;
    whole.narrowed.extend(&part.narrowed);
    whole.steps = highest(whole.steps, part.steps);
    whole.urgency = (whole.urgency.0.max(part.urgency.0), whole.urgency.1.max(part.urgency.1));
    whole.hands = (whole.hands.0.max(part.hands.0), whole.hands.1.max(part.hands.1));
    whole.played = (whole.played.0 || part.played.0, whole.played.1 && part.played.1);
    for &(part, some, not_all) in &part.apart {
        match whole.apart.iter_mut().find(|(p, ..)| *p == part) {
            Some(known) => *known = (part, known.1 || some, known.2 && not_all),
            None => whole.apart.push((part, some, not_all)),
        }
    }
    whole.on_sight = (whole.on_sight.0 || part.on_sight.0, whole.on_sight.1 || part.on_sight.1);
    let mut add = |states: &mut Vec<Choice>, mut choices: Vec<Choice>, end: End, fickle: Shared| {
        prune(&mut choices, end, fickle);
        if !join(states, &choices, end, fickle) {
            // Too many ways to keep apart: enclose them.
            (whole.exact, whole.enclosed) = (false, true);
            let all: Vec<Choice> = states.to_vec();
            *states = vec![pick(&all, &choices, end, fickle)];
        }
    };
    add(&mut whole.now.low, part.now.low, End::Low, steps);
    add(&mut whole.now.high, part.now.high, End::High, steps);
    add(&mut whole.left.low, part.left.low, End::Low, fickle);
    add(&mut whole.left.high, part.left.high, End::High, fickle);
    for (known, new) in whole.aids.iter_mut().zip(part.aids) {
        add(&mut known.low, new.low, End::Low, steps);
        add(&mut known.high, new.high, End::High, steps);
    }
}

/// The steps that the higher of two can be, given what each can be.
pub fn highest(a: CellSet, b: CellSet) -> CellSet {
    let from = |set: CellSet| CellSet::MAX.checked_shl(set.trailing_zeros()).unwrap_or(0);
    (a | b) & from(a) & from(b)
}

/// One choice that encloses all ways of joining two lists.
fn pick(states: &[Choice], choices: &[Choice], end: End, fickle: Shared) -> Choice {
    let ends = |list: &[Choice]| -> (Scaled, Shared) {
        let own = list.iter().map(|c| c.own);
        match end {
            End::Low => (own.min().unwrap_or(0), list.iter().fold(Shared::MAX, |all, c| all & c.shared) & !fickle),
            End::High => (own.max().unwrap_or(0), list.iter().fold(0, |all, c| all | c.shared)),
        }
    };
    let (a, b) = (ends(states), ends(choices));
    Choice { own: a.0 + b.0, shared: a.1 | b.1 }
}

/// Keeps of every figure what can matter.
pub fn finish(result: &mut RoomResult, ground: Ground<'_>) {
    let fickle = ground.prepared.sharing.fickle;
    for instance in &mut result.instances {
        instance.surely &= instance.possibly;
    }
    if !result.possible {
        return;
    }
    let steps = ground.prepared.sharing.fickle_steps;
    prune(&mut result.now.low, End::Low, steps);
    prune(&mut result.now.high, End::High, steps);
    prune(&mut result.left.low, End::Low, fickle);
    prune(&mut result.left.high, End::High, fickle);
    for aid in &mut result.aids {
        prune(&mut aid.low, End::Low, steps);
        prune(&mut aid.high, End::High, steps);
    }
}
