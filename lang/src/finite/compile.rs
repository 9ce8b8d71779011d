//! Writing a book out over concrete places: conditions into nodes, tests into tables, looks into variables.
//!
//! Everything is walked twice: first to learn which limits cut which look, then, with the cells known, to build.

use crate::book::{Book, Comparison, Condition, Count, FindingId, LookKind, PartId, Places, Test, Value};
use crate::cells::{Cell, Cells};
use crate::evaluate::{InHand, Input, LookSpot, Spot, inputs_of};
use crate::number::Number;
use rustc_hash::FxHashMap;

use super::classify::key_size;
use super::node::{Answer, Atom, AtomId, InstanceId, MOST_CELLS, Node, VariableId};
use super::view::{Dynamic, Slot, SlotId, Stands, Variable, View};
use super::written_out::WrittenOut;

/// How many places of each part as found a layout has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Found {
    /// Written down.
    pub recorded: u32,
    /// Perhaps there.
    pub unnamed: u32,
}

/// The finding at whose place a condition is asked, for `found` at the same place.
pub type Owner = Option<(PartId, Spot)>;

/// Which of the two walks this is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Walk {
    Learn,
    Build,
}

/// A worked-out value: itself, the places in hand, what it reads, the limits that cut it, and its variable.
pub(super) type Reckoned = (Value, InHand, Vec<Input>, Vec<Number>, VariableId);

/// Writes conditions of a book into a layout.
pub struct Compiler<'a> {
    /// The book.
    pub book: &'a Book,
    /// What has been built.
    pub view: View,
    counts: &'a FxHashMap<PartId, Found>,
    pub(super) written_out: &'a mut WrittenOut,
    pub(super) walk: Walk,
    /// Instances of each finding.
    instances_of: Vec<Vec<(Spot, InstanceId)>>,
    pub(super) cuts: FxHashMap<LookSpot, Vec<Number>>,
    pub(super) dynamics: FxHashMap<LookSpot, Vec<Dynamic>>,
    read_choices: FxHashMap<(LookSpot, usize), VariableId>,
    read_looks: FxHashMap<LookSpot, VariableId>,
    pub(super) expressions: Vec<Reckoned>,
    pub(super) opaques: Vec<(Comparison, Value, Value, InHand, VariableId)>,
    exists: FxHashMap<(PartId, u32), VariableId>,
    totals: [Option<VariableId>; 2],
    atoms: FxHashMap<Vec<u8>, AtomId>,
    places: FxHashMap<(PartId, Spot), Node>,
    parts: FxHashMap<PartId, Node>,
}

impl<'a> Compiler<'a> {
    /// A compiler for records with these numbers of places as found, its looks and instances laid out. `written_out` is what
    /// was written out of this book before.
    pub fn new(book: &'a Book, counts: &'a FxHashMap<PartId, Found>, written_out: &'a mut WrittenOut) -> Self {
        Self {
            book,
            view: View::default(),
            counts,
            written_out,
            walk: Walk::Learn,
            instances_of: vec![Vec::new(); book.findings.len()],
            cuts: FxHashMap::default(),
            dynamics: FxHashMap::default(),
            read_choices: FxHashMap::default(),
            read_looks: FxHashMap::default(),
            expressions: Vec::new(),
            opaques: Vec::new(),
            exists: FxHashMap::default(),
            totals: [None, None],
            atoms: FxHashMap::default(),
            places: FxHashMap::default(),
            parts: FxHashMap::default(),
        }
    }

