//! Counsels that ask how soon: the gravest step is a matter of the findings that hold, so what is asked of it is written out.

use super::claims::Weighing;
use super::whole::Levels;
use crate::finite::node::{Answer, Node, VariableId};
use crate::finite::view::Stands;

impl Weighing<'_> {
    /// A condition in which what it asks of the gravest step is written out by these levels; none where one test asks for
    /// more beside it.
    pub(super) fn soon(&self, node: &Node, levels: &Levels) -> Option<Node> {
        let variables = &self.world.view.variables;
        let total = variables.iter().position(|variable| variable.stands == Stands::TotalUrgency);
        match total {
            Some(total) => self.written_out(node, total as VariableId, levels),
            None => Some(node.clone()),
        }
    }

    fn written_out(&self, node: &Node, total: VariableId, levels: &Levels) -> Option<Node> {
        let all = |nodes: &[Node]| nodes.iter().map(|node| self.written_out(node, total, levels)).collect::<Option<Vec<_>>>();
        Some(match node {
            Node::All(nodes) => Node::all(all(nodes)?),
            Node::Any(nodes) => Node::any(all(nodes)?),
            Node::AtLeast(count, nodes) => Node::at_least(*count, all(nodes)?),
            Node::Unmet(inner) => Node::unmet(self.written_out(inner, total, levels)?),
            Node::Constant(_) | Node::Holds(_) => node.clone(),
            Node::Met(atom) | Node::Opposite(atom) => {
                let known = &self.world.view.atoms[*atom as usize];
                match known.variables.as_slice() {
                    [(variable, _)] if *variable == total => {
                        let wanted = if matches!(node, Node::Met(_)) { Answer::Met } else { Answer::Opposite };
                        let steps = known.answers.iter().take(levels.at_least.len()).enumerate();
                        Node::any(steps.filter(|(_, answer)| **answer == wanted).map(|(step, _)| just(levels, step)))
                    }
                    many if many.iter().any(|(variable, _)| *variable == total) => return None,
                    _ => node.clone(),
                }
            }
        })
    }
}

/// That the gravest step is this one; the mildest one is reached by itself.
fn just(levels: &Levels, step: usize) -> Node {
    let reached = |step: usize| levels.at_least.get(step).map(|nodes| Node::any(nodes.clone()));
    let here = if step == 0 { Node::Constant(true) } else { reached(step).unwrap_or(Node::Constant(false)) };
    let above = reached(step + 1).unwrap_or(Node::Constant(false));
    Node::all([here, Node::unmet(above)])
}
