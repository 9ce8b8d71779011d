//! Rooms: the groups of findings that hang together once the context is fixed.
//!
//! Two findings share a room when they read a common look, when one reads or yields to the other, or when one's
//! price hangs on a look the other reads. Context looks do not join rooms: each room is worked out for each
//! choice of them. A context look that a single room reads is that room's own.

use purfle_lang::book::{Book, Value};
use purfle_lang::evaluate::{InHand, Input, inputs_of};
use rustc_hash::{FxHashMap, FxHashSet};

use super::build::Whole;
use super::layout::{Instance, Layout, Room};
use super::price::Price;
use purfle_lang::finite::node::{Atom, InstanceId, Node, VariableId};
use purfle_lang::finite::view::{SlotId, Stands};

/// Groups the findings of a layout into rooms and gives what rooms share a bit each.
pub fn group(book: &Book, layout: &mut Layout, whole: &Whole) {
    mark_shared(book, layout);
    let reads: Vec<Reads> = (0..layout.instances.len()).map(|i| instance_reads(layout, i as InstanceId)).collect();
    let constrained: Vec<SlotId> = (0..layout.view.slots.len() as u32)
        .filter(|&slot| layout.view.slots[slot as usize].applies != Node::Constant(true))
        .collect();
    let slot_reads: Vec<Reads> = constrained.iter().map(|&slot| slot_reads(layout, slot)).collect();
    let mut context: Vec<bool> = (0..layout.view.variables.len()).map(|v| is_context(book, layout, v)).collect();
    let mut groups = Groups::new(reads.len() + constrained.len() + layout.view.variables.len());
    let first_slot = reads.len();
    let first_variable = first_slot + constrained.len();
    for (node, read) in reads.iter().chain(&slot_reads).enumerate() {
        for &variable in &read.variables {
            if !context[variable as usize] {
                groups.join(node, first_variable + variable as usize);
            }
        }
        for &instance in &read.instances {
            groups.join(node, instance as usize);
        }
    }
    // A context look that one group alone reads belongs to it.
    let mut readers: FxHashMap<VariableId, FxHashSet<usize>> = FxHashMap::default();
    for (node, read) in reads.iter().chain(&slot_reads).enumerate() {
        for &variable in read.variables.iter().filter(|v| context[**v as usize]) {
            readers.entry(variable).or_default().insert(groups.root(node));
        }
    }
    // What is read beside the rooms, when they are added up and last of all, belongs to none.
    for variable in beside(layout, whole) {
        readers.entry(variable).or_default().insert(usize::MAX);
    }
    let mut owned: Vec<VariableId> = readers.iter().filter(|(_, roots)| roots.len() == 1).map(|(v, _)| *v).collect();
    owned.sort_unstable();
    for variable in owned {
        if let Some(&root) = readers.get(&variable).and_then(|roots| roots.iter().next())
            && root != usize::MAX
        {
            context[variable as usize] = false;
            groups.join(root, first_variable + variable as usize);
        }
    }
    let by_a_room = |v: VariableId| readers.get(&v).is_some_and(|roots| roots.iter().any(|root| *root != usize::MAX));
    layout.context = (0..layout.view.variables.len() as u32).filter(|&v| context[v as usize] && by_a_room(v)).collect();
    let mut room_at: FxHashMap<usize, usize> = FxHashMap::default();
    let mut rooms: Vec<Room> = Vec::new();
    let mut room_of = |groups: &mut Groups, node: usize, rooms: &mut Vec<Room>| -> usize {
        *room_at.entry(groups.root(node)).or_insert_with(|| {
            rooms.push(Room {
                instances: Vec::new(),
                variables: Vec::new(),
                context: Vec::new(),
                constraints: Vec::new(),
                open_prices: Vec::new(),
                memory: 0,
            });
            rooms.len() - 1
        })
    };
    for (node, read) in reads.iter().enumerate() {
        if layout.instances[node].only_left {
            continue;
        }
        let room = room_of(&mut groups, node, &mut rooms);
        rooms[room].instances.push(node as InstanceId);
        read.share_out(&context, &mut rooms[room]);
    }
    for (at, read) in slot_reads.iter().enumerate() {
        if read.variables.iter().all(|v| context[*v as usize]) {
            layout.context_constraints.push(constrained[at]);
            continue;
        }
        let room = room_of(&mut groups, first_slot + at, &mut rooms);
        rooms[room].constraints.push(constrained[at]);
        read.share_out(&context, &mut rooms[room]);
    }
    for room in &mut rooms {
        room.variables.sort_unstable();
        room.variables.dedup();
        room.context.sort_unstable();
        room.context.dedup();
        room.open_prices.sort_unstable();
        room.open_prices.dedup();
        room.instances = in_order(&layout.instances, &room.instances);
    }
    layout.rooms = rooms;
}

