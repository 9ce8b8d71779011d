//! Answers held against going through every case of thousands of small random spaces.

mod conditions;
mod gaps;
mod overlaps;
mod questions;

use super::{Answer, Atom, Case, CellSet, Conditions, Node, Region, Space, VariableId};

/// Random numbers that are the same on every run: Sebastiano Vigna's SplitMix64.
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ mixed >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ mixed >> 31
    }

    fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }

    fn from(&mut self, first: usize, last: usize) -> usize {
        first + self.below(last + 1 - first)
    }

    /// Some cells of a variable, now and then none or all.
    fn cells(&mut self, whole: CellSet) -> CellSet {
        let drawn = CellSet::from(self.next()) << 64 | CellSet::from(self.next());
        match self.below(12) {
            0 => whole,
            1 if self.below(4) == 0 => 0,
            _ => whole & drawn,
        }
    }

    fn space(&mut self) -> Space {
        let variables = self.from(1, 5);
        Space::new((0..variables).map(|_| self.from(1, 4)).collect::<Vec<_>>())
    }

    fn region(&mut self, space: &Space) -> Region {
        let mut sides = Vec::new();
        for variable in 0..space.variables() as VariableId {
            if self.below(3) > 0 {
                sides.push((variable, self.cells(space.whole(variable))));
            }
        }
        Region::of(sides)
    }

    fn regions(&mut self, space: &Space, most: usize) -> Vec<Region> {
        (0..self.below(most + 1)).map(|_| self.region(space)).collect()
    }

    /// A test over one to three variables, its table laid out with the last variable moving fastest.
    fn atom(&mut self, space: &Space) -> Atom {
        let mut variables: Vec<VariableId> = (0..space.variables() as VariableId).collect();
        for at in 0..variables.len() {
            let other = self.from(at, variables.len() - 1);
            variables.swap(at, other);
        }
        variables.truncate(self.from(1, 3));
        let mut laid = Vec::new();
        let mut stride = 1;
        for variable in variables {
            laid.push((variable, stride));
            stride *= space.whole(variable).count_ones();
        }
        laid.reverse();
        let answer = |dice: &mut Dice| [Answer::Met, Answer::Opposite, Answer::Neither][dice.below(3)];
        Atom { variables: laid, answers: (0..stride).map(|_| answer(self)).collect() }
    }

    /// A condition over so many tests and so many findings.
    fn node(&mut self, atoms: usize, findings: usize, depth: usize) -> Node {
        let inner = |dice: &mut Dice| (0..dice.below(5)).map(|_| dice.node(atoms, findings, depth - 1)).collect::<Vec<_>>();
        match self.below(if depth == 0 { 5 } else { 12 }) {
            0 if self.below(4) == 0 => Node::Constant(self.below(2) == 0),
            0 | 1 if findings > 0 => Node::Holds(self.below(findings) as u32),
            0..=2 => Node::Met(self.below(atoms) as u32),
            3 | 4 => Node::Opposite(self.below(atoms) as u32),
            5 | 6 => Node::All(inner(self)),
            7 | 8 => Node::Any(inner(self)),
            9 | 10 => Node::AtLeast(self.below(4) as u32, inner(self)),
            _ => Node::Unmet(Box::new(self.node(atoms, findings, depth - 1))),
        }
    }

    fn book(&mut self, space: &Space) -> (Vec<Atom>, Vec<Node>) {
        let atoms: Vec<Atom> = (0..self.from(1, 6)).map(|_| self.atom(space)).collect();
        let mut holds = Vec::new();
        for earlier in 0..self.below(4) {
            holds.push(self.node(atoms.len(), earlier, 3));
        }
        (atoms, holds)
    }
}

/// Every case of a space.
fn cases(space: &Space) -> Vec<Case> {
    let mut cases = vec![Vec::new()];
    for variable in 0..space.variables() as VariableId {
        let count = space.whole(variable).count_ones() as u8;
        cases = cases.iter().flat_map(|case: &Case| (0..count).map(|cell| [case.as_slice(), &[cell]].concat())).collect();
    }
    cases
}

/// What the conditions come to by the plain definition, findings before those that read them.
fn met(conditions: &Conditions, node: &Node, case: &[u8]) -> bool {
    let mut holds = Vec::new();
    for condition in conditions.holds {
        let so_far = [holds.as_slice(), &[false; 8]].concat();
        holds.push(condition.met(conditions.atoms, case, &so_far));
    }
    node.met(conditions.atoms, case, &holds)
}
