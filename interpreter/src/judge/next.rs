//! What to look at next: the open looks that can still change a figure, gravest first.

use purfle_lang::book::LookId;
use purfle_lang::evaluate::{Input, LookSpot, Spot, inputs_of};
use rustc_hash::FxHashMap;

use super::at_of;
use super::intake::{STATED, UNSURE};
use super::solve::{Change, Ground};
use crate::outcome::{At, Figure, NextLook};
use crate::plan::layout::Stands;
use crate::plan::node::{Node, VariableId};

/// A look and the figures it can change, as they are gathered.
#[derive(Debug, Default)]
pub struct Gathered {
    known: FxHashMap<(LookId, At), Wanted>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Wanted {
    figures: u8,
    reach: u8,
    again: bool,
    unsure: bool,
    order: (u32, u32),
}

/// What has settled a figure already.
#[derive(Debug, Clone, Copy, Default)]
pub struct Floor {
    /// The step that the other rooms reach in every case.
    pub urgency: u8,
    /// The hands that the other rooms need in every case, one up.
    pub hands: u8,
    /// Whether another room forbids playing in every case.
    pub forbidden: bool,
    /// What is shared in every case.
    pub shared: u128,
    /// The same if left.
    pub left_shared: u128,
}

const FIGURES: [Figure; 7] =
    [Figure::Played, Figure::Urgency, Figure::Hands, Figure::Cost, Figure::Left, Figure::Aid, Figure::Counsel];

fn bit(figure: Figure) -> u8 {
    1 << FIGURES.iter().position(|f| *f == figure).unwrap_or(7)
}

impl Gathered {
    /// A variable that changes what `change` says, against what the other rooms have settled.
    pub fn change(&mut self, ground: Ground<'_>, variable: VariableId, change: Change, floor: Floor) {
        let mut figures = 0;
        if change.played && !floor.forbidden || change.apart {
            figures |= bit(Figure::Played);
        }
        let urgent = change.urgency > floor.urgency + 1;
        if urgent {
            figures |= bit(Figure::Urgency);
        }
        if change.hands > floor.hands {
            figures |= bit(Figure::Hands);
        }
        if change.cost || change.shared & !floor.shared != 0 {
            figures |= bit(Figure::Cost);
        }
        if change.left || change.left_shared & !floor.left_shared != 0 {
            figures |= bit(Figure::Left);
        }
        if figures != 0 {
            self.ask(ground, variable, figures, if urgent { change.urgency } else { 0 }, 0);
        }
    }

    /// Every open look that a node reads can change this figure.
    pub fn node(&mut self, ground: Ground<'_>, node: &Node, figure: Figure) {
        let layout = &ground.prepared.built.layout;
        let mut variables = Vec::new();
        node.visit(&mut |atom| variables.extend(layout.atoms[atom as usize].variables.iter().map(|(v, _)| *v)), &mut |_| {});
        for variable in variables {
            self.ask(ground, variable, bit(figure), 0, 0);
        }
    }

    /// A look that nobody has answered can change this figure.
    pub fn look(&mut self, ground: Ground<'_>, look: LookSpot, figure: Figure) {
        if let Some(slot) = ground.prepared.slot(look) {
            self.ask_slot(ground, slot, bit(figure), 0, 0);
        }
    }

    /// Context that still differs can change these figures.
    pub fn context(&mut self, ground: Ground<'_>, variable: VariableId, figures: &[Figure], reach: u8) {
        let figures = figures.iter().fold(0, |set, figure| set | bit(*figure));
        if figures != 0 {
            self.ask(ground, variable, figures, reach, 0);
        }
    }

    fn ask(&mut self, ground: Ground<'_>, variable: VariableId, figures: u8, reach: u8, depth: u32) {
        let layout = &ground.prepared.built.layout;
        let known = &layout.variables[variable as usize];
        if ground.seen.sets[variable as usize].count_ones() <= 1 || depth > 8 {
            return;
        }
        if let Some(slot) = known.slot {
            return self.ask_slot(ground, slot, figures, reach, depth);
        }
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        match &known.stands {
            Stands::Expression(value, hand) => inputs_of(ground.book, value, hand, &mut numbers, &mut keys),
            Stands::Opaque(_, left, right, hand) => {
                inputs_of(ground.book, left, hand, &mut numbers, &mut keys);
                inputs_of(ground.book, right, hand, &mut numbers, &mut keys);
            }
            Stands::Exists(part, _) => {
                if let Some(&look) = ground.book[*part].looks.first() {
                    self.want((look, At::Unnamed), figures, reach, false, false, (look.0, 0));
                }
                return;
            }
            _ => return,
        }
        for input in numbers {
            if let Input::Look(look) = input
                && let Some(slot) = ground.prepared.slot(look)
            {
                let known = ground.seen.numbers.iter().find(|(s, _)| *s == slot);
                let settled =
                    known.is_some_and(|(_, extent)| extent.ends.is_none_or(|(low, high)| low == high) && !extent.nothing);
                if !settled {
                    self.ask_slot(ground, slot, figures, reach, depth);
                }
            }
        }
        for look in keys {
            if let Some(slot) = ground.prepared.slot(look)
                && let Some(variable) = layout.slots[slot as usize].variable
            {
                self.ask(ground, variable, figures, reach, depth + 1);
            }
        }
    }

    fn ask_slot(&mut self, ground: Ground<'_>, slot: u32, figures: u8, reach: u8, depth: u32) {
        let layout = &ground.prepared.built.layout;
        let place = &layout.slots[slot as usize];
        let bounds = place.applies.bounds(&layout.atoms, &ground.seen.sets, &[]);
        if !bounds.possibly {
            return;
        }
        if !bounds.surely {
            // It is asked only once it surely applies; before that, what decides it.
            let mut variables = Vec::new();
            place
                .applies
                .visit(&mut |atom| variables.extend(layout.atoms[atom as usize].variables.iter().map(|(v, _)| *v)), &mut |_| {});
            for variable in variables {
                self.ask(ground, variable, figures, reach, depth + 1);
            }
            return;
        }
        let marks = ground.seen.marks[slot as usize];
        let spot = match place.look.spot {
            Spot::Single => 0,
            Spot::Fixed(at) | Spot::Found(at) => at,
        };
        let at = at_of(ground, ground.book[place.look.look].part, place.look.spot);
        let again = marks & (STATED | UNSURE) != 0;
        self.want((place.look.look, at), figures, reach, again, marks & UNSURE != 0, (place.look.look.0, spot));
    }

    fn want(&mut self, key: (LookId, At), figures: u8, reach: u8, again: bool, unsure: bool, order: (u32, u32)) {
        let wanted = self.known.entry(key).or_insert(Wanted { order, ..Wanted::default() });
        wanted.figures |= figures;
        wanted.reach = wanted.reach.max(reach);
        wanted.again |= again;
        wanted.unsure |= unsure;
    }

    /// The looks in the order to take them: what could not be told last; then by the gravest figure they can change,
    /// by the highest step they can reveal, and as the rulebook has them.
    pub fn in_order(&mut self) -> Vec<NextLook> {
        let mut all: Vec<((LookId, At), Wanted)> = self.known.drain().collect();
        all.sort_unstable_by_key(|(_, wanted)| {
            (wanted.unsure, wanted.figures.trailing_zeros(), u8::MAX - wanted.reach, wanted.order)
        });
        all.into_iter()
            .map(|((look, at), wanted)| NextLook {
                look,
                at,
                can: FIGURES.iter().copied().filter(|f| wanted.figures & bit(*f) != 0).collect(),
                again: wanted.again,
            })
            .collect()
    }
}