/// The variables that prices, counsels and funds read, wherever they are worked out.
fn beside(layout: &Layout, whole: &Whole) -> Vec<VariableId> {
    let mut reads = Reads::default();
    for node in whole.counsels.iter().chain(&whole.aids) {
        reads.node(&layout.view.atoms, node);
    }
    for price in layout.occurrences.iter().map(|o| &o.price).chain(layout.instances.iter().flat_map(|i| &i.goods)) {
        reads.price(&layout.view.atoms, price);
    }
    reads.variables
}

/// Everything one finding or look reads.
#[derive(Debug, Clone, Default)]
struct Reads {
    variables: Vec<VariableId>,
    instances: Vec<InstanceId>,
    open_prices: Vec<u32>,
}

impl Reads {
    fn node(&mut self, atoms: &[Atom], node: &Node) {
        let Self { variables, instances, .. } = self;
        node.variables(atoms, variables);
        node.findings(instances);
    }

    fn price(&mut self, atoms: &[Atom], price: &Price) {
        price.variables(atoms, &mut |v| self.variables.push(v));
        if let Price::Open(open) = price {
            self.open_prices.push(*open);
        }
    }

    fn share_out(&self, context: &[bool], room: &mut Room) {
        for &variable in &self.variables {
            if context[variable as usize] { room.context.push(variable) } else { room.variables.push(variable) }
        }
        room.open_prices.extend(&self.open_prices);
    }
}

fn instance_reads(layout: &Layout, id: InstanceId) -> Reads {
    let mut reads = Reads::default();
    let instance = &layout.instances[id as usize];
    if instance.only_left {
        return reads;
    }
    reads.node(&layout.view.atoms, &instance.holds);
    for node in instance.lines.iter().map(|(_, n)| n).chain(instance.raises.iter().map(|(.., n)| n)) {
        reads.node(&layout.view.atoms, node);
    }
    // Its own cost, the cost of all it can become and what that yields to, and whether that applies.
    for link in layout.chain(vec![id]) {
        let link = &layout.instances[link as usize];
        reads.instances.extend(link.yields_to.iter().filter(|other| !layout.instances[**other as usize].only_left));
        for &occurrence in &link.occurrences {
            reads.price(&layout.view.atoms, &layout.occurrences[occurrence as usize].price);
        }
        for goods in &link.goods {
            reads.price(&layout.view.atoms, goods);
        }
        for (.., applies) in &link.becomes {
            reads.node(&layout.view.atoms, applies);
        }
    }
    reads
}

fn slot_reads(layout: &Layout, slot: SlotId) -> Reads {
    let mut reads = Reads::default();
    let slot = &layout.view.slots[slot as usize];
    reads.node(&layout.view.atoms, &slot.applies);
    reads.variables.extend(slot.variable);
    reads.variables.extend(slot.choices.iter().map(|(_, v)| *v));
    reads
}

/// Whether a variable is read off context looks alone.
fn is_context(book: &Book, layout: &Layout, variable: usize) -> bool {
    let context = |look: purfle_lang::book::LookId| book[book[look].part].context;
    match &layout.view.variables[variable].stands {
        Stands::Look(look, _) | Stands::Choice(look, _) => context(look.look),
        Stands::Expression(value, hand) => reads_context(book, value, hand),
        Stands::Opaque(_, left, right, hand) => reads_context(book, left, hand) && reads_context(book, right, hand),
        Stands::Exists(..) => false,
        Stands::TotalUrgency | Stands::TotalTier => true,
    }
}

