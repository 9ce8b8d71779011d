//! The tests and findings that conditions speak of, and what a condition comes to in one case.

use super::{Atom, InstanceId, Node, VariableId, Written};

/// What `Met`, `Opposite` and `Holds` in a condition refer to. The conditions of `holds` may speak of each other, but
/// never in a circle.
#[derive(Debug, Clone, Copy, Default)]
pub struct Conditions<'a> {
    /// The tests, by number.
    pub atoms: &'a [Atom],
    /// The condition under which each finding holds at its place, by number.
    pub holds: &'a [Node],
    /// The same written out as boxes beforehand, where many questions speak of them.
    pub written: Option<&'a Written>,
}

impl<'a> Conditions<'a> {
    /// Whether a condition is met in a case.
    pub fn met(&self, node: &Node, case: &[u8]) -> bool {
        Meeting { conditions: *self, case, known: Vec::new() }.met(node)
    }

    /// The variables a condition reads, through findings as well, rising.
    pub fn reads(&self, node: &Node) -> Vec<VariableId> {
        let mut reading = Reading { conditions: *self, seen: vec![false; self.holds.len()], variables: Vec::new() };
        reading.read(node);
        reading.variables.sort_unstable();
        reading.variables.dedup();
        reading.variables
    }
}

/// A case in which each finding is worked out once.
struct Meeting<'a> {
    conditions: Conditions<'a>,
    case: &'a [u8],
    known: Vec<Option<bool>>,
}

impl Meeting<'_> {
    fn met(&mut self, node: &Node) -> bool {
        match node {
            Node::All(nodes) => nodes.iter().all(|node| self.met(node)),
            Node::Any(nodes) => nodes.iter().any(|node| self.met(node)),
            Node::AtLeast(count, nodes) => {
                nodes.iter().filter(|node| self.met(node)).take(*count as usize).count() == *count as usize
            }
            Node::Unmet(node) => !self.met(node),
            Node::Holds(instance) => self.holds(*instance),
            Node::Constant(_) | Node::Met(_) | Node::Opposite(_) => node.met(self.conditions.atoms, self.case, &[]),
        }
    }

    fn holds(&mut self, instance: InstanceId) -> bool {
        self.known.resize(self.conditions.holds.len(), None);
        if let Some(known) = self.known[instance as usize] {
            return known;
        }
        let holds = self.met(&self.conditions.holds[instance as usize]);
        self.known[instance as usize] = Some(holds);
        holds
    }
}

struct Reading<'a> {
    conditions: Conditions<'a>,
    seen: Vec<bool>,
    variables: Vec<VariableId>,
}

impl Reading<'_> {
    fn read(&mut self, node: &Node) {
        let (mut tests, mut findings) = (Vec::new(), Vec::new());
        node.visit(&mut |atom| tests.push(atom), &mut |instance| findings.push(instance));
        for test in tests {
            self.variables.extend(self.conditions.atoms[test as usize].variables.iter().map(|(variable, _)| *variable));
        }
        for instance in findings {
            if !std::mem::replace(&mut self.seen[instance as usize], true) {
                self.read(&self.conditions.holds[instance as usize]);
            }
        }
    }
}
