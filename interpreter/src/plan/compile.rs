//! Writing a book out over concrete places: conditions into nodes, tests into tables, looks into variables.
//!
//! Everything is walked twice: first to learn which limits cut which look, then, with the cells known, to build.

use purfle_lang::book::{Book, Comparison, Condition, Count, FindingId, LookKind, PartId, Places, Test, Value};
use purfle_lang::cells::{Cell, Cells};
use purfle_lang::evaluate::{InHand, Input, LookSpot, Spot, Worked, compare, evaluate};
use purfle_lang::number::Number;
use rustc_hash::FxHashMap;

use super::classify::{Fixed, Kind, Reading, key_size, read};
use super::layout::{Dynamic, Layout, Slot, SlotId, Stands, Variable};
use super::node::{Answer, Atom, AtomId, InstanceId, MOST_CELLS, Node, VariableId};

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
enum Walk {
    Learn,
    Build,
}

/// The most tests over one look that a record's own constants may cut.
const MOST_DYNAMIC: usize = 3;

/// A worked-out value: itself, the places in hand, what it reads, the limits that cut it, and its variable.
type Reckoned = (Value, InHand, Vec<Input>, Vec<Number>, VariableId);

/// Writes conditions of a book into a layout.
pub struct Compiler<'a> {
    /// The book.
    pub book: &'a Book,
    /// What has been built.
    pub layout: Layout,
    counts: &'a FxHashMap<PartId, Found>,
    walk: Walk,
    /// Instances of each finding.
    instances_of: Vec<Vec<(Spot, InstanceId)>>,
    cuts: FxHashMap<LookSpot, Vec<Number>>,
    dynamics: FxHashMap<LookSpot, Vec<Dynamic>>,
    read_choices: FxHashMap<(LookSpot, usize), VariableId>,
    read_looks: FxHashMap<LookSpot, VariableId>,
    expressions: Vec<Reckoned>,
    opaques: Vec<(Comparison, Value, Value, InHand, VariableId)>,
    exists: FxHashMap<(PartId, u32), VariableId>,
    totals: [Option<VariableId>; 2],
    atoms: FxHashMap<Vec<u8>, AtomId>,
    places: FxHashMap<(PartId, Spot), Node>,
    parts: FxHashMap<PartId, Node>,
}