    /// Ends the first walk: gives every look that a test reads its variable and cells.
    pub fn learnt(&mut self) {
        self.walk = Walk::Build;
        self.places.clear();
        self.parts.clear();
        let mut looks: Vec<LookSpot> = self.read_looks.keys().copied().collect();
        looks.sort_unstable();
        for look in looks {
            let cuts = self.cuts.get(&look).cloned().unwrap_or_default();
            let cells = Cells::of(&self.book[look.look], &cuts);
            let dynamics = self.dynamics.get(&look).cloned().unwrap_or_default();
            let size = cells.len() * 3_usize.pow(dynamics.len() as u32);
            let variable = self.variable(Stands::Look(look, dynamics), cells, size);
            self.read_looks.insert(look, variable);
        }
        let mut choices: Vec<(LookSpot, usize)> = self.read_choices.keys().copied().collect();
        choices.sort_unstable();
        for (look, choice) in choices {
            let variable = self.variable(Stands::Choice(look, choice), Cells::of_value(&[]), 2);
            self.read_choices.insert((look, choice), variable);
        }
        for at in 0..self.expressions.len() {
            let (value, hand, _, cuts, _) = &mut self.expressions[at];
            cuts.sort_unstable();
            cuts.dedup();
            let cells = Cells::of_value(cuts);
            let (stands, size) = (Stands::Expression(value.clone(), hand.clone()), cells.len() + 1);
            self.expressions[at].4 = self.variable(stands, cells, size);
        }
        for at in 0..self.opaques.len() {
            let (comparison, left, right, hand, _) = self.opaques[at].clone();
            self.opaques[at].4 = self.variable(Stands::Opaque(comparison, left, right, hand), Cells::of_value(&[]), 3);
        }
        let mut exists: Vec<(PartId, u32)> = self.exists.keys().copied().collect();
        exists.sort_unstable();
        for (part, place) in exists {
            let variable = self.variable(Stands::Exists(part, place), Cells::of_value(&[]), 2);
            self.exists.insert((part, place), variable);
            self.view.exists.push((part, place, variable));
        }
        for (at, (stands, size)) in
            [(Stands::TotalUrgency, self.book.steps.len()), (Stands::TotalTier, self.book.tiers.len())].into_iter().enumerate()
        {
            if self.totals[at].is_some() {
                self.totals[at] = Some(self.variable(stands, Cells::of_value(&[]), size));
            }
        }
    }

    fn variable(&mut self, stands: Stands, cells: Cells, size: usize) -> VariableId {
        let id = self.view.variables.len() as VariableId;
        self.view.variables.push(Variable { stands, cells, size, shared: false, slot: None });
        id
    }

    /// Announces that `finding` is judged at `spot`, as instance `id`.
    pub fn announce(&mut self, finding: FindingId, spot: Spot, id: InstanceId) {
        self.instances_of[finding.index()].push((spot, id));
    }

    /// The instances of a finding.
    pub fn instances_of(&self, finding: FindingId) -> &[(Spot, InstanceId)] {
        &self.instances_of[finding.index()]
    }

    /// Whether two findings are each on the places of one part, so that `found`, `yields to` and `left becomes`
    /// between them mean the same place.
    pub fn same_place(&self, owner: Owner, finding: FindingId) -> Option<Spot> {
        let finding = &self.book[finding];
        match owner {
            Some((part, spot)) if finding.each && finding.on == part => Some(spot),
            _ => None,
        }
    }

    /// The places of a part in this layout.
    pub fn spots(&self, part: PartId) -> Vec<Spot> {
        match &self.book[part].places {
            Places::Single => vec![Spot::Single],
            Places::Fixed(places) => (0..places.len() as u32).map(Spot::Fixed).collect(),
            Places::AsFound => {
                let found = self.counts.get(&part).copied().unwrap_or(Found { recorded: 0, unnamed: 0 });
                (0..found.recorded + found.unnamed).map(Spot::Found).collect()
            }
        }
    }

    /// When a part applies.
    pub fn part_applies(&mut self, part: PartId) -> Node {
        if let Some(node) = self.parts.get(&part) {
            return node.clone();
        }
        let node = match &self.book[part].only_when {
            Some(condition) => self.condition(condition, &InHand::nothing(), None, false),
            None => Node::Constant(true),
        };
        self.parts.insert(part, node.clone());
        node
    }

