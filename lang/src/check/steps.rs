//! How grave a finding is in a case, as conditions.

use super::world::World;
use crate::book::StepId;
use crate::finite::node::{InstanceId, Node};

impl World<'_> {
    /// When a standing holds.
    pub fn holding(&self, standing: usize) -> Node {
        Node::Holds(standing as InstanceId)
    }

    /// When a standing that holds is at this step or a graver one, raises included.
    pub fn at_least(&self, standing: usize, step: StepId) -> Node {
        let standing = &self.standings[standing];
        let line = |(at, when): &(StepId, Node)| {
            let raised = standing.raises.iter().map(|(by, cap, raise)| {
                let to = (at.0 + by).min(cap.0).max(at.0);
                if to >= step.0 { raise.clone() } else { Node::Constant(false) }
            });
            let reached = if *at >= step { Node::Constant(true) } else { Node::any(raised) };
            Node::all([when.clone(), reached])
        };
        Node::any(standing.lines.iter().map(line))
    }

    /// The steps a standing can be at.
    pub fn steps(&self, standing: usize) -> Vec<StepId> {
        let mut steps: Vec<StepId> = Vec::new();
        let standing = &self.standings[standing];
        for (at, _) in &standing.lines {
            steps.push(*at);
            steps.extend(standing.raises.iter().map(|(by, cap, _)| StepId((at.0 + by).min(cap.0).max(at.0))));
        }
        steps.sort_unstable();
        steps.dedup();
        steps
    }

    /// Whether one finding yields to the other, through any number of others.
    pub fn yields(&self, from: usize, to: usize) -> bool {
        if self.book.findings[from].yields_to.is_empty() {
            return false;
        }
        let mut waiting = vec![from];
        let mut seen = vec![from];
        while let Some(at) = waiting.pop() {
            for next in &self.book.findings[at].yields_to {
                if next.index() == to {
                    return true;
                }
                if !seen.contains(&next.index()) {
                    seen.push(next.index());
                    waiting.push(next.index());
                }
            }
        }
        false
    }
}