impl<'a> Compiler<'a> {
    /// A compiler for records with these numbers of places as found, its looks and instances laid out.
    pub fn new(book: &'a Book, counts: &'a FxHashMap<PartId, Found>) -> Self {
        Self {
            book,
            layout: Layout::default(),
            counts,
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
            self.layout.exists.push((part, place, variable));
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
        let id = self.layout.variables.len() as VariableId;
        self.layout.variables.push(Variable { stands, cells, size, shared: false, slot: None });
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
            let look = purfle_lang::book::LookId::from_index(at);
            for spot in self.spots(self.book[look].part) {
                let look = LookSpot { look, spot };
                let applies = self.look_applies(look);
                if self.walk == Walk::Learn {
                    continue;
                }
                let place = self.place_applies(self.book[look.look].part, look.spot);
                let part = self.part_applies(self.book[look.look].part);
                let id = self.layout.slots.len() as SlotId;
                let variable = self.read_looks.get(&look).copied();
                let mut choices: Vec<(usize, VariableId)> =
                    self.read_choices.iter().filter(|((l, _), _)| *l == look).map(|((_, choice), v)| (*choice, *v)).collect();
                choices.sort_unstable();
                for variable in variable.iter().chain(choices.iter().map(|(_, v)| v)) {
                    self.layout.variables[*variable as usize].slot = Some(id);
                }
                self.layout.slot_of.insert(look, id);
                self.layout.slots.push(Slot { look, applies, place, part, variable, choices });
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
            self.layout.parts = parts;
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

    fn look_variable(&mut self, look: LookSpot) -> VariableId {
        *self.read_looks.entry(look).or_insert(0)
    }

    /// A test of one variable by its cell's index.
    fn single(&mut self, variable: VariableId, size: usize, answers: impl Fn(usize) -> Answer, not: bool) -> Node {
        if self.walk == Walk::Learn {
            return Node::Met(0);
        }
        let size = self.layout.variables.get(variable as usize).map_or(size, |v| v.size).max(1);
        let cells = self.layout.variables.get(variable as usize).map_or(size, |v| match v.stands {
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
        let cells: Vec<Cell> = self.layout.variables[variable as usize].cells.iter().collect();
        self.single(variable, cells.len(), |cell| answers(cells[cell]), not)
    }

    fn atom(&mut self, atom: Atom, not: bool) -> Node {
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
                let id = self.layout.atoms.len() as AtomId;
                self.layout.atoms.push(atom);
                self.atoms.insert(key, id);
                id
            }
        };
        if not { Node::Opposite(id) } else { Node::Met(id) }
    }

    fn compare(&mut self, comparison: Comparison, left: &Value, right: &Value, hand: &InHand, not: bool) -> Node {
        let mut reading = read(self.book, comparison, left, right, hand);
        let hand = &self.used(hand, &reading);
        let mut gate = Vec::new();
        for input in &reading.numbers {
            if let Input::Look(look) = input {
                gate.push(self.look_applies(*look));
            }
        }
        if let Kind::Dynamic(look) = reading.kind {
            let dynamic = Dynamic { comparison, left: left.clone(), right: right.clone(), hand: hand.clone() };
            let known = self.dynamics.entry(look).or_default();
            if !known.contains(&dynamic) {
                if known.len() < MOST_DYNAMIC {
                    known.push(dynamic);
                } else {
                    reading.kind = Kind::Opaque;
                }
            }
        }
        self.learn(comparison, left, right, hand, &reading);
        let keys: Vec<(LookSpot, Node)> = match reading.kind {
            Kind::Opaque | Kind::Dynamic(_) => Vec::new(),
            _ => reading.keys.iter().map(|&look| (look, self.look_applies(look))).collect(),
        };
        if self.walk == Walk::Learn {
            for (look, _) in &keys {
                self.look_variable(*look);
            }
            return Node::Met(0);
        }
        // A key look that may fail to apply splits the test: once with its choices, once with the rows of `any`.
        let doubtful: Vec<usize> = (0..keys.len()).filter(|&i| keys[i].1 != Node::Constant(true)).collect();
        let mut alternatives = Vec::new();
        for absent in 0..1_u32 << doubtful.len().min(16) {
            let is_absent = |i: usize| doubtful.iter().position(|&d| d == i).is_some_and(|bit| absent >> bit & 1 == 1);
            let guard: Vec<Node> = keys
                .iter()
                .enumerate()
                .map(|(i, (_, applies))| if is_absent(i) { Node::unmet(applies.clone()) } else { applies.clone() })
                .collect();
            let present: Vec<LookSpot> = (0..keys.len()).filter(|&i| !is_absent(i)).map(|i| keys[i].0).collect();
            let node = self.table(comparison, left, right, hand, &reading, &present, not);
            alternatives.push(Node::all(guard.into_iter().chain([node])));
        }
        Node::all(gate.into_iter().chain([Node::any(alternatives)]))
    }

    /// The places in hand that a comparison reads, so that one comparison read in two ways is one.
    fn used(&self, hand: &InHand, reading: &Reading) -> InHand {
        let looks = reading.numbers.iter().filter_map(|input| match input {
            Input::Look(look) | Input::Last(look) => Some(look.look),
            Input::InspectedOn | Input::TotalCost => None,
        });
        let parts = looks.chain(reading.keys.iter().map(|key| key.look)).map(|look| self.book[look].part);
        let parts: std::collections::BTreeSet<PartId> = parts.collect();
        let in_hand = parts.into_iter().filter_map(|part| hand.spot(part).map(|spot| (part, spot)));
        in_hand.fold(InHand::nothing(), |hand, (part, spot)| hand.with(part, spot))
    }

    /// First walk: remembers what the comparison reads and where it cuts.
    fn learn(&mut self, comparison: Comparison, left: &Value, right: &Value, hand: &InHand, reading: &Reading) {
        if self.walk == Walk::Build {
            return;
        }
        match &reading.kind {
            Kind::Choices => {}
            Kind::Cuts(look, cuts) => {
                self.look_variable(*look);
                self.cuts.entry(*look).or_default().extend(cuts);
            }
            Kind::Dynamic(look) => {
                self.look_variable(*look);
            }
            Kind::Expression(cuts, left_measures) => {
                let value = if *left_measures { left } else { right };
                match self.find_expression(value, &reading.numbers) {
                    Some(at) => self.expressions[at].3.extend(cuts),
                    None => self.expressions.push((value.clone(), hand.clone(), reading.numbers.clone(), cuts.clone(), 0)),
                }
            }
            Kind::Opaque => {
                let wanted = (comparison, left.clone(), right.clone(), hand.clone(), 0);
                if !self.opaques.contains(&wanted) {
                    self.opaques.push(wanted);
                }
            }
        }
    }

    fn find_expression(&self, value: &Value, numbers: &[Input]) -> Option<usize> {
        self.expressions.iter().position(|(v, _, n, _, _)| v == value && n == numbers)
    }

    #[allow(clippy::too_many_arguments)]
    fn table(
        &mut self,
        comparison: Comparison,
        left: &Value,
        right: &Value,
        hand: &InHand,
        reading: &Reading,
        present: &[LookSpot],
        not: bool,
    ) -> Node {
        let verdict = |left: Option<Worked>, right: Option<Worked>| {
            let verdict = compare(comparison, left, right);
            if verdict.met {
                Answer::Met
            } else if verdict.unmet {
                Answer::Opposite
            } else {
                Answer::Neither
            }
        };
        // The variable that carries the measure, and how many answers it takes.
        let measured: Option<(VariableId, usize)> = match &reading.kind {
            Kind::Choices => None,
            Kind::Cuts(look, _) => {
                let variable = self.look_variable(*look);
                Some((variable, self.layout.variables[variable as usize].size))
            }
            Kind::Dynamic(look) => {
                let variable = self.look_variable(*look);
                let cells = self.layout.variables[variable as usize].cells.len();
                let size = self.layout.variables[variable as usize].size;
                let digit = self.dynamics.get(look).and_then(|known| {
                    known
                        .iter()
                        .position(|d| d.comparison == comparison && d.left == *left && d.right == *right && d.hand == *hand)
                });
                let divisor = cells * 3_usize.pow(digit.unwrap_or(0) as u32);
                let answers = (0..size).map(|at| digit_answer(at / divisor % 3)).collect();
                return self.atom(Atom { variables: vec![(variable, 1)], answers }, not);
            }
            Kind::Expression(..) => {
                let value = if matches!(reading.kind, Kind::Expression(_, true)) { left } else { right };
                let at = self.find_expression(value, &reading.numbers).unwrap_or(0);
                let variable = self.expressions[at].4;
                Some((variable, self.layout.variables[variable as usize].size))
            }
            Kind::Opaque => {
                let found = self
                    .opaques
                    .iter()
                    .find(|(c, l, r, h, _)| *c == comparison && l == left && r == right && h == hand)
                    .map_or(0, |(.., variable)| *variable);
                return self.single(found, 3, digit_answer, not);
            }
        };
        let mut variables = Vec::new();
        let mut stride = 1_u32;
        for look in present {
            let variable = self.look_variable(*look);
            variables.push((variable, stride));
            stride *= self.layout.variables[variable as usize].size as u32;
        }
        if let Some((variable, size)) = measured {
            variables.push((variable, stride));
            stride *= size as u32;
        }
        let mut answers = Vec::with_capacity(stride as usize);
        for at in 0..stride {
            let cell = |i: usize| {
                let (variable, stride) = variables[i];
                at / stride % self.layout.variables[variable as usize].size as u32
            };
            let keys: Vec<(LookSpot, Option<usize>)> =
                present.iter().enumerate().map(|(i, &look)| (look, Some(cell(i) as usize))).collect();
            let answer = match (&reading.kind, measured) {
                (Kind::Cuts(look, _), Some((variable, _))) => {
                    let variable = &self.layout.variables[variable as usize];
                    let sample = variable.cells.sample(cell(present.len()) as usize % variable.cells.len());
                    let numbers: Vec<(Input, Number)> = sample.map(|s| (Input::Look(*look), s)).into_iter().collect();
                    let inputs = Fixed { numbers: &numbers, keys: &keys };
                    verdict(evaluate(self.book, left, hand, &inputs), evaluate(self.book, right, hand, &inputs))
                }
                (Kind::Expression(_, left_measures), Some((variable, _))) => {
                    let sample = self.layout.variables[variable as usize].cells.sample(cell(present.len()) as usize);
                    let measure = sample.map(Worked::point);
                    let limit = if *left_measures { right } else { left };
                    let limit = evaluate(self.book, limit, hand, &Fixed { numbers: &[], keys: &keys });
                    if *left_measures { verdict(measure, limit) } else { verdict(limit, measure) }
                }
                _ => {
                    let inputs = Fixed { numbers: &[], keys: &keys };
                    verdict(evaluate(self.book, left, hand, &inputs), evaluate(self.book, right, hand, &inputs))
                }
            };
            answers.push(answer);
        }
        self.atom(Atom { variables, answers }, not)
    }

    /// Whether every variable has few enough cells; the first look that has too many if not.
    pub fn too_many_cells(&self) -> Option<LookSpot> {
        self.layout.variables.iter().filter(|v| v.size > MOST_CELLS).find_map(|v| match v.stands {
            Stands::Look(look, _) => Some(look),
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

fn digit_answer(digit: usize) -> Answer {
    match digit {
        0 => Answer::Met,
        1 => Answer::Opposite,
        _ => Answer::Neither,
    }
}
