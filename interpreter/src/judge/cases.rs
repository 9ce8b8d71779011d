//! A group worked out case by case: every choice of its open looks.

use purfle_lang::book::PartId;
use rustc_hash::FxHashMap;

use super::groups::{Group, Local};
use super::price::{BESIDES, COVERED, alone, covers, names, price_at};
use super::room_result::{Change, RoomResult, blank, place_of};
use super::sharing::{Choice, End, Shared, WORK};
use super::solve::{Ground, Scratch, finish};
use crate::plan::layout::{Instance, Room};
use crate::plan::price::Scaled;
use purfle_lang::finite::node::{CellSet, InstanceId, Node, VariableId};

/// One case in short.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    urgency: u8,
    forbids: bool,
    /// Which of the sums of its group it comes to.
    sums: u32,
    apart: u64,
}

/// Goes through every case of a group; one cell stands for each class.
pub fn by_cases(ground: Ground<'_>, room: &Room, group: &Group, classes: &[Vec<CellSet>], scratch: &mut Scratch) -> RoomResult {
    let layout = ground.layout();
    let mut result = blank(room, ground.book.aids.len());
    // One cell stands for each class.
    let cells: Vec<Vec<u8>> =
        classes.iter().map(|classes| classes.iter().map(|class| class.trailing_zeros() as u8).collect()).collect();
    let apart_parts = apart_parts(ground, group);
    let priced_by = priced_by(ground, group, &cells);
    scratch.sums.clear();
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
            group.constraints.iter().all(|(node, wanted)| node.met(&layout.view.atoms, &scratch.case, &scratch.holds) == *wanted);
        let row = allowed.then(|| one_case(ground, group, &priced_by, scratch, &apart_parts, &mut result));
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
    changes(room, group, &cells, &rows, &scratch.sums.all, &mut result);
    result.single = rows.len() == 1;
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

/// What all cases come to in which the same findings hold at the same prices: worked out once.
#[derive(Debug, Clone, Copy)]
pub struct Sums {
    hands: u8,
    now: (Scaled, Scaled, Shared),
    left: (Scaled, Scaled, Shared),
}

/// The sums of a group.
#[derive(Debug, Default)]
pub struct GroupSums {
    all: Vec<Sums>,
    /// Which they are, by what holds, a bit each, and the cells that prices hang on.
    known: FxHashMap<Box<[u64]>, u32>,
}

impl GroupSums {
    fn clear(&mut self) {
        self.all.clear();
        self.known.clear();
    }
}

fn one_case(
    ground: Ground<'_>,
    group: &Group,
    priced_by: &[VariableId],
    scratch: &mut Scratch,
    apart_parts: &[PartId],
    result: &mut RoomResult,
) -> Row {
    let layout = ground.layout();
    result.possible = true;
    let mut key = std::mem::take(&mut scratch.key);
    key.clear();
    key.resize(group.instances.len().div_ceil(64), 0);
    for (at, local) in group.instances.iter().enumerate() {
        let holds = local.holds.met(&layout.view.atoms, &scratch.case, &scratch.holds);
        scratch.holds[local.id as usize] = holds;
        key[at / 64] |= u64::from(holds) << (at % 64);
    }
    key.extend(priced_by.iter().map(|variable| u64::from(scratch.case[*variable as usize])));
    let known = scratch.sums.known.get(key.as_slice()).copied();
    let sums = known.unwrap_or_else(|| {
        let sums = added_up(ground, group, scratch, result);
        let next = scratch.sums.all.len() as u32;
        scratch.sums.known.insert(key.as_slice().into(), next);
        scratch.sums.all.push(sums);
        next
    });
    scratch.key = key;

    let mut row = Row { urgency: 0, forbids: false, sums, apart: 0 };
    for local in group.instances.iter().filter(|local| scratch.holds[local.id as usize]) {
        let urgency = urgency(ground, local, |node| node.met(&layout.view.atoms, &scratch.case, &scratch.holds));
        let known = &mut result.instances[local.at];
        known.urgency = (known.urgency.0.min(urgency), known.urgency.1.max(urgency));
        row.urgency = row.urgency.max(urgency);
        if ground.book.steps[usize::from(urgency)].not_played {
            let on = ground.book[layout.instances[local.id as usize].finding].on;
            match apart_parts.iter().position(|part| *part == on) {
                Some(part) => row.apart |= 1 << part,
                None => row.forbids = true,
            }
        }
    }
    result.urgency = (result.urgency.0.min(row.urgency), result.urgency.1.max(row.urgency));
    result.steps |= 1 << row.urgency;
    let hands = scratch.sums.all[sums as usize].hands;
    result.hands = (result.hands.0.min(hands), result.hands.1.max(hands));
    result.played = (result.played.0 || row.forbids, result.played.1 || !row.forbids);
    row
}

/// The open variables of a group on which a price hangs, or whether something left can become something else.
fn priced_by(ground: Ground<'_>, group: &Group, cells: &[Vec<u8>]) -> Vec<VariableId> {
    let layout = ground.layout();
    let mut read: Vec<VariableId> = Vec::new();
    for link in layout.chain(group.instances.iter().map(|local| local.id).collect()) {
        let link = &layout.instances[link as usize];
        let steps = link.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
        steps.chain(&link.goods).for_each(|price| price.variables(&layout.view.atoms, &mut |variable| read.push(variable)));
        link.becomes.iter().for_each(|(.., applies)| applies.variables(&layout.view.atoms, &mut read));
    }
    let open = group.variables.iter().zip(cells).filter(|(_, cells)| cells.len() > 1).map(|(variable, _)| *variable);
    open.filter(|variable| read.contains(variable)).collect()
}

/// Adds up the case at hand, and notes of each finding what hangs on nothing but what holds.
fn added_up(ground: Ground<'_>, group: &Group, scratch: &mut Scratch, result: &mut RoomResult) -> Sums {
    let layout = ground.layout();
    let mut standing = std::mem::take(&mut scratch.standing);
    let mut left = std::mem::take(&mut scratch.left);
    standing.clear();
    left.clear();
    let mut hands = 0;
    for local in &group.instances {
        let id = local.id;
        let known = &mut result.instances[local.at];
        if !scratch.holds[id as usize] {
            known.surely = false;
            continue;
        }
        let instance = &layout.instances[id as usize];
        let alone = alone(ground, scratch, id, &mut result.exact);
        known.possibly = true;
        known.alone = (known.alone.0.min(alone.0), known.alone.1.max(alone.1));
        known.yields_to &= yielding(instance, |other| scratch.holds[other as usize] && other != id);
        hands = hands.max(instance.hands.0 as u8 + 1);
        left.push(id);
        if !instance.yields_to.iter().any(|other| *other != id && scratch.holds[*other as usize]) {
            standing.push((id, alone));
            result.on_sight.0 |= instance.on_sight;
        }
    }
    let now = add_up(ground, scratch, standing.iter().map(|(id, _)| *id), &mut result.exact);
    result.now.low.push(Choice { own: now.0, shared: now.2 });
    result.now.high.push(Choice { own: now.1, shared: now.2 });
    for (aid, figure) in result.aids.iter_mut().enumerate() {
        let mut exact = true;
        let mut covered = |end: End| {
            let covered = || standing.iter().filter(|(id, alone)| covers(ground, *id, *alone, aid, end)).map(|(id, _)| *id);
            let mut something = if covered().next().is_none() { 0 } else { COVERED };
            let besides = |id: InstanceId| match end {
                End::Low => names(ground, id, aid),
                End::High => layout.instances[id as usize].on_sight,
            };
            if covered().any(besides) {
                something |= BESIDES;
            }
            let (low, high, shared) = add_up(ground, scratch, covered(), &mut exact);
            Choice { own: if end == End::Low { low } else { high }, shared: shared | something }
        };
        figure.low.push(covered(End::Low));
        figure.high.push(covered(End::High));
    }
    // If left: all that they become, then what stands, then the sum; shared goals count by their bit alone.
    let mut next = 0;
    while let Some(&id) = left.get(next) {
        next += 1;
        for (goal, _, applies) in &layout.instances[id as usize].becomes {
            if !left.contains(goal) && applies.met(&layout.view.atoms, &scratch.case, &scratch.holds) {
                left.push(*goal);
            }
        }
    }
    let bit = |id: &InstanceId| ground.prepared.sharing.holds[*id as usize];
    // A finding that is settled beforehand is there as well.
    let there = |other: &InstanceId| scratch.holds[*other as usize] || left.contains(other);
    let stands = |id: &InstanceId| !layout.instances[*id as usize].yields_to.iter().any(|other| *other != *id && there(other));
    let own: Vec<InstanceId> = left.iter().copied().filter(|id| bit(id).is_none() && stands(id)).collect();
    let mut sum = add_up(ground, scratch, own.iter().copied(), &mut result.exact);
    sum.2 |= left.iter().filter_map(bit).fold(0, |goals, bit| goals | 1 << bit);
    result.on_sight.1 |= own.into_iter().any(|id| layout.instances[id as usize].on_sight);
    result.left.low.push(Choice { own: sum.0, shared: sum.2 });
    result.left.high.push(Choice { own: sum.1, shared: sum.2 });
    (scratch.standing, scratch.left) = (standing, left);
    Sums { hands, now, left: sum }
}

/// Which of those that a finding yields to are so, a bit each.
pub fn yielding(instance: &Instance, is_so: impl Fn(InstanceId) -> bool) -> u64 {
    instance.yields_to.iter().take(64).enumerate().fold(0, |set, (at, other)| set | u64::from(is_so(*other)) << at)
}

/// The step of a finding that holds, raises included.
pub fn urgency(ground: Ground<'_>, instance: &Local, met: impl Fn(&Node) -> bool) -> u8 {
    let own = instance.lines.iter().filter(|(_, when)| met(when)).map(|(step, _)| step.0 as u8).max().unwrap_or(0);
    let top = ground.book.steps.len().saturating_sub(1) as u32;
    let raised =
        instance.raises.iter().filter(|(.., when)| met(when)).map(|(by, cap, _)| (u32::from(own) + by).min(cap.0).min(top) as u8);
    raised.fold(own, u8::max)
}

/// The own sum of a room for the findings that stand, and what it shares.
fn add_up(
    ground: Ground<'_>,
    scratch: &mut Scratch,
    standing: impl Iterator<Item = InstanceId>,
    exact: &mut bool,
) -> (Scaled, Scaled, Shared) {
    let layout = ground.layout();
    let sharing = &ground.prepared.sharing;
    let (mut low, mut high, mut shared) = (0, 0, 0);
    scratch.steps.clear();
    for id in standing {
        let instance = &layout.instances[id as usize];
        for goods in &instance.goods {
            let price = price_at(ground, scratch, goods, exact);
            low += price.0;
            high += price.1;
        }
        for &occurrence in &instance.occurrences {
            shared |= WORK;
            match sharing.steps[occurrence as usize] {
                Some(bit) => shared |= 1 << bit,
                None if scratch.steps.contains(&occurrence) => {}
                None => {
                    scratch.steps.push(occurrence);
                    let price = price_at(ground, scratch, &layout.occurrences[occurrence as usize].price, exact);
                    low += price.0;
                    high += price.1;
                }
            }
        }
    }
    (low, high, shared)
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
fn changes(room: &Room, group: &Group, cells: &[Vec<u8>], rows: &[Option<Row>], sums: &[Sums], result: &mut RoomResult) {
    let mut stride = 1;
    for (variable, own) in group.variables.iter().zip(cells) {
        let count = own.len();
        if let Some(at) = place_of(room, *variable) {
            let mut change = Change::default();
            for block in (0..rows.len()).step_by(stride * count) {
                for first in block..(block + stride).min(rows.len()) {
                    compare_rows((0..count).filter_map(|i| rows.get(first + i * stride)?.as_ref()), sums, &mut change);
                }
            }
            result.changes.or(at, change);
        }
        stride *= count;
    }
}

fn compare_rows<'a>(mut rows: impl Iterator<Item = &'a Row>, all: &[Sums], change: &mut Change) {
    let Some(first) = rows.next() else {
        return;
    };
    let sums = &all[first.sums as usize];
    let (mut urgency, mut hands) = ((first.urgency, first.urgency), (sums.hands, sums.hands));
    for row in rows.filter(|row| *row != first) {
        urgency = (urgency.0.min(row.urgency), urgency.1.max(row.urgency));
        change.played |= row.forbids != first.forbids;
        change.apart |= row.apart != first.apart;
        if row.sums == first.sums {
            continue;
        }
        let other = &all[row.sums as usize];
        hands = (hands.0.min(other.hands), hands.1.max(other.hands));
        change.cost |= (other.now.0, other.now.1) != (sums.now.0, sums.now.1);
        change.shared |= other.now.2 ^ sums.now.2;
        change.left |= (other.left.0, other.left.1) != (sums.left.0, sums.left.1);
        change.left_shared |= other.left.2 ^ sums.left.2;
    }
    if urgency.0 != urgency.1 {
        change.urgency = change.urgency.max(urgency.1 + 1);
    }
    if hands.0 != hands.1 {
        change.hands = change.hands.max(hands.1);
    }
}
