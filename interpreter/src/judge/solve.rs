//! Working one room out: every case of its own looks, for one choice of the context.

use purfle_lang::book::{Book, PartId, StepId};
use rustc_hash::FxHashMap;

use super::alike::classes;
use super::intake::Seen;
use super::prepared::Prepared;
use super::sharing::{Choice, End, Shared, WORK, join, prune};
use crate::plan::layout::{Instance, Layout, Room};
use crate::plan::node::{Bounds, CellSet, InstanceId, Node, VariableId};
use crate::plan::price::{Price, Scaled};

/// The most cases a room is worked out by; beyond, its figures are enclosed.
pub const MOST_CASES: u64 = 60_000;

/// What is known of one finding in a room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InstanceResult {
    /// It holds in every case.
    pub surely: bool,
    /// It holds in some case.
    pub possibly: bool,
    /// Its urgency over the cases in which it holds.
    pub urgency: (u8, u8),
    /// The least and greatest cost if it were the only job, before the least charge.
    pub alone: (Scaled, Scaled),
    /// Those it yields to that hold in every case in which it does: one bit for each of its `yields to`, in order.
    pub yields_to: u64,
}

impl InstanceResult {
    /// In the cases of this one or of that one.
    pub fn or(self, other: Self) -> Self {
        Self {
            surely: self.surely && other.surely,
            possibly: self.possibly || other.possibly,
            urgency: (self.urgency.0.min(other.urgency.0), self.urgency.1.max(other.urgency.1)),
            alone: (self.alone.0.min(other.alone.0), self.alone.1.max(other.alone.1)),
            yields_to: self.yields_to & other.yields_to,
        }
    }
}

/// What a look of the room can still change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Change {
    /// Whether the instrument may be played.
    pub played: bool,
    /// Whether a piece that stands apart may be.
    pub apart: bool,
    /// The highest step that two cases differing only here differ by, one up; nought for none.
    pub urgency: u8,
    /// The same for hands.
    pub hands: u8,
    /// The room's own sum.
    pub cost: bool,
    /// What it shares.
    pub shared: Shared,
    /// The room's own sum if left.
    pub left: bool,
    /// What it shares if left.
    pub left_shared: Shared,
}

impl Change {
    /// What this look can change, here or there.
    pub fn or(&mut self, other: Self) {
        self.played |= other.played;
        self.apart |= other.apart;
        self.urgency = self.urgency.max(other.urgency);
        self.hands = self.hands.max(other.hands);
        self.cost |= other.cost;
        self.shared |= other.shared;
        self.left |= other.left;
        self.left_shared |= other.left_shared;
    }

    /// Whether it can change nothing.
    pub fn is_nothing(self) -> bool {
        self == Self::default()
    }
}

/// One money figure of a room: all ways it can come out that matter for each end.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Figure {
    /// For the least.
    pub low: Vec<Choice>,
    /// For the greatest.
    pub high: Vec<Choice>,
}

/// A room worked out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoomResult {
    /// Whether it has a case at all.
    pub possible: bool,
    /// Its findings, in the room's order.
    pub instances: Vec<InstanceResult>,
    /// Urgency over the cases, nought for none: step.
    pub urgency: (u8, u8),
    /// The steps that cases come to, a bit each.
    pub steps: CellSet,
    /// Hands, one up; nought for none.
    pub hands: (u8, u8),
    /// Whether some case forbids playing the instrument, and whether some allows it.
    pub played: (bool, bool),
    /// The same for pieces that stand apart.
    pub apart: Vec<(PartId, bool, bool)>,
    /// Cost now.
    pub now: Figure,
    /// Cost if left.
    pub left: Figure,
    /// What each fund covers.
    pub aids: Vec<Figure>,
    /// Whether some case holds a cost known only on sight: now, and if left, what rooms share left out.
    pub on_sight: (bool, bool),
    /// Whether the figures are reached by cases.
    pub exact: bool,
    /// Whether there were too many cases, so that sums are only enclosed.
    pub enclosed: bool,
    /// What each open variable can still change: the room's own, then those of the context.
    pub changes: Vec<Change>,
    /// Variables, placed as in `changes`, that cannot be all that was written down of them, with what they can be.
    pub narrowed: Vec<(usize, CellSet)>,
}

/// Working memory of the solver.
#[derive(Debug, Default)]
pub struct Scratch {
    case: Vec<u8>,
    holds: Vec<bool>,
    bounds: Vec<Bounds>,
    rows: Vec<Option<Row>>,
    used: Vec<bool>,
}

/// One case in short.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Row {
    urgency: u8,
    hands: u8,
    forbids: bool,
    apart: u64,
    now: (Scaled, Scaled, Shared),
    left: (Scaled, Scaled, Shared),
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
    fn layout(&self) -> &Layout {
        &self.prepared.built.layout
    }
}

