//! Bounds for a part of a room that has too many cases to go through: each finding or each test by itself.

use super::cases::{urgency, yielding};
use super::groups::Group;
use super::own_cases;
use super::price::{BESIDES, COVERED, price_bounds};
use super::room_result::{Change, RoomResult, blank};
use super::sharing::{Choice, Shared, WORK};
use super::solve::{Ground, Scratch};
use crate::plan::layout::{Instance, Room};
use crate::plan::price::Scaled;
use purfle_lang::finite::node::InstanceId;

/// Bounds for a room with too many cases: a finding by its own looks where these are few, all else test by test.
pub fn enclosed(ground: Ground<'_>, room: &Room, group: &Group, scratch: &mut Scratch) -> RoomResult {
    let layout = ground.layout();
    let sets = &ground.seen.sets;
    own_cases::settle(ground, group, scratch);
    let mut result = blank(room, ground.book.aids.len());
    result.exact = false;
    (result.enclosed, result.single) = (true, false);
    result.possible = group.constraints.iter().all(|(node, wanted)| {
        let bounds = node.bounds(&layout.view.atoms, sets, &scratch.bounds);
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
                let bounds = node.bounds(&layout.view.atoms, sets, &scratch.bounds);
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
            if !left_high.contains(goal) && applies.bounds(&layout.view.atoms, sets, &scratch.bounds).possibly {
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
    let more = if result.on_sight.0 { BESIDES } else { 0 };
    for figure in &mut result.aids {
        figure.low.push(Choice { own: 0, shared: 0 });
        figure.high.push(Choice { own: high.0, shared: high.2 | COVERED | more });
    }
    let change = Change {
        played: forbidden && allowed,
        apart: result.apart.iter().any(|(_, some, not_all)| *some && *not_all),
        urgency: if urgency.0 != urgency.1 { urgency.1 + 1 } else { 0 },
        hands: if hands.0 != hands.1 { hands.1 } else { 0 },
        cost: low.0 != high.0,
        shared: 0,
        left: true,
        left_shared: 0,
    };
    for (at, variable) in room.variables.iter().chain(&room.context).enumerate() {
        if group.variables.contains(variable) {
            result.changes.or(at, change);
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
