//! Conditions of any shape as boxes to avoid, over a few more variables.
//!
//! A condition that is a small union of boxes is written out. Of any other, each part that has a shape of its own
//! gets a variable that says whether it is met (two cells, no and yes), and boxes that tie the variable to its parts;
//! a count over parts gets a chain of variables that say how many so far. So a condition costs boxes in proportion to
//! its size, whatever it is made of, and what it forces is found by the same propagation as everything else.
//!
//! Naming parts: G. S. Tseitin, *On the complexity of derivation in propositional calculus*, 1968; only in the
//! direction that is asked for: D. A. Plaisted, S. Greenbaum, Journal of Symbolic Computation 2, 1986, 293–304; the
//! chain that counts: C. Sinz, *Towards an Optimal CNF Encoding of Boolean Cardinality Constraints*, CP 2005. All
//! three from memory.

use rustc_hash::FxHashMap;

use super::forbidden::Forbidden;
use super::written::MOST_BOXES;
use super::{Answer, AtomId, CellSet, Conditions, InstanceId, MOST_CELLS, Node, Region, Space, VariableId, table};

/// The cell of a gate whose part is not met, and of one whose part is.
const NO: CellSet = 1;
const YES: CellSet = 2;

/// A count that no variable has cells enough for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct TooGreat;

/// The boxes of a question, as they are gathered.
#[derive(Debug)]
pub(super) struct Gates<'a> {
    space: &'a Space,
    conditions: Conditions<'a>,
    /// The cells left of each variable, those of the space first.
    left: Vec<CellSet>,
    boxes: Forbidden,
    named: FxHashMap<Part, Gate>,
}

/// A part that is named once, however often it stands in a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Part {
    Finding(InstanceId),
    Test(AtomId, bool),
}

/// The variable of a part, and for "no" and "yes" whether its boxes are there.
#[derive(Debug, Clone, Copy)]
struct Gate {
    variable: VariableId,
    tied: [bool; 2],
}

/// A part as one side: its variable may lie among the cells only where what is wanted of the part is so.
#[derive(Debug, Clone, Copy)]
enum Literal {
    Settled(bool),
    In(VariableId, CellSet),
}

