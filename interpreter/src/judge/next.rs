//! What to look at next: the open looks that can still change a figure, gravest first.

use purfle_lang::book::{Book, LookId, PartId};
use purfle_lang::evaluate::{Input, LookSpot, Spot, inputs_of};
use rustc_hash::FxHashMap;

use super::at_of;
use super::marks::{STATED, UNSURE};
use super::outline::Rooms;
use super::room_result::{Change, Figure as RoomFigure, RoomResult};
use super::sharing::Shared;
use super::solve::Ground;
use crate::outcome::{At, Figure, FigureSet, NextLook};
use crate::plan::layout::Layout;
use crate::plan::price::Price;
use purfle_lang::finite::compile::Found;
use purfle_lang::finite::node::{Bounds, Node, VariableId};
use purfle_lang::finite::view::{SlotId, Stands};

/// Looks and the figures they can change, as they are gathered.
#[derive(Debug, Default)]
pub struct Gathered {
    /// For each look that can be asked for, by number, its place in `wanted`, one up; nought where it is not.
    places: Vec<u32>,
    wanted: Vec<((LookId, At), Wanted)>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Wanted {
    figures: u8,
    reach: u8,
    again: bool,
    unsure: bool,
    order: (u32, u32),
}

impl Wanted {
    /// All that decides the order, the weightiest in the highest bits.
    fn order_key(&self) -> u128 {
        let advice = self.figures == bit(Figure::Counsel);
        let parts = [
            (u128::from(advice), 1),
            (u128::from(self.unsure), 1),
            (u128::from(self.figures.trailing_zeros()), 8),
            (u128::from(u8::MAX - self.reach), 8),
            (u128::from(self.order.0), 32),
            (u128::from(self.order.1), 32),
        ];
        parts.into_iter().fold(0, |key, (part, bits)| key << bits | part)
    }
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
    pub shared: Shared,
    /// The same if left.
    pub left_shared: Shared,
}

/// What rooms settle: the step that they reach in every case, the hands that they need, one up, and whether one of them
/// forbids playing.
type Settled = (u8, u8, bool);

fn both(a: Settled, b: Settled) -> Settled {
    (a.0.max(b.0), a.1.max(b.1), a.2 || b.2)
}

/// What all rooms settle, and for each of them what the others do.
fn settled(rooms: Rooms<'_>, mut each: impl FnMut(usize, Settled)) -> Settled {
    let (mut urgency, mut hands, mut forbidding) = ((0, 0), (0, 0), 0);
    let two_highest = |(first, second): (u8, u8), value| if value > first { (value, first) } else { (first, second.max(value)) };
    for outline in rooms.outlines() {
        urgency = two_highest(urgency, outline.urgency.0);
        hands = two_highest(hands, outline.hands.0);
        forbidding += usize::from(!outline.played.1);
    }
    let other = |two: (u8, u8), own: u8| if own == two.0 { two.1 } else { two.0 };
    for (at, outline) in rooms.outlines().enumerate() {
        let forbidden = forbidding > usize::from(!outline.played.1);
        each(at, (other(urgency, outline.urgency.0), other(hands, outline.hands.0), forbidden));
    }
    (urgency.0, hands.0, forbidding > 0)
}

/// What the other rooms have settled for each room, in every choice of the context.
#[derive(Debug, Default)]
pub struct Floors {
    /// Of the rooms that come out the same in every choice: what the others among them settle.
    first: Vec<Settled>,
    /// What all of these settle.
    all_first: Settled,
    /// Of the rooms that hang on the context: what the others among them settle in every choice.
    hanging: Vec<Settled>,
    /// What all of these settle in every choice.
    all_hanging: Option<Settled>,
    /// What is shared in every case, whatever the room.
    shared: (Shared, Shared),
}

impl Floors {
    /// Adds a choice of the context: by the rooms that come out the same in every choice, by those that hang on it as they
    /// come out in this one, and by what is always shared there. The lower of what there was and what comes stays: asking
    /// too much is the safe side.
    pub fn lower(&mut self, first: Rooms<'_>, hanging: Rooms<'_>, (shared, left_shared): (Shared, Shared)) {
        let Self { hanging: known, .. } = self;
        let Some(all) = self.all_hanging else {
            self.all_first = settled(first, |_, others| self.first.push(others));
            self.all_hanging = Some(settled(hanging, |_, others| known.push(others)));
            self.shared = (shared, left_shared);
            return;
        };
        let lower = |a: Settled, b: Settled| (a.0.min(b.0), a.1.min(b.1), a.2 && b.2);
        let here = settled(hanging, |at, others| known[at] = lower(known[at], others));
        self.all_hanging = Some(lower(all, here));
        self.shared = (self.shared.0 & shared, self.shared.1 & left_shared);
    }