    /// When a place of a part applies, its part included; a place that nobody has named must be there.
    pub fn place_applies(&mut self, part: PartId, spot: Spot) -> Node {
        if let Some(node) = self.places.get(&(part, spot)) {
            return node.clone();
        }
        let whole = self.part_applies(part);
        let own = match (&self.book[part].places, spot) {
            (Places::Fixed(places), Spot::Fixed(at)) => {
                match places.get(at as usize).and_then(|place| place.only_when.as_ref()) {
                    Some(condition) => self.condition(condition, &InHand::nothing().with(part, spot), None, false),
                    None => Node::Constant(true),
                }
            }
            (Places::AsFound, Spot::Found(at)) => {
                let recorded = self.counts.get(&part).map_or(0, |found| found.recorded);
                if at < recorded { Node::Constant(true) } else { self.there(part, at) }
            }
            _ => Node::Constant(true),
        };
        let node = Node::all([whole, own]);
        self.places.insert((part, spot), node.clone());
        node
    }

    fn there(&mut self, part: PartId, at: u32) -> Node {
        let variable = *self.exists.entry((part, at)).or_insert(0);
        self.single(variable, 2, |cell| if cell == 1 { Answer::Met } else { Answer::Opposite }, false)
    }

    /// When a look applies at a place: its part, its place and its own `only when` together.
    pub fn look_applies(&mut self, look: LookSpot) -> Node {
        let part = self.book[look.look].part;
        let place = self.place_applies(part, look.spot);
        let own = match &self.book[look.look].only_when {
            Some(condition) => self.condition(condition, &InHand::nothing().with(part, look.spot), None, false),
            None => Node::Constant(true),
        };
        Node::all([place, own])
    }

    /// Registers every look at every place, with when it applies.
    pub fn lay_out_looks(&mut self) {
        for at in 0..self.book.looks.len() {
            let look = crate::book::LookId::from_index(at);
            for spot in self.spots(self.book[look].part) {
                let look = LookSpot { look, spot };
                let applies = self.look_applies(look);
                if self.walk == Walk::Learn {
                    continue;
                }
                let place = self.place_applies(self.book[look.look].part, look.spot);
                let part = self.part_applies(self.book[look.look].part);
                let id = self.view.slots.len() as SlotId;
                let variable = self.read_looks.get(&look).copied();
                let mut choices: Vec<(usize, VariableId)> =
                    self.read_choices.iter().filter(|((l, _), _)| *l == look).map(|((_, choice), v)| (*choice, *v)).collect();
                choices.sort_unstable();
                for variable in variable.iter().chain(choices.iter().map(|(_, v)| v)) {
                    self.view.variables[*variable as usize].slot = Some(id);
                }
                self.view.slot_of.insert(look, id);
                self.view.slots.push(Slot { look, applies, place, part, variable, choices });
            }
        }
        let parts: Vec<PartId> = (0..self.book.parts.len()).map(PartId::from_index).collect();
        for &part in &parts {
            for spot in self.spots(part) {
                self.place_applies(part, spot);
            }
        }
        let parts = parts.into_iter().map(|part| self.part_applies(part)).collect();
        if self.walk == Walk::Build {
            self.view.parts = parts;
        }
    }

    /// A condition, or its carried-in opposite, as a node.
    pub fn condition(&mut self, condition: &Condition, hand: &InHand, owner: Owner, not: bool) -> Node {
        match condition {
            Condition::All(inner) | Condition::Any(inner) => {
                let nodes: Vec<Node> = inner.iter().map(|c| self.condition(c, hand, owner, not)).collect();
                if matches!(condition, Condition::All(_)) != not { Node::all(nodes) } else { Node::any(nodes) }
            }
            Condition::AtLeast(count, inner) => {
                let nodes: Vec<Node> = inner.iter().map(|c| self.condition(c, hand, owner, not)).collect();
                let wanted = if not { (nodes.len() as u32 + 1).saturating_sub(*count) } else { *count };
                Node::at_least(wanted, nodes)
            }
            Condition::Not(inner) => self.condition(inner, hand, owner, !not),
            Condition::Test(test, _) => self.test(test, hand, not),
            Condition::Places { count, part, with, .. } => self.places(*count, *part, with, hand, owner, not),
            Condition::Found(finding, _) => {
                let same = self.same_place(owner, *finding);
                let holds = self.instances_of[finding.index()]
                    .iter()
                    .filter(|(spot, _)| same.is_none_or(|same| same == *spot))
                    .map(|(_, id)| Node::Holds(*id))
                    .collect::<Vec<_>>();
                let node = Node::any(holds);
                if not { Node::unmet(node) } else { node }
            }
        }
    }