/// A room, or a part of one that hangs together within what a record leaves open, with what is decided folded away.
#[derive(Debug, Default)]
pub struct Group {
    /// Its findings.
    pub instances: Vec<Local>,
    /// The open variables it hangs on.
    pub variables: Vec<VariableId>,
    /// What has to be met, or must not be.
    pub constraints: Vec<(Node, bool)>,
}

/// A finding with its conditions as they stand within what a record leaves open.
#[derive(Debug)]
pub struct Local {
    /// Which.
    pub id: InstanceId,
    /// Where it stands in the room.
    at: usize,
    /// When it holds.
    pub holds: Node,
    /// Its urgency lines.
    pub lines: Vec<(StepId, Node)>,
    /// The raises that hit it.
    pub raises: Vec<(u32, StepId, Node)>,
}

/// Works a room out: what is decided already is folded away, and what no longer hangs together is worked out apart.
pub fn solve(ground: Ground<'_>, room: &Room, scratch: &mut Scratch) -> RoomResult {
    let layout = ground.layout();
    scratch.holds.clear();
    scratch.holds.resize(layout.instances.len(), false);
    scratch.case.clear();
    scratch.case.resize(layout.variables.len(), 0);
    scratch.used.clear();
    scratch.used.resize(layout.occurrences.len(), false);
    for &variable in room.context.iter().chain(&room.variables) {
        scratch.case[variable as usize] = ground.seen.sets[variable as usize].trailing_zeros().min(127) as u8;
    }
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
        let part = if cases.is_some_and(|cases| cases <= MOST_CASES) {
            by_cases(ground, room, group, &classes, scratch)
        } else {
            enclosed(ground, room, group, scratch)
        };
        combine(ground, &mut result, part, group);
    }
    finish(&mut result, ground);
    result
}

/// A room in which nothing has been said to hold yet; groups are added to it.
fn nothing_held(room: &Room, aids: usize) -> RoomResult {
    let nothing = || Figure { low: vec![Choice { own: 0, shared: 0 }], high: vec![Choice { own: 0, shared: 0 }] };
    RoomResult {
        possible: true,
        urgency: (0, 0),
        steps: 1,
        hands: (0, 0),
        played: (false, true),
        now: nothing(),
        left: nothing(),
        aids: (0..aids).map(|_| nothing()).collect(),
        ..blank(room, aids)
    }
}