    /// That of a room, by its place among those that matter.
    pub fn of(&self, room: usize) -> Floor {
        let (urgency, hands, forbidden) = match self.first.get(room) {
            Some(others) => both(*others, self.all_hanging.unwrap_or_default()),
            None => both(self.all_first, self.hanging.get(room - self.first.len()).copied().unwrap_or_default()),
        };
        Floor { urgency, hands, forbidden, shared: self.shared.0, left_shared: self.shared.1 }
    }
}

impl Floor {
    /// The figures that a change still changes, a bit each, and the highest step it can reveal, one up.
    pub fn still(self, change: Change) -> (u8, u8) {
        let mut figures = 0;
        if change.played && !self.forbidden || change.apart {
            figures |= bit(Figure::Played);
        }
        let urgent = change.urgency > self.urgency + 1;
        if urgent {
            figures |= bit(Figure::Urgency);
        }
        if change.hands > self.hands {
            figures |= bit(Figure::Hands);
        }
        if change.cost || change.shared & !self.shared != 0 {
            figures |= bit(Figure::Cost);
        }
        if change.left || change.left_shared & !self.left_shared != 0 {
            figures |= bit(Figure::Left);
        }
        (figures, if urgent { change.urgency } else { 0 })
    }
}

/// Whether it may be played, and how soon: all that a look can change on which no finding and no price hangs.
pub const URGENT: u8 = FigureSet::of(&[Figure::Played, Figure::Urgency]).bits();

/// What a price counts in that is asked for now, and if left.
pub const COSTS: u8 = FigureSet::of(&[Figure::Cost, Figure::Left]).bits();

/// What a price counts in only if something is left.
pub const COST_IF_LEFT: u8 = FigureSet::of(&[Figure::Left]).bits();

const fn bit(figure: Figure) -> u8 {
    FigureSet::of(&[figure]).bits()
}

impl Gathered {
    /// Whether the price of something that rooms share hangs on a context look.
    pub fn dearer<'a>(
        &mut self,
        ground: Ground<'_>,
        results: impl Iterator<Item = &'a RoomResult> + Clone,
        variable: VariableId,
    ) {
        let Some(&(_, hangs, hangs_left)) = ground.prepared.dearer_by.iter().find(|(known, ..)| *known == variable) else {
            return;
        };
        let touches =
            |figure: &RoomFigure, bits: Shared| figure.low.iter().chain(&figure.high).any(|choice| choice.shared & bits != 0);
        let mut figures = 0;
        if results.clone().any(|result| touches(&result.now, hangs)) {
            figures |= bit(Figure::Cost);
        }
        if results.clone().any(|result| touches(&result.left, hangs | hangs_left)) {
            figures |= bit(Figure::Left);
        }
        if figures != 0 {
            self.ask(ground, variable, figures, 0, 0);
        }
    }

    /// A variable that changes what `change` says, against what the other rooms have settled.
    pub fn change(&mut self, ground: Ground<'_>, variable: VariableId, change: Change, floor: Floor) {
        let (figures, reach) = floor.still(change);
        if figures != 0 {
            self.ask(ground, variable, figures, reach, 0);
        }
    }