    fn places(&mut self, count: Count, part: PartId, with: &Condition, hand: &InHand, owner: Owner, not: bool) -> Node {
        let whole = self.part_applies(part);
        let (mut there, mut met, mut every) = (Vec::new(), Vec::new(), Vec::new());
        for spot in self.spots(part) {
            let applies = self.place_applies(part, spot);
            let inner = self.condition(with, &hand.with(part, spot), owner, false);
            let both = Node::all([applies.clone(), inner]);
            every.push(Node::any([Node::unmet(applies.clone()), both.clone()]));
            there.push(applies);
            met.push(both);
        }
        let plain = match count {
            Count::Any => Node::any(met),
            Count::No => Node::unmet(Node::any(met)),
            Count::Every => Node::all([Node::any(there), Node::all(every)]),
            Count::AtLeast(least) => Node::at_least(least, met),
        };
        Node::all([whole, if not { Node::unmet(plain) } else { plain }])
    }

    fn test(&mut self, test: &Test, hand: &InHand, not: bool) -> Node {
        match test {
            Test::IsOneOf { look, choices, not: written } => {
                let look = hand.look(self.book, *look);
                let applies = self.look_applies(look);
                let variable = self.look_variable(look);
                let size = key_size(self.book, look);
                let node = self.single(variable, size, |cell| answer(choices.contains(&cell)), not != *written);
                Node::all([applies, node])
            }
            Test::HasAny { look, choices } => {
                let look = hand.look(self.book, *look);
                let applies = self.look_applies(look);
                let has: Vec<Node> = choices
                    .iter()
                    .map(|&choice| {
                        let variable = *self.read_choices.entry((look, choice)).or_insert(0);
                        self.single(variable, 2, |cell| answer(cell == 1), not)
                    })
                    .collect();
                Node::all([applies, if not { Node::all(has) } else { Node::any(has) }])
            }
            Test::NoDate { look, not: written } => {
                let look = hand.look(self.book, *look);
                let applies = self.look_applies(look);
                let variable = self.look_variable(look);
                let node = self.over_cells(variable, |cell| answer(cell == Cell::NoDate), not != *written);
                Node::all([applies, node])
            }
            Test::Compare(comparison, left, right) => self.compare(*comparison, left, right, hand, not),
            Test::Between(value, low, high) => {
                let pairs = [(Comparison::AtLeast, low), (Comparison::AtMost, high)];
                let side =
                    |this: &mut Self, not| pairs.map(|(comparison, limit)| this.compare(comparison, value, limit, hand, not));
                let met = side(self, false);
                if !not {
                    return Node::all(met);
                }
                // One test: where either limit has no value, neither it nor its opposite is met.
                let opposite = side(self, true);
                let valued: Vec<Node> =
                    met.into_iter().zip(opposite.clone()).map(|(met, opposite)| Node::any([met, opposite])).collect();
                Node::all(valued.into_iter().chain([Node::any(opposite)]))
            }
            Test::PlaceIs { part, places, not: written } => {
                let here = match hand.spot(*part) {
                    Some(Spot::Fixed(at)) => places.iter().any(|place| place.0 == at),
                    _ => false,
                };
                Node::Constant(here != (not != *written))
            }
            Test::TotalUrgency { from, to, not: written } => {
                let variable = *self.totals[0].get_or_insert(0);
                let size = self.book.steps.len();
                self.single(variable, size, |cell| answer((from.index()..=to.index()).contains(&cell)), not != *written)
            }
            Test::TotalTier { from, to, not: written } => {
                let variable = *self.totals[1].get_or_insert(0);
                let size = self.book.tiers.len();
                self.single(variable, size, |cell| answer((from.index()..=to.index()).contains(&cell)), not != *written)
            }
        }
    }

