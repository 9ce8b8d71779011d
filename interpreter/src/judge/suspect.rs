//! Telling what is suspected from what is merely not ruled out.
//!
//! Something seen points to an open finding when one of its own signs is met, or lies within the reading error. The
//! context points to nothing but findings on itself, and a value that is good anyway points to nothing.

use purfle_lang::book::Book;
use purfle_lang::evaluate::{Input, inputs_of};

use super::good::good_of;
use super::marks::STATED;
use super::solve::Ground;
use crate::plan::layout::{Instance, Layout};
use purfle_lang::finite::node::{Node, VariableId};
use purfle_lang::finite::view::{SlotId, Stands};

/// The looks that can point to a finding: those its signs read, on its own part or on no context.
pub fn sign_slots(book: &Book, layout: &Layout, instance: &Instance) -> Vec<SlotId> {
    let on = book[instance.finding].on;
    let mut slots = Vec::new();
    for sign in &instance.signs {
        if let Node::Met(atom) | Node::Opposite(atom) = sign {
            for (variable, _) in &layout.view.atoms[*atom as usize].variables {
                slots_of(book, layout, *variable, &mut slots);
            }
        }
    }
    slots.retain(|slot| {
        let part = book[layout.view.slots[*slot as usize].look.look].part;
        !book[part].context || part == on
    });
    slots.sort_unstable();
    slots.dedup();
    slots
}

/// The looks a variable is worked out from.
fn slots_of(book: &Book, layout: &Layout, variable: VariableId, into: &mut Vec<SlotId>) {
    let known = &layout.view.variables[variable as usize];
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    match (&known.stands, known.slot) {
        (_, Some(slot)) => into.push(slot),
        (Stands::Expression(value, hand), None) => inputs_of(book, value, hand, &mut numbers, &mut keys),
        (Stands::Opaque(_, left, right, hand), None) => {
            inputs_of(book, left, hand, &mut numbers, &mut keys);
            inputs_of(book, right, hand, &mut numbers, &mut keys);
        }
        _ => {}
    }
    into.extend(numbers.iter().filter_map(|input| match input {
        Input::Look(look) => layout.view.slot_of.get(look).copied(),
        _ => None,
    }));
}

/// Whether something seen points to an open finding. `slots` as [`sign_slots`] has them.
pub fn pointed_to(ground: Ground<'_>, instance: &Instance, slots: &[SlotId]) -> bool {
    if !slots.iter().any(|slot| ground.seen.marks[*slot as usize] & STATED != 0) {
        return false;
    }
    let layout = &ground.prepared.built.layout;
    instance.signs.iter().any(|sign| {
        let (Node::Met(atom) | Node::Opposite(atom)) = sign else {
            return false;
        };
        let atom = &layout.view.atoms[*atom as usize];
        let points = atom.variables.iter().any(|(variable, _)| {
            let mut read = Vec::new();
            slots_of(ground.book, layout, *variable, &mut read);
            read.iter().any(|slot| {
                slots.contains(slot) && ground.seen.marks[*slot as usize] & STATED != 0 && !surely_good(ground, *slot)
            })
        });
        points && sign.bounds(&layout.view.atoms, &ground.seen.sets, &[]).possibly
    })
}

/// Whether all that a look can still be is good.
fn surely_good(ground: Ground<'_>, slot: SlotId) -> bool {
    let Some(good) = good_of(ground.book, ground.prepared, slot, ground.seen) else {
        return false;
    };
    match ground.prepared.built.layout.view.slots[slot as usize].variable {
        Some(variable) => ground.seen.sets[variable as usize] & !good.set == 0,
        None => {
            let seen = ground.seen.numbers.iter().find(|(s, _)| *s == slot).and_then(|(_, seen)| seen.ends);
            match (seen, good.extent.and_then(|extent| extent.ends)) {
                (Some((low, high)), Some((from, to))) => from <= low && high <= to,
                _ => false,
            }
        }
    }
}