impl<'a> Gates<'a> {
    /// Nothing asked yet, with that left of the variables.
    pub(super) fn new(space: &'a Space, conditions: Conditions<'a>, left: Vec<CellSet>) -> Gates<'a> {
        Gates { space, conditions, left, boxes: Forbidden::default(), named: FxHashMap::default() }
    }

    /// What is left of each variable, and the boxes to avoid.
    pub(super) fn finish(self) -> (Vec<CellSet>, Forbidden) {
        (self.left, self.boxes)
    }

    /// Asks for cases outside a box.
    pub(super) fn avoid(&mut self, region: &Region, stands_for: Option<usize>) {
        self.boxes.add(region, &self.left, stands_for);
    }

    /// Asks for cases in which a condition is met, or in which it is not.
    pub(super) fn require(&mut self, node: &Node, truth: bool, stands_for: Option<usize>) -> Result<(), TooGreat> {
        self.tie(&Region::everywhere(), node, truth, stands_for)
    }

    /// The same, in the cases of a box only.
    fn tie(&mut self, within: &Region, node: &Node, truth: bool, stands_for: Option<usize>) -> Result<(), TooGreat> {
        if let Some(against) = self.conditions.union(self.space, node, !truth, MOST_BOXES) {
            for region in against {
                self.avoid(&within.meet(&region), stands_for);
            }
            return Ok(());
        }
        match (node, truth) {
            (Node::All(nodes), true) | (Node::Any(nodes), false) => {
                for node in nodes {
                    self.tie(within, node, truth, stands_for)?;
                }
            }
            (Node::Any(nodes), true) | (Node::All(nodes), false) => {
                let literals = self.literals(nodes, truth)?;
                self.one_of(within, &literals, stands_for);
            }
            (Node::AtLeast(count, nodes), _) => {
                let least = if truth { *count as usize } else { (nodes.len() + 1).saturating_sub(*count as usize) };
                let literals = self.literals(nodes, truth)?;
                self.at_least(within, least, &literals, stands_for)?;
            }
            (Node::Unmet(node), _) => self.tie(within, node, !truth, stands_for)?,
            (Node::Constant(_) | Node::Met(_) | Node::Opposite(_) | Node::Holds(_), _) => {
                let literal = self.literal(node, truth)?;
                self.one_of(within, &[literal], stands_for);
            }
        }
        Ok(())
    }

    fn literals(&mut self, nodes: &[Node], truth: bool) -> Result<Vec<Literal>, TooGreat> {
        nodes.iter().map(|node| self.literal(node, truth)).collect()
    }

    fn literal(&mut self, node: &Node, truth: bool) -> Result<Literal, TooGreat> {
        if let Some(literal) = self.single(node, truth) {
            return Ok(literal);
        }
        match node {
            Node::Unmet(node) => self.literal(node, !truth),
            Node::Constant(value) => Ok(Literal::Settled(*value == truth)),
            Node::Holds(instance) => {
                let conditions = self.conditions;
                let condition = &conditions.holds[*instance as usize];
                self.gate(Part::Finding(*instance), truth, |gates, within| gates.tie(within, condition, truth, None))
            }
            Node::Met(atom) => self.test(*atom, Answer::Met, truth),
            Node::Opposite(atom) => self.test(*atom, Answer::Opposite, truth),
            Node::All(_) | Node::Any(_) | Node::AtLeast(..) => {
                let variable = self.variable(2);
                self.tie(&Region::of([(variable, YES)]), node, truth, None)?;
                Ok(Literal::In(variable, YES))
            }
        }
    }

    /// A part that is one side as it stands.
    fn single(&self, node: &Node, truth: bool) -> Option<Literal> {
        match self.conditions.union(self.space, node, truth, 1)?.as_slice() {
            [] => Some(Literal::Settled(false)),
            [region] => match region.sides() {
                [] => Some(Literal::Settled(true)),
                [side] => Some(Literal::In(side.variable, side.cells)),
                _ => None,
            },
            _ => None,
        }
    }

    fn test(&mut self, atom: AtomId, wanted: Answer, truth: bool) -> Result<Literal, TooGreat> {
        let (space, conditions) = (self.space, self.conditions);
        self.gate(Part::Test(atom, wanted == Answer::Met), truth, |gates, within| {
            for region in table::regions(space, &conditions.atoms[atom as usize], wanted, !truth) {
                gates.avoid(&within.meet(&region), None);
            }
            Ok(())
        })
    }

    /// The variable of a part that is named once; `tie` adds the boxes for the cell that is wanted now.
    fn gate(
        &mut self,
        part: Part,
        truth: bool,
        tie: impl FnOnce(&mut Self, &Region) -> Result<(), TooGreat>,
    ) -> Result<Literal, TooGreat> {
        let variable = match self.named.get(&part) {
            Some(gate) => gate.variable,
            None => {
                let variable = self.variable(2);
                self.named.insert(part, Gate { variable, tied: [false; 2] });
                variable
            }
        };
        let cells = if truth { YES } else { NO };
        let tied = self.named.get_mut(&part).is_none_or(|gate| std::mem::replace(&mut gate.tied[usize::from(truth)], true));
        if !tied {
            tie(self, &Region::of([(variable, cells)]))?;
        }
        Ok(Literal::In(variable, cells))
    }

    fn variable(&mut self, cells: usize) -> VariableId {
        self.left.push(CellSet::MAX >> (MOST_CELLS - cells));
        (self.left.len() - 1) as VariableId
    }

    /// One of them is so, in the cases of a box.
    fn one_of(&mut self, within: &Region, literals: &[Literal], stands_for: Option<usize>) {
        let mut none = within.clone();
        for literal in literals {
            match literal {
                Literal::Settled(true) => return,
                Literal::Settled(false) => {}
                Literal::In(variable, cells) => none.narrow(*variable, !cells),
            }
        }
        self.avoid(&none, stands_for);
    }

    /// So many of them are so, in the cases of a box.
    fn at_least(
        &mut self,
        within: &Region,
        count: usize,
        literals: &[Literal],
        stands_for: Option<usize>,
    ) -> Result<(), TooGreat> {
        let settled = literals.iter().filter(|literal| matches!(literal, Literal::Settled(true))).count();
        let open: Vec<(VariableId, CellSet)> = literals
            .iter()
            .filter_map(|literal| match literal {
                Literal::In(variable, cells) => Some((*variable, *cells)),
                Literal::Settled(_) => None,
            })
            .collect();
        let count = count.saturating_sub(settled);
        if count == 0 {
            return Ok(());
        }
        if count > open.len() {
            self.avoid(within, stands_for);
            return Ok(());
        }
        if count >= MOST_CELLS {
            return Err(TooGreat);
        }
        // Each variable of the chain claims a number of those so far that are so; `count` stands for more as well.
        let mut before: Option<VariableId> = None;
        for (at, (variable, cells)) in open.iter().enumerate() {
            let most = count.min(at + 1);
            let so_far = self.variable(most + 1);
            for claimed in 1..=most {
                let claims = Region::of([(so_far, CellSet::MAX << claimed)]);
                let mut unearned = claims.clone();
                unearned.narrow(*variable, !cells);
                if let Some(before) = before {
                    unearned.narrow(before, below(claimed));
                    if claimed > 1 {
                        let mut jumped = claims;
                        jumped.narrow(before, below(claimed - 1));
                        self.avoid(&jumped, None);
                    }
                }
                self.avoid(&unearned, None);
            }
            before = Some(so_far);
        }
        if let Some(last) = before {
            let mut short = within.clone();
            short.narrow(last, below(count));
            self.avoid(&short, stands_for);
        }
        Ok(())
    }
}

/// The cells before one.
fn below(cell: usize) -> CellSet {
    !(CellSet::MAX << cell)
}