    pub(super) fn look_variable(&mut self, look: LookSpot) -> VariableId {
        *self.read_looks.entry(look).or_insert(0)
    }

    /// A test of one variable by its cell's index.
    pub(super) fn single(&mut self, variable: VariableId, size: usize, answers: impl Fn(usize) -> Answer, not: bool) -> Node {
        if self.walk == Walk::Learn {
            return Node::Met(0);
        }
        let size = self.view.variables.get(variable as usize).map_or(size, |v| v.size).max(1);
        let cells = self.view.variables.get(variable as usize).map_or(size, |v| match v.stands {
            Stands::Look(..) => v.cells.len(),
            _ => size,
        });
        let answers = (0..size).map(|cell| answers(cell % cells)).collect();
        self.atom(Atom { variables: vec![(variable, 1)], answers }, not)
    }

    /// A test of one look by its cell.
    fn over_cells(&mut self, variable: VariableId, answers: impl Fn(Cell) -> Answer, not: bool) -> Node {
        if self.walk == Walk::Learn {
            return Node::Met(0);
        }
        let cells: Vec<Cell> = self.view.variables[variable as usize].cells.iter().collect();
        self.single(variable, cells.len(), |cell| answers(cells[cell]), not)
    }

    pub(super) fn atom(&mut self, atom: Atom, not: bool) -> Node {
        let wanted = if not { Answer::Opposite } else { Answer::Met };
        if atom.answers.iter().all(|answer| *answer == wanted) {
            return Node::Constant(true);
        }
        if atom.answers.iter().all(|answer| *answer != wanted) {
            return Node::Constant(false);
        }
        let mut key: Vec<u8> = Vec::new();
        for (variable, stride) in &atom.variables {
            key.extend(variable.to_le_bytes());
            key.extend(stride.to_le_bytes());
        }
        key.extend(atom.answers.iter().map(|answer| *answer as u8));
        let id = match self.atoms.get(&key) {
            Some(id) => *id,
            None => {
                let id = self.view.atoms.len() as AtomId;
                self.view.atoms.push(atom);
                self.atoms.insert(key, id);
                id
            }
        };
        if not { Node::Opposite(id) } else { Node::Met(id) }
    }

    /// Whether every variable has few enough cells; the first look that has too many if not.
    pub fn too_many_cells(&self) -> Option<LookSpot> {
        self.view.variables.iter().filter(|v| v.size > MOST_CELLS).find_map(|v| match v.stands {
            Stands::Look(look, _) => Some(look),
            // A worked-out value: the first look it reads stands for it.
            Stands::Expression(ref value, ref hand) => {
                let (mut numbers, mut keys) = (Vec::new(), Vec::new());
                inputs_of(self.book, value, hand, &mut numbers, &mut keys);
                numbers.into_iter().find_map(|input| if let Input::Look(look) = input { Some(look) } else { None })
            }
            _ => None,
        })
    }

    /// The variable of a look for a price: its choices, or its values where each has a cell of its own.
    pub fn price_variable(&mut self, look: LookSpot) -> Option<VariableId> {
        let kind = &self.book[look.look].kind;
        let fits = matches!(kind, LookKind::YesNo | LookKind::OneOf(_) | LookKind::Counted { .. });
        fits.then(|| self.look_variable(look))
    }

    /// Whether this is the first walk.
    pub fn learning(&self) -> bool {
        self.walk == Walk::Learn
    }
}

fn answer(met: bool) -> Answer {
    if met { Answer::Met } else { Answer::Opposite }
}
