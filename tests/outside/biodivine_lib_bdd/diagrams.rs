//! Looks as bits, boxes and conditions as diagrams.

use biodivine_lib_bdd::{Bdd, BddVariable, BddVariableSet};
use purfle_lang::finite::node::{Answer, Atom, Node};
use purfle_lang::search::{CellSet, Region, Space, VariableId};

/// The looks of a space, each in as many bits as its cells need.
pub struct Diagrams {
    set: BddVariableSet,
    bits: Vec<Vec<BddVariable>>,
    counts: Vec<u32>,
    /// The cases that are one: no look beyond its last cell.
    pub valid: Bdd,
}

impl Diagrams {
    /// Diagrams over a space.
    pub fn new(space: &Space) -> Diagrams {
        let counts: Vec<u32> = space.wholes().iter().map(|whole| whole.count_ones()).collect();
        let needed: Vec<u32> = counts.iter().map(|count| u32::BITS - (count - 1).leading_zeros()).collect();
        let set = BddVariableSet::new_anonymous(needed.iter().sum::<u32>() as u16);
        let mut unused = set.variables().into_iter();
        let bits = needed.iter().map(|needed| unused.by_ref().take(*needed as usize).collect()).collect();
        let mut diagrams = Diagrams { valid: set.mk_true(), set, bits, counts };
        for variable in 0..space.variables() as VariableId {
            diagrams.valid = diagrams.valid.and(&diagrams.side(variable, space.whole(variable)));
        }
        diagrams
    }

    /// Nothing.
    pub fn nothing(&self) -> Bdd {
        self.set.mk_false()
    }

    /// The cases in which a look has one cell.
    fn cell(&self, variable: usize, cell: u32) -> Bdd {
        let bits = self.bits[variable].iter().enumerate();
        bits.fold(self.set.mk_true(), |all, (place, bit)| all.and(&self.set.mk_literal(*bit, cell >> place & 1 == 1)))
    }

    fn side(&self, variable: VariableId, cells: CellSet) -> Bdd {
        let variable = variable as usize;
        let allowed = (0..self.counts[variable]).filter(|cell| cells >> cell & 1 == 1);
        allowed.fold(self.nothing(), |any, cell| any.or(&self.cell(variable, cell)))
    }

    /// A box.
    pub fn region(&self, region: &Region) -> Bdd {
        let sides = region.sides().iter();
        sides.fold(self.valid.clone(), |all, side| all.and(&self.side(side.variable, side.cells)))
    }

    /// Each test coming out so, case by case of its table.
    fn test(&self, atom: &Atom, wanted: Answer) -> Bdd {
        self.rest_of_test(atom, wanted, 0, 0).and(&self.valid)
    }

    fn rest_of_test(&self, atom: &Atom, wanted: Answer, depth: usize, at: u32) -> Bdd {
        match atom.variables.get(depth) {
            None if atom.answers[at as usize] == wanted => self.set.mk_true(),
            None => self.nothing(),
            Some((variable, stride)) => (0..self.counts[*variable as usize]).fold(self.nothing(), |any, cell| {
                let rest = self.rest_of_test(atom, wanted, depth + 1, at + cell * stride);
                any.or(&self.cell(*variable as usize, cell).and(&rest))
            }),
        }
    }

    /// The cases in which a condition is met, given those in which each finding holds.
    pub fn condition(&self, node: &Node, atoms: &[Atom], holds: &[Bdd]) -> Bdd {
        let inner = |nodes: &[Node]| nodes.iter().map(|node| self.condition(node, atoms, holds)).collect::<Vec<_>>();
        match node {
            Node::Constant(true) => self.valid.clone(),
            Node::Constant(false) => self.nothing(),
            Node::All(nodes) => inner(nodes).iter().fold(self.valid.clone(), |all, one| all.and(one)),
            Node::Any(nodes) => inner(nodes).iter().fold(self.nothing(), |any, one| any.or(one)),
            Node::AtLeast(count, nodes) => {
                // The cases in which so many of those so far are met, or more.
                let mut met = vec![self.nothing(); *count as usize + 1];
                met[0] = self.valid.clone();
                for one in inner(nodes) {
                    for so_many in (1..met.len()).rev() {
                        met[so_many] = met[so_many].or(&met[so_many - 1].and(&one));
                    }
                }
                met.swap_remove(*count as usize)
            }
            Node::Unmet(node) => self.valid.and_not(&self.condition(node, atoms, holds)),
            Node::Met(atom) => self.test(&atoms[*atom as usize], Answer::Met),
            Node::Opposite(atom) => self.test(&atoms[*atom as usize], Answer::Opposite),
            Node::Holds(instance) => holds[*instance as usize].clone(),
        }
    }
}