    /// Every open look on which a node still hangs can change this figure.
    pub fn node(&mut self, ground: Ground<'_>, node: &Node, figure: Figure) {
        let layout = &ground.prepared.built.layout;
        let mut variables = Vec::new();
        node.variables(&layout.view.atoms, &mut variables);
        // What a total comes to is not among the cells of a record.
        if !variables.iter().any(|variable| ground.prepared.totals.contains(variable)) {
            let open = vec![Bounds { surely: false, possibly: true }; layout.instances.len()];
            variables.clear();
            node.hanging(&layout.view.atoms, &ground.seen.sets, &open, &mut |atom| {
                variables.extend(layout.view.atoms[atom as usize].variables.iter().map(|(variable, _)| *variable));
            });
        }
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

    fn ask(&mut self, ground: Ground<'_>, variable: VariableId, figures: u8, reach: u8, depth: u32) {
        let layout = &ground.prepared.built.layout;
        let known = &layout.view.variables[variable as usize];
        // What compares with a total is settled last, so it counts as open as long as a counsel is.
        let is_total = ground.prepared.totals.contains(&variable);
        if (ground.seen.sets[variable as usize].count_ones() <= 1 && !is_total) || depth > 8 {
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
                    let number = ground.prepared.asks.unnamed(look);
                    self.want(number, (look, At::Unnamed), figures, reach, (false, false), 0);
                }
                return;
            }
            _ => return,
        }
        self.inputs(ground, &numbers, &keys, (figures, reach, depth));
    }

    /// What a price is worked out from, where that leaves it open, can change these figures.
    pub fn price(&mut self, ground: Ground<'_>, price: &Price, figures: u8) {
        let Price::Open(open) = price else { return };
        let built = &ground.prepared.built;
        let Some(open_price) = built.open_prices.get(*open as usize) else { return };
        if ground.seen.open_prices.get(*open as usize).is_some_and(|(low, high, _)| low == high) {
            return;
        }
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        inputs_of(ground.book, &open_price.value, &open_price.hand, &mut numbers, &mut keys);
        self.inputs(ground, &numbers, &keys, (figures, 0, 0));
    }

    /// Of what something is worked out from, all that is not settled is asked for.
    fn inputs(&mut self, ground: Ground<'_>, numbers: &[Input], keys: &[LookSpot], (figures, reach, depth): (u8, u8, u32)) {
        for input in numbers {
            if let Input::Look(look) = *input
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
            if let Some(slot) = ground.prepared.slot(*look)
                && let Some(variable) = ground.prepared.built.layout.view.slots[slot as usize].variable
            {
                self.ask(ground, variable, figures, reach, depth + 1);
            }
        }
    }

    fn ask_slot(&mut self, ground: Ground<'_>, slot: u32, figures: u8, reach: u8, depth: u32) {
        let layout = &ground.prepared.built.layout;
        let place = &layout.view.slots[slot as usize];
        let bounds = place.applies.bounds(&layout.view.atoms, &ground.seen.sets, &[]);
        if !bounds.possibly {
            return;
        }
        if !bounds.surely && !is_there(ground, slot) {
            // It is asked only once it surely applies; before that, what decides it.
            let mut variables = Vec::new();
            place.applies.variables(&layout.view.atoms, &mut variables);
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
        let again = (marks & (STATED | UNSURE) != 0, marks & UNSURE != 0);
        self.want(ground.prepared.asks.of(slot), (place.look.look, at), figures, reach, again, spot);
    }

    /// A look is wanted, by its number; `again` is whether it was seen already, and whether that could not be told.
    fn want(&mut self, number: usize, look: (LookId, At), figures: u8, reach: u8, again: (bool, bool), spot: u32) {
        if self.places.len() <= number {
            self.places.resize(number + 1, 0);
        }
        let place = &mut self.places[number];
        if *place == 0 {
            self.wanted.push((look, Wanted { order: (look.0.0, spot), ..Wanted::default() }));
            *place = self.wanted.len() as u32;
        }
        let (_, wanted) = &mut self.wanted[*place as usize - 1];
        wanted.figures |= figures;
        wanted.reach = wanted.reach.max(reach);
        wanted.again |= again.0;
        wanted.unsure |= again.1;
    }

    /// The looks in the order to take them: by the gravest figure they can change, by the highest step they can reveal,
    /// and as the rulebook has them; after these what could not be told, and last what only advice hangs on.
    pub fn in_order(mut self) -> Vec<NextLook> {
        let mut all: Vec<(u128, (LookId, At), Wanted)> =
            self.wanted.drain(..).map(|(look, wanted)| (wanted.order_key(), look, wanted)).collect();
        all.sort_unstable_by_key(|(key, ..)| *key);
        all.into_iter()
            .map(|(_, (look, at), wanted)| NextLook { look, at, can: FigureSet::from_bits(wanted.figures), again: wanted.again })
            .collect()
    }
}