fn reads_context(book: &Book, value: &Value, hand: &InHand) -> bool {
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    inputs_of(book, value, hand, &mut numbers, &mut keys);
    let looks = numbers.iter().filter_map(|input| match input {
        Input::Look(look) | Input::Last(look) => Some(*look),
        Input::InspectedOn | Input::TotalCost => None,
    });
    looks.chain(keys).all(|look| book[book[look.look].part].context)
}

/// Marks the worked-out variables whose looks are read elsewhere too, or more than once.
fn mark_shared(book: &Book, layout: &mut Layout) {
    let mut read: FxHashMap<Input, u32> = FxHashMap::default();
    let mut inputs: Vec<Vec<Input>> = Vec::with_capacity(layout.view.variables.len());
    for variable in &layout.view.variables {
        let mut own = Vec::new();
        match &variable.stands {
            Stands::Look(look, _) | Stands::Choice(look, _) => own.push(Input::Look(*look)),
            Stands::Expression(value, hand) => every_input(book, value, hand, &mut own),
            Stands::Opaque(_, left, right, hand) => {
                every_input(book, left, hand, &mut own);
                every_input(book, right, hand, &mut own);
            }
            Stands::Exists(..) | Stands::TotalUrgency | Stands::TotalTier => {}
        }
        own.retain(|input| matches!(input, Input::Look(_)));
        for input in &own {
            *read.entry(*input).or_default() += 1;
        }
        inputs.push(own);
    }
    for (variable, own) in layout.view.variables.iter_mut().zip(inputs) {
        let worked_out = matches!(variable.stands, Stands::Expression(..) | Stands::Opaque(..));
        variable.shared = worked_out && own.iter().any(|input| read.get(input).is_some_and(|&count| count > 1));
    }
}

/// Every input of a value, as often as it is read.
fn every_input(book: &Book, value: &Value, hand: &InHand, into: &mut Vec<Input>) {
    match value {
        Value::Number(_) | Value::Range(..) | Value::Date(_) => {}
        Value::Look(at) => into.push(Input::Look(hand.look(book, *at))),
        Value::Last(at) => into.push(Input::Last(hand.look(book, *at))),
        Value::InspectedOn => into.push(Input::InspectedOn),
        Value::TotalCost => into.push(Input::TotalCost),
        Value::Table(_) => {
            let (mut numbers, mut keys) = (Vec::new(), Vec::new());
            inputs_of(book, value, hand, &mut numbers, &mut keys);
            into.extend(numbers);
            into.extend(keys.into_iter().map(Input::Look));
        }
        Value::Reckon(reckon) => every_input(book, &book[*reckon].value, hand, into),
        Value::Negative(a) => every_input(book, a, hand, into),
        Value::Arithmetic(_, a, b) | Value::Lower(a, b) | Value::Higher(a, b) | Value::DaysFrom(a, b) => {
            every_input(book, a, hand, into);
            every_input(book, b, hand, into);
        }
        Value::Formula(_, arguments) => arguments.iter().for_each(|a| every_input(book, a, hand, into)),
    }
}

/// The findings of a room, each after those its signs read. The resolver has ruled circles out.
fn in_order(all: &[Instance], room: &[InstanceId]) -> Vec<InstanceId> {
    fn place(all: &[Instance], id: InstanceId, placed: &mut Vec<InstanceId>, on_the_way: &mut Vec<InstanceId>) {
        if placed.contains(&id) || on_the_way.contains(&id) {
            return;
        }
        on_the_way.push(id);
        let mut read = Vec::new();
        all[id as usize].holds.findings(&mut read);
        for other in read {
            place(all, other, placed, on_the_way);
        }
        on_the_way.pop();
        placed.push(id);
    }
    let (mut placed, mut on_the_way) = (Vec::with_capacity(room.len()), Vec::new());
    for &id in room {
        place(all, id, &mut placed, &mut on_the_way);
    }
    placed
}

/// Disjoint groups of numbered things.
struct Groups {
    parent: Vec<usize>,
}

impl Groups {
    fn new(size: usize) -> Self {
        Self { parent: (0..size).collect() }
    }

    fn root(&mut self, mut at: usize) -> usize {
        while self.parent[at] != at {
            self.parent[at] = self.parent[self.parent[at]];
            at = self.parent[at];
        }
        at
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.root(a), self.root(b));
        self.parent[a.max(b)] = a.min(b);
    }
}
