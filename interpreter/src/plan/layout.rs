//! A layout: the book written out over concrete places, for records with a given number of places as found.

use purfle_lang::book::{AidId, FindingId, HandId, PartId, StepId, WorkId};
use purfle_lang::evaluate::Spot;
use purfle_lang::finite::node::{InstanceId, Node, VariableId};
use purfle_lang::finite::view::{SlotId, View};

use super::price::Price;

/// A finding at a place.
#[derive(Debug, Clone)]
pub struct Instance {
    /// The finding.
    pub finding: FindingId,
    /// Its place; `Single` for one that is on the part as a whole.
    pub spot: Spot,
    /// When it holds.
    pub holds: Node,
    /// Urgency lines; raises included.
    pub lines: Vec<(StepId, Node)>,
    /// Raises that hit it.
    pub raises: Vec<(u32, StepId, Node)>,
    /// Its hands.
    pub hands: HandId,
    /// The single tests of its signs, for telling suspected from not ruled out.
    pub signs: Vec<Node>,
    /// What it does on the bench: occurrences, by index.
    pub occurrences: Vec<u32>,
    /// What its goods cost.
    pub goods: Vec<Price>,
    /// What the further ways of mending it come to; the first is its own.
    pub ways: Vec<OtherWay>,
    /// Whether part of its cost is known only on sight.
    pub on_sight: bool,
    /// Whether it has any work at all.
    pub works: bool,
    /// The instances it yields to.
    pub yields_to: Vec<InstanceId>,
    /// The instances it becomes if left, with the odds and whether their part applies.
    pub becomes: Vec<(InstanceId, Option<purfle_lang::number::Number>, Node)>,
    /// Whether it can only come about by something left: it has no place in the record.
    pub only_left: bool,
    /// Whether each fund names it.
    pub named_by: Vec<AidId>,
}

impl Instance {
    /// Whether it costs anything, or may come to something that does.
    pub fn has_work(&self) -> bool {
        self.works || !self.goods.is_empty() || self.on_sight || !self.becomes.is_empty()
    }
}

/// A way of mending a finding that counts in no total.
#[derive(Debug, Clone)]
pub struct OtherWay {
    /// What it does on the bench: occurrences, by index.
    pub occurrences: Vec<u32>,
    /// What its goods cost.
    pub goods: Vec<Price>,
    /// Whether part of its cost is known only on sight.
    pub on_sight: bool,
}

/// A bench step at the place where it is done.
#[derive(Debug, Clone)]
pub struct Occurrence {
    /// The step.
    pub work: WorkId,
    /// The place; none for a step done once an instrument.
    pub at: Option<(PartId, Spot)>,
    /// What it costs.
    pub price: Price,
    /// The occurrences that make this one fall away.
    pub included_by: Vec<u32>,
}

/// A group of findings that hang together, given the context.
#[derive(Debug, Clone)]
pub struct Room {
    /// Its findings, in an order in which each comes after those it reads.
    pub instances: Vec<InstanceId>,
    /// Its own variables.
    pub variables: Vec<VariableId>,
    /// The context variables it reads.
    pub context: Vec<VariableId>,
    /// The looks whose being written down, or marked as not applying, narrows its cases.
    pub constraints: Vec<SlotId>,
    /// Prices worked out anew for each record.
    pub open_prices: Vec<u32>,
    /// Where its results are remembered; rooms of the same shape share it.
    pub memory: usize,
}

/// The book over concrete places.
#[derive(Debug, Clone, Default)]
pub struct Layout {
    /// Looks and tests.
    pub view: View,
    /// Findings at places, in the book's order.
    pub instances: Vec<Instance>,
    /// Bench steps at places.
    pub occurrences: Vec<Occurrence>,
    /// Groups of findings.
    pub rooms: Vec<Room>,
    /// Context variables that cut the rooms apart.
    pub context: Vec<VariableId>,
    /// Looks whose constraint hangs on the context alone.
    pub context_constraints: Vec<SlotId>,
}

impl Layout {
    /// These findings and all that they can become, each once, whatever decides whether an arrow applies.
    pub fn chain(&self, mut chain: Vec<InstanceId>) -> Vec<InstanceId> {
        let mut at = 0;
        while let Some(&link) = chain.get(at) {
            at += 1;
            for (goal, ..) in &self.instances[link as usize].becomes {
                if !chain.contains(goal) {
                    chain.push(*goal);
                }
            }
        }
        chain
    }
}