/// Adds a group that shares no case with what is there already.
fn combine(ground: Ground<'_>, whole: &mut RoomResult, part: RoomResult, group: &Group) {
    let (fickle, steps) = (ground.prepared.sharing.fickle, ground.prepared.sharing.fickle_steps);
    whole.possible &= part.possible;
    if !whole.possible {
        return;
    }
    whole.exact &= part.exact;
    for local in &group.instances {
        whole.instances[local.at] = part.instances[local.at];
    }
    // A look can change nothing that another group has settled, and the other way round.
    let settle = |change: &mut Change, (urgency, hands, allows): &(u8, u8, bool)| {
        if change.urgency <= urgency + 1 {
            change.urgency = 0;
        }
        if change.hands <= *hands {
            change.hands = 0;
        }
        change.played &= *allows;
    };
    let settled = (whole.urgency.0, whole.hands.0, whole.played.1);
    let by_part = (part.urgency.0, part.hands.0, part.played.1);
    whole.enclosed |= part.enclosed;
    whole.narrowed.extend(&part.narrowed);
    for (at, change) in part.changes.iter().enumerate() {
        if !change.is_nothing() {
            whole.changes[at] = *change;
            settle(&mut whole.changes[at], &settled);
        } else {
            settle(&mut whole.changes[at], &by_part);
        }
    }
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
            let all: Vec<Choice> = states.iter().copied().collect();
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

/// Parts a room into the groups that still hang together; none where what was written down cannot be.
fn groups(ground: Ground<'_>, room: &Room, scratch: &mut Scratch) -> Option<Vec<Group>> {
    let layout = ground.layout();
    let (atoms, sets) = (&layout.atoms, &ground.seen.sets);
    scratch.bounds.clear();
    scratch.bounds.resize(layout.instances.len(), Bounds { surely: false, possibly: false });
    for &id in &room.instances {
        scratch.bounds[id as usize] = layout.instances[id as usize].holds.bounds(atoms, sets, &scratch.bounds);
    }
    let within = |node: &Node| node.within(atoms, sets, &scratch.bounds);
    let possible = room.instances.iter().enumerate().filter(|(_, id)| scratch.bounds[**id as usize].possibly);
    let locals: Vec<Local> = possible
        .map(|(at, &id)| {
            let instance = &layout.instances[id as usize];
            Local {
                id,
                at,
                holds: within(&instance.holds),
                lines: instance.lines.iter().map(|(step, when)| (*step, within(when))).collect(),
                raises: instance.raises.iter().map(|(by, cap, when)| (*by, *cap, within(when))).collect(),
            }
        })
        .collect();
    let mut constraints: Vec<(Node, bool)> = Vec::new();
    for &slot in &room.constraints {
        let Some((node, wanted)) = layout.slots[slot as usize].required(ground.seen.marks[slot as usize]) else {
            continue;
        };
        match node.within(atoms, sets, &scratch.bounds) {
            Node::Constant(is) if is == wanted => {}
            Node::Constant(_) => return None,
            node => constraints.push((node, wanted)),
        }
    }
    Some(parted(ground, locals, constraints))
}

/// Joins findings and constraints that read a common open look, read or yield to each other, or share a bench step
/// that nothing else keeps apart.
fn parted(ground: Ground<'_>, locals: Vec<Local>, constraints: Vec<(Node, bool)>) -> Vec<Group> {
    let layout = ground.layout();
    let open = |v: VariableId| ground.seen.sets[v as usize].count_ones() > 1;
    let count = locals.len() + constraints.len();
    let mut parent: Vec<usize> = (0..count).collect();
    fn root(parent: &mut [usize], mut at: usize) -> usize {
        while parent[at] != at {
            parent[at] = parent[parent[at]];
            at = parent[at];
        }
        at
    }
    let mut first_reader: FxHashMap<VariableId, usize> = FxHashMap::default();
    let mut first_user: FxHashMap<u32, usize> = FxHashMap::default();
    let mut reads: Vec<Vec<VariableId>> = Vec::with_capacity(count);
    // The first that reads, yields to or becomes each finding; for a finding that can hold here, it itself.
    let mut first_toucher: FxHashMap<InstanceId, usize> = locals.iter().enumerate().map(|(i, l)| (l.id, i)).collect();
    let mut joins: Vec<(usize, usize)> = Vec::new();
    for (i, local) in locals.iter().enumerate() {
        let mut variables = Vec::new();
        let mut others = Vec::new();
        let mut node = |node: &Node| {
            node.visit(
                &mut |atom| variables.extend(layout.atoms[atom as usize].variables.iter().map(|(v, _)| *v)),
                &mut |other| others.push(other),
            );
        };
        node(&local.holds);
        local.lines.iter().for_each(|(_, when)| node(when));
        local.raises.iter().for_each(|(.., when)| node(when));
        others.extend(&layout.instances[local.id as usize].yields_to);
        let mut chain = vec![local.id];
        let mut at = 0;
        while let Some(&link) = chain.get(at) {
            at += 1;
            let link = &layout.instances[link as usize];
            for &occurrence in &link.occurrences {
                layout.occurrences[occurrence as usize].price.variables(&layout.atoms, &mut |v| variables.push(v));
                if ground.prepared.sharing.steps[occurrence as usize].is_none() {
                    joins.push((*first_user.entry(occurrence).or_insert(i), i));
                }
            }
            link.goods.iter().for_each(|goods| goods.variables(&layout.atoms, &mut |v| variables.push(v)));
            for (goal, _, applies) in &link.becomes {
                applies.visit(
                    &mut |atom| variables.extend(layout.atoms[atom as usize].variables.iter().map(|(v, _)| *v)),
                    &mut |_| {},
                );
                if ground.prepared.sharing.holds[*goal as usize].is_none() {
                    others.push(*goal);
                }
                // What it becomes yields, and is yielded to, in its own place.
                others.extend(&layout.instances[*goal as usize].yields_to);
                if !chain.contains(goal) {
                    chain.push(*goal);
                }
            }
        }
        for other in others {
            joins.push((*first_toucher.entry(other).or_insert(i), i));
        }
        variables.retain(|v| open(*v));
        variables.sort_unstable();
        variables.dedup();
        reads.push(variables);
    }
    for (node, _) in &constraints {
        let mut variables = Vec::new();
        node.visit(&mut |atom| variables.extend(layout.atoms[atom as usize].variables.iter().map(|(v, _)| *v)), &mut |_| {});
        variables.retain(|v| open(*v));
        variables.sort_unstable();
        variables.dedup();
        reads.push(variables);
    }
    for (i, variables) in reads.iter().enumerate() {
        for &variable in variables {
            joins.push((*first_reader.entry(variable).or_insert(i), i));
        }
    }
    for (a, b) in joins {
        let (a, b) = (root(&mut parent, a), root(&mut parent, b));
        parent[a.max(b)] = a.min(b);
    }
    let mut groups: Vec<Group> = Vec::new();
    let mut group_of: FxHashMap<usize, usize> = FxHashMap::default();
    let mut group = |i: usize, groups: &mut Vec<Group>, parent: &mut [usize]| -> usize {
        *group_of.entry(root(parent, i)).or_insert_with(|| {
            groups.push(Group::default());
            groups.len() - 1
        })
    };
    let first_constraint = locals.len();
    for (i, local) in locals.into_iter().enumerate() {
        let at = group(i, &mut groups, &mut parent);
        groups[at].instances.push(local);
        groups[at].variables.extend(&reads[i]);
    }
    for (i, constraint) in constraints.into_iter().enumerate() {
        let at = group(first_constraint + i, &mut groups, &mut parent);
        groups[at].constraints.push(constraint);
        groups[at].variables.extend(&reads[first_constraint + i]);
    }
    for group in &mut groups {
        group.variables.sort_unstable();
        group.variables.dedup();
    }
    groups
}

fn blank(room: &Room, aids: usize) -> RoomResult {
    let none = InstanceResult { surely: true, possibly: false, urgency: (u8::MAX, 0), alone: (Scaled::MAX, 0), yields_to: u64::MAX };
    RoomResult {
        possible: false,
        instances: vec![none; room.instances.len()],
        urgency: (u8::MAX, 0),
        steps: 0,
        hands: (u8::MAX, 0),
        played: (false, false),
        apart: Vec::new(),
        now: Figure::default(),
        left: Figure::default(),
        aids: vec![Figure::default(); aids],
        on_sight: (false, false),
        exact: true,
        enclosed: false,
        changes: vec![Change::default(); room.variables.len() + room.context.len()],
        narrowed: Vec::new(),
    }
}

fn by_cases(ground: Ground<'_>, room: &Room, group: &Group, classes: &[Vec<CellSet>], scratch: &mut Scratch) -> RoomResult {
    let layout = ground.layout();
    let mut result = blank(room, ground.book.aids.len());
    // One cell stands for each class.
    let cells: Vec<Vec<u8>> =
        classes.iter().map(|classes| classes.iter().map(|class| class.trailing_zeros() as u8).collect()).collect();
    let apart_parts = apart_parts(ground, group);
    let mut reached: Vec<CellSet> = vec![0; if group.constraints.is_empty() { 0 } else { group.variables.len() }];
    let mut rows = std::mem::take(&mut scratch.rows);
    rows.clear();
    for local in &group.instances {
        scratch.holds[local.id as usize] = false;
    }
    let mut at = vec![0; cells.len()];
    for (variable, cells) in group.variables.iter().zip(&cells) {
        scratch.case[*variable as usize] = cells[0];
    }
    'cases: loop {
        let allowed =
            group.constraints.iter().all(|(node, wanted)| node.met(&layout.atoms, &scratch.case, &scratch.holds) == *wanted);
        let row = allowed.then(|| one_case(ground, group, scratch, &apart_parts, &mut result));
        if allowed {
            for ((set, classes), digit) in reached.iter_mut().zip(classes).zip(&at) {
                *set |= classes[*digit];
            }
        }
        rows.push(row);
        let mut i = 0;
        loop {
            let Some(digit) = at.get_mut(i) else {
                break 'cases;
            };
            *digit += 1;
            if *digit < cells[i].len() {
                scratch.case[group.variables[i] as usize] = cells[i][*digit];
                break;
            }
            *digit = 0;
            scratch.case[group.variables[i] as usize] = cells[i][0];
            i += 1;
        }
    }
    changes(room, group, &cells, &rows, &mut result);
    for (set, variable) in reached.into_iter().zip(&group.variables) {
        if set != ground.seen.sets[*variable as usize]
            && let Some(at) = place_of(room, *variable)
        {
            result.narrowed.push((at, set));
        }
    }
    apart_result(&apart_parts, &rows, &mut result);
    scratch.rows = rows;
    for local in &group.instances {
        scratch.holds[local.id as usize] = false;
    }
    finish(&mut result, ground);
    result
}