/// Whether a look applies because of what else was written down: it itself was, or every condition that it hangs on is
/// one that something written down hangs on as well.
fn is_there(ground: Ground<'_>, slot: SlotId) -> bool {
    let layout = &ground.prepared.built.layout;
    let stated = |slot: usize| ground.seen.marks[slot] & STATED != 0;
    if stated(slot as usize) {
        return true;
    }
    conditions(layout, slot).iter().zip(ground.prepared.alike_asked.of(slot)).all(|(condition, others)| {
        condition.bounds(&layout.view.atoms, &ground.seen.sets, &[]).surely || others.iter().any(|other| stated(*other as usize))
    })
}

/// What a look's applying hangs on, condition by condition.
fn conditions(layout: &Layout, slot: SlotId) -> &[Node] {
    match &layout.view.slots[slot as usize].applies {
        Node::All(nodes) => nodes,
        node => std::slice::from_ref(node),
    }
}

/// Looks that apply by the same condition.
#[derive(Debug)]
pub struct AlikeAsked {
    /// For each look, the number of each condition that its applying hangs on.
    numbers: Vec<Vec<usize>>,
    /// The looks whose applying hangs on a condition, by its number.
    looks: Vec<Vec<SlotId>>,
}

impl AlikeAsked {
    /// Those of a layout.
    pub fn new(layout: &Layout) -> Self {
        let mut known: Vec<(&Node, Vec<SlotId>)> = Vec::new();
        let mut number = |condition, slot| {
            let at = known.iter().position(|(other, _)| *other == condition).unwrap_or_else(|| {
                known.push((condition, Vec::new()));
                known.len() - 1
            });
            known[at].1.push(slot);
            at
        };
        let slots = 0..layout.view.slots.len() as SlotId;
        let numbers = slots.map(|slot| conditions(layout, slot).iter().map(|condition| number(condition, slot)).collect());
        let numbers = numbers.collect();
        Self { numbers, looks: known.into_iter().map(|(_, looks)| looks).collect() }
    }

    /// For each condition that a look's applying hangs on, all the looks for which that is so.
    fn of(&self, slot: SlotId) -> impl Iterator<Item = &[SlotId]> {
        self.numbers[slot as usize].iter().map(|number| self.looks[*number].as_slice())
    }
}

/// Numbers for all that can be asked for: a look at a place that somebody named, or at all those together that nobody
/// did.
#[derive(Debug, Default)]
pub struct Asks {
    of: Vec<usize>,
    unnamed: FxHashMap<LookId, usize>,
    count: usize,
}

impl Asks {
    /// Those of a layout with so many places as found written down, by part.
    pub fn new(book: &Book, layout: &Layout, counts: &FxHashMap<PartId, Found>) -> Self {
        let mut asks = Self::default();
        for slot in &layout.view.slots {
            let part = book[slot.look.look].part;
            let recorded = counts.get(&part).map_or(0, |found| found.recorded);
            let number = match slot.look.spot {
                Spot::Found(at) if at >= recorded => asks.unnamed_of(slot.look.look),
                _ => asks.next(),
            };
            asks.of.push(number);
        }
        for part in book.parts.iter().filter_map(|part| part.looks.first()) {
            asks.unnamed_of(*part);
        }
        asks
    }

    fn next(&mut self) -> usize {
        self.count += 1;
        self.count - 1
    }

    fn unnamed_of(&mut self, look: LookId) -> usize {
        if let Some(&known) = self.unnamed.get(&look) {
            return known;
        }
        let number = self.next();
        self.unnamed.insert(look, number);
        number
    }

    /// The number of a look at its place.
    fn of(&self, slot: SlotId) -> usize {
        self.of[slot as usize]
    }

    /// The number of the first look of a part, where nobody named its places.
    fn unnamed(&self, look: LookId) -> usize {
        self.unnamed.get(&look).copied().unwrap_or(self.count)
    }
}