fn finish(result: &mut RoomResult, ground: Ground<'_>) {
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

fn one_case(
    ground: Ground<'_>,
    group: &Group,
    scratch: &mut Scratch,
    apart_parts: &[PartId],
    result: &mut RoomResult,
) -> Row {
    let layout = ground.layout();
    result.possible = true;
    let mut row = Row { urgency: 0, hands: 0, forbids: false, apart: 0, now: (0, 0, 0), left: (0, 0, 0) };
    for local in &group.instances {
        scratch.holds[local.id as usize] = local.holds.met(&layout.atoms, &scratch.case, &scratch.holds);
    }
    let mut holding: Vec<InstanceId> = Vec::new();
    for local in &group.instances {
        let id = local.id;
        let known = &mut result.instances[local.at];
        if !scratch.holds[id as usize] {
            known.surely = false;
            continue;
        }
        holding.push(id);
        let instance = &layout.instances[id as usize];
        let urgency = urgency(ground, local, |node| node.met(&layout.atoms, &scratch.case, &scratch.holds));
        known.possibly = true;
        known.urgency = (known.urgency.0.min(urgency), known.urgency.1.max(urgency));
        let finding = &ground.book[instance.finding];
        row.urgency = row.urgency.max(urgency);
        row.hands = row.hands.max(instance.hands.0 as u8 + 1);
        if ground.book.steps[usize::from(urgency)].not_played {
            match apart_parts.iter().position(|part| *part == finding.on) {
                Some(part) => row.apart |= 1 << part,
                None => row.forbids = true,
            }
        }
        known.yields_to &= yielding(instance, |other| scratch.holds[other as usize] && other != id);
    }
    result.urgency = (result.urgency.0.min(row.urgency), result.urgency.1.max(row.urgency));
    result.steps |= 1 << row.urgency;
    result.hands = (result.hands.0.min(row.hands), result.hands.1.max(row.hands));
    result.played = (result.played.0 || row.forbids, result.played.1 || !row.forbids);

    let standing: Vec<InstanceId> = holding
        .iter()
        .copied()
        .filter(|id| !layout.instances[*id as usize].yields_to.iter().any(|y| *y != *id && scratch.holds[*y as usize]))
        .collect();
    row.now = add_up(ground, scratch, &standing, &[], &mut result.exact);
    result.on_sight.0 |= standing.iter().any(|id| layout.instances[*id as usize].on_sight);
    result.now.low.push(Choice { own: row.now.0, shared: row.now.2 });
    result.now.high.push(Choice { own: row.now.1, shared: row.now.2 });
    for local in &group.instances {
        if scratch.holds[local.id as usize] {
            let alone = alone(ground, scratch, local.id, &mut result.exact);
            let known = &mut result.instances[local.at].alone;
            *known = (known.0.min(alone.0), known.1.max(alone.1));
        }
    }
    for (aid, figure) in result.aids.iter_mut().enumerate() {
        let mut exact = true;
        let mut covered = |end: End| {
            let covered: Vec<InstanceId> = standing.iter().copied().filter(|id| covers(ground, scratch, *id, aid, end)).collect();
            let something = if covered.is_empty() { 0 } else { COVERED };
            let (low, high, shared) = add_up(ground, scratch, &covered, &[], &mut exact);
            Choice { own: if end == End::Low { low } else { high }, shared: shared | something }
        };
        figure.low.push(covered(End::Low));
        figure.high.push(covered(End::High));
    }
    // If left: all that they become, then what stands, then the sum.
    let mut left = holding.clone();
    let mut next = 0;
    while let Some(&id) = left.get(next) {
        next += 1;
        for (goal, _, applies) in &layout.instances[id as usize].becomes {
            if !left.contains(goal) && applies.met(&layout.atoms, &scratch.case, &scratch.holds) {
                left.push(*goal);
            }
        }
    }
    let bit = |id: InstanceId| ground.prepared.sharing.holds[id as usize];
    let (goals, own): (Vec<InstanceId>, Vec<InstanceId>) = left.iter().copied().partition(|id| bit(*id).is_some());
    let stands = |id: &InstanceId| !layout.instances[*id as usize].yields_to.iter().any(|y| *y != *id && left.contains(y));
    let own_standing: Vec<InstanceId> = own.into_iter().filter(stands).collect();
    row.left = add_up(ground, scratch, &own_standing, &goals, &mut result.exact);
    result.on_sight.1 |= own_standing.iter().any(|id| layout.instances[*id as usize].on_sight);
    result.left.low.push(Choice { own: row.left.0, shared: row.left.2 });
    result.left.high.push(Choice { own: row.left.1, shared: row.left.2 });
    row
}

/// Which of those that a finding yields to are so, a bit each.
fn yielding(instance: &Instance, is_so: impl Fn(InstanceId) -> bool) -> u64 {
    instance.yields_to.iter().take(64).enumerate().fold(0, |set, (at, other)| set | u64::from(is_so(*other)) << at)
}

/// Where a room keeps what it knows of a variable: its own first, then the context.
fn place_of(room: &Room, variable: VariableId) -> Option<usize> {
    room.variables.iter().chain(&room.context).position(|v| *v == variable)
}

/// The bit that says that a fund covers something at all.
pub const COVERED: Shared = 1 << 127;

fn urgency(ground: Ground<'_>, instance: &Local, met: impl Fn(&Node) -> bool) -> u8 {
    let own = instance.lines.iter().filter(|(_, when)| met(when)).map(|(step, _)| step.0 as u8).max().unwrap_or(0);
    let top = ground.book.steps.len().saturating_sub(1) as u32;
    let raised =
        instance.raises.iter().filter(|(.., when)| met(when)).map(|(by, cap, _)| (u32::from(own) + by).min(cap.0).min(top) as u8);
    raised.fold(own, u8::max)
}

/// The own sum of a room for the findings that stand, and what it shares; goals count by their bit alone.
fn add_up(
    ground: Ground<'_>,
    scratch: &mut Scratch,
    standing: &[InstanceId],
    goals: &[InstanceId],
    exact: &mut bool,
) -> (Scaled, Scaled, Shared) {
    let layout = ground.layout();
    let sharing = &ground.prepared.sharing;
    let (mut low, mut high, mut shared) = (0, 0, 0);
    let mut used: Vec<u32> = Vec::new();
    for &id in standing {
        let instance = &layout.instances[id as usize];
        for goods in &instance.goods {
            let price = price_at(ground, scratch, goods, exact);
            low += price.0;
            high += price.1;
        }
        for &occurrence in &instance.occurrences {
            if std::mem::replace(&mut scratch.used[occurrence as usize], true) {
                continue;
            }
            used.push(occurrence);
            shared |= WORK;
            match sharing.steps[occurrence as usize] {
                Some(bit) => shared |= 1 << bit,
                None => {
                    let price = price_at(ground, scratch, &layout.occurrences[occurrence as usize].price, exact);
                    low += price.0;
                    high += price.1;
                }
            }
        }
    }
    for occurrence in used {
        scratch.used[occurrence as usize] = false;
    }
    for &goal in goals {
        shared |= sharing.holds[goal as usize].map_or(0, |bit| 1 << bit);
    }
    (low, high, shared)
}

fn price_at(ground: Ground<'_>, scratch: &Scratch, price: &Price, exact: &mut bool) -> (Scaled, Scaled) {
    match price {
        Price::Open(open) => {
            let (low, high, reached) = ground.seen.open_prices.get(*open as usize).copied().unwrap_or((0, 0, false));
            *exact &= reached;
            (low, high)
        }
        Price::Table(_) => price.at(&ground.layout().atoms, &scratch.case, &scratch.holds).unwrap_or((0, 0)),
    }
}

/// What a finding costs by itself in this case, before the least charge.
fn alone(ground: Ground<'_>, scratch: &Scratch, id: InstanceId, exact: &mut bool) -> (Scaled, Scaled) {
    let layout = ground.layout();
    let instance = &layout.instances[id as usize];
    let mut sum = (0, 0);
    let mut add = |price: (Scaled, Scaled)| sum = (sum.0 + price.0, sum.1 + price.1);
    for goods in &instance.goods {
        add(price_at(ground, scratch, goods, exact));
    }
    for (at, occurrence) in instance.occurrences.iter().enumerate() {
        let step = &layout.occurrences[*occurrence as usize];
        let again = instance.occurrences[..at].contains(occurrence);
        let falls_away = step.included_by.iter().any(|other| instance.occurrences.contains(other));
        if !again && !falls_away {
            add(price_at(ground, scratch, &step.price, exact));
        }
    }
    sum
}

/// Raises a sum that has work in it to the least charge.
pub fn charged(sum: Scaled, works: bool, least: Scaled) -> Scaled {
    if works && sum > 0 { sum.max(least) } else { sum }
}

/// Whether a fund covers a finding, by itself, at that end of its price.
fn covers(ground: Ground<'_>, scratch: &Scratch, id: InstanceId, aid: usize, end: End) -> bool {
    let instance = &ground.layout().instances[id as usize];
    let fund = &ground.book.aids[aid];
    if instance.named_by.iter().any(|named| named.index() == aid) {
        return true;
    }
    let Some(above) = fund.covers_above else {
        return false;
    };
    let mut exact = true;
    let sum = alone(ground, scratch, id, &mut exact);
    let price = charged(if end == End::Low { sum.0 } else { sum.1 }, instance.works, ground.least_charge);
    above_limit(price, above, ground.scale)
}

/// Whether a sum in shares is above a limit in money.
pub fn above_limit(sum: Scaled, limit: purfle_lang::number::Number, scale: Scaled) -> bool {
    sum.saturating_mul(*limit.denom()) > limit.numer().saturating_mul(scale)
}

/// The cells of a set, in order.
pub fn cells(mut set: CellSet) -> Vec<u8> {
    let mut cells = Vec::with_capacity(set.count_ones() as usize);
    while set != 0 {
        cells.push(set.trailing_zeros() as u8);
        set &= set - 1;
    }
    cells
}

fn apart_parts(ground: Ground<'_>, group: &Group) -> Vec<PartId> {
    let mut parts: Vec<PartId> = group
        .instances
        .iter()
        .map(|local| ground.book[ground.layout().instances[local.id as usize].finding].on)
        .filter(|part| ground.book[*part].apart)
        .collect();
    parts.sort_unstable();
    parts.dedup();
    parts.truncate(64);
    parts
}

fn apart_result(parts: &[PartId], rows: &[Option<Row>], result: &mut RoomResult) {
    for (at, part) in parts.iter().enumerate() {
        let forbids = |row: &Row| row.apart >> at & 1 == 1;
        let some = rows.iter().flatten().any(forbids);
        let not_all = rows.iter().flatten().any(|row| !forbids(row));
        result.apart.push((*part, some, not_all));
    }
}

/// What each variable can change: two cases that differ in it alone and in a figure.
fn changes(room: &Room, group: &Group, cells: &[Vec<u8>], rows: &[Option<Row>], result: &mut RoomResult) {
    let mut stride = 1;
    for (variable, own) in group.variables.iter().zip(cells) {
        let count = own.len();
        if let Some(at) = place_of(room, *variable) {
            let change = &mut result.changes[at];
            for block in (0..rows.len()).step_by(stride * count) {
                for first in block..(block + stride).min(rows.len()) {
                    compare_rows((0..count).filter_map(|i| rows.get(first + i * stride).copied().flatten()), change);
                }
            }
        }
        stride *= count;
    }
}

fn compare_rows(mut rows: impl Iterator<Item = Row>, change: &mut Change) {
    let Some(first) = rows.next() else {
        return;
    };
    let (mut urgency, mut hands) = ((first.urgency, first.urgency), (first.hands, first.hands));
    for row in rows {
        urgency = (urgency.0.min(row.urgency), urgency.1.max(row.urgency));
        hands = (hands.0.min(row.hands), hands.1.max(row.hands));
        change.played |= row.forbids != first.forbids;
        change.apart |= row.apart != first.apart;
        change.cost |= (row.now.0, row.now.1) != (first.now.0, first.now.1);
        change.shared |= row.now.2 ^ first.now.2;
        change.left |= (row.left.0, row.left.1) != (first.left.0, first.left.1);
        change.left_shared |= row.left.2 ^ first.left.2;
    }
    if urgency.0 != urgency.1 {
        change.urgency = change.urgency.max(urgency.1 + 1);
    }
    if hands.0 != hands.1 {
        change.hands = change.hands.max(hands.1);
    }
}

/// Bounds for a room with too many cases: each test by itself.
fn enclosed(ground: Ground<'_>, room: &Room, group: &Group, scratch: &mut Scratch) -> RoomResult {
    let layout = ground.layout();
    let sets = &ground.seen.sets;
    let mut result = blank(room, ground.book.aids.len());
    result.exact = false;
    result.enclosed = true;
    result.possible = group.constraints.iter().all(|(node, wanted)| {
        let bounds = node.bounds(&layout.atoms, sets, &scratch.bounds);
        if *wanted { bounds.possibly } else { !bounds.surely }
    });
    let (mut low, mut high) = ((0, 0, 0), (0, 0, 0));
    let mut left_high: Vec<InstanceId> = Vec::new();
    let (mut urgency, mut hands) = ((0_u8, 0_u8), (0_u8, 0_u8));
    let (mut forbidden, mut allowed) = (false, true);
    for local in &group.instances {
        let id = local.id;
        let instance = &layout.instances[id as usize];
        let bounds = scratch.bounds[id as usize];
        let known = &mut result.instances[local.at];
        (known.surely, known.possibly) = (bounds.surely, bounds.possibly);
        if !bounds.possibly {
            continue;
        }
        let step = |surely: bool| {
            self::urgency(ground, local, |node| {
                let bounds = node.bounds(&layout.atoms, sets, &scratch.bounds);
                if surely { bounds.surely } else { bounds.possibly }
            })
        };
        known.urgency = (step(true), step(false));
        let (own_low, own_high) = enclosed_alone(ground, instance);
        known.alone = (own_low, own_high);
        let part = ground.book[instance.finding].on;
        let apart = ground.book[part].apart;
        let forbids = |step: u8| ground.book.steps[usize::from(step)].not_played;
        if apart {
            let sure = bounds.surely && forbids(known.urgency.0);
            match result.apart.iter_mut().find(|(p, ..)| *p == part) {
                Some(found) => *found = (part, found.1 || forbids(known.urgency.1), found.2 && !sure),
                None => result.apart.push((part, forbids(known.urgency.1), !sure)),
            }
        } else {
            forbidden |= forbids(known.urgency.1);
            allowed &= !(bounds.surely && forbids(known.urgency.0));
        }
        urgency.1 = urgency.1.max(known.urgency.1);
        hands.1 = hands.1.max(instance.hands.0 as u8 + 1);
        if bounds.surely {
            urgency.0 = urgency.0.max(known.urgency.0);
            hands.0 = hands.0.max(instance.hands.0 as u8 + 1);
        }
        result.on_sight.0 |= instance.on_sight;
        known.yields_to &= yielding(instance, |other| scratch.bounds[other as usize].surely && other != id);
        let may_yield = instance.yields_to.iter().any(|y| scratch.bounds[*y as usize].possibly);
        if bounds.surely && !may_yield {
            low.0 += own_low;
        }
        high.0 += own_high;
        high.2 |= if instance.works { WORK } else { 0 };
        left_high.push(id);
    }
    result.urgency = urgency;
    result.steps = (urgency.0..=urgency.1).fold(0, |steps, step| steps | 1 << step);
    result.hands = hands;
    result.played = (forbidden, allowed);
    low.1 = low.0;
    let mut next = 0;
    let mut left_sum = high.0;
    let mut goals: Shared = 0;
    while let Some(&id) = left_high.get(next) {
        next += 1;
        for (goal, _, applies) in &layout.instances[id as usize].becomes {
            if !left_high.contains(goal) && applies.bounds(&layout.atoms, sets, &scratch.bounds).possibly {
                left_high.push(*goal);
                match ground.prepared.sharing.holds[*goal as usize] {
                    Some(bit) => goals |= 1 << bit,
                    None => {
                        left_sum += enclosed_alone(ground, &layout.instances[*goal as usize]).1;
                        result.on_sight.1 |= layout.instances[*goal as usize].on_sight;
                    }
                }
            }
        }
    }
    result.on_sight.1 |= result.on_sight.0;
    result.now.low.push(Choice { own: low.0, shared: 0 });
    result.now.high.push(Choice { own: high.0, shared: high.2 });
    result.left.low.push(Choice { own: 0, shared: 0 });
    result.left.high.push(Choice { own: left_sum, shared: high.2 | goals });
    for figure in &mut result.aids {
        figure.low.push(Choice { own: 0, shared: 0 });
        figure.high.push(Choice { own: high.0, shared: high.2 | COVERED });
    }
    for (at, variable) in room.variables.iter().chain(&room.context).enumerate() {
        if group.variables.contains(variable) {
            result.changes[at] = Change {
                played: forbidden && allowed,
                apart: result.apart.iter().any(|(_, some, not_all)| *some && *not_all),
                urgency: if urgency.0 != urgency.1 { urgency.1 + 1 } else { 0 },
                hands: if hands.0 != hands.1 { hands.1 } else { 0 },
                cost: low.0 != high.0,
                shared: 0,
                left: true,
                left_shared: 0,
            };
        }
    }
    result
}

/// The least and the greatest a finding can cost by itself, whatever the case.
fn enclosed_alone(ground: Ground<'_>, instance: &Instance) -> (Scaled, Scaled) {
    let layout = ground.layout();
    let mut sum = (0, 0);
    let prices = instance.goods.iter().chain(instance.occurrences.iter().map(|o| &layout.occurrences[*o as usize].price));
    for price in prices {
        let (low, high) = price_bounds(ground, price);
        sum = (sum.0 + low, sum.1 + high);
    }
    // What includes another is counted beside it here; the least then is that of the dearest alone.
    if instance
        .occurrences
        .iter()
        .any(|o| layout.occurrences[*o as usize].included_by.iter().any(|by| instance.occurrences.contains(by)))
    {
        sum.0 = 0;
    }
    sum
}

/// The least and the greatest of a price over all cells its variables can still have.
pub fn price_bounds(ground: Ground<'_>, price: &Price) -> (Scaled, Scaled) {
    match price {
        Price::Open(open) => {
            let (low, high, _) = ground.seen.open_prices.get(*open as usize).copied().unwrap_or((0, 0, false));
            (low, high)
        }
        Price::Table(tables) => {
            let mut found: Option<(Scaled, Scaled)> = None;
            for table in tables {
                if !table.guard.bounds(&ground.layout().atoms, &ground.seen.sets, &[]).possibly {
                    continue;
                }
                each_cell(&table.variables, &ground.seen.sets, 0, 0, &mut |at| {
                    let (low, high) = table.prices[at as usize].unwrap_or((0, 0));
                    found = Some(found.map_or((low, high), |f| (f.0.min(low), f.1.max(high))));
                });
            }
            found.unwrap_or((0, 0))
        }
    }
}

fn each_cell(variables: &[(VariableId, u32)], sets: &[CellSet], depth: usize, at: u32, tell: &mut impl FnMut(u32)) {
    let Some((variable, stride)) = variables.get(depth) else {
        tell(at);
        return;
    };
    for cell in cells(sets[*variable as usize]) {
        each_cell(variables, sets, depth + 1, at + u32::from(cell) * stride, tell);
    }
}
