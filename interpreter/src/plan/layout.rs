//! A layout: the book written out over concrete places, for records with a given number of places as found.

use purfle_lang::book::{AidId, FindingId, HandId, PartId, StepId, Value, WorkId};
use purfle_lang::cells::Cells;
use purfle_lang::evaluate::{InHand, LookSpot, Spot};
use rustc_hash::FxHashMap;

use super::node::{Atom, InstanceId, Node, VariableId};
use super::price::Price;

/// What one variable stands for.
#[derive(Debug, Clone, PartialEq)]
pub enum Stands {
    /// A look at a place. Its cells, times the answers of the tests that the record's own constants cut.
    Look(LookSpot, Vec<Dynamic>),
    /// One choice of a `some of` look: no or yes.
    Choice(LookSpot, usize),
    /// A worked-out value over several measures; the last cell is "no value".
    Expression(Value, InHand),
    /// A comparison of its own: met, opposite, neither.
    Opaque(purfle_lang::book::Comparison, Value, Value, InHand),
    /// Whether a place as found that nobody has named is there: no or yes.
    Exists(PartId, u32),
    /// The step of the whole outcome, in a counsel.
    TotalUrgency,
    /// The tier of the whole cost, in a counsel.
    TotalTier,
}

/// A test of one look against something the record brings along.
#[derive(Debug, Clone, PartialEq)]
pub struct Dynamic {
    /// How they are compared.
    pub comparison: purfle_lang::book::Comparison,
    /// Left side.
    pub left: Value,
    /// Right side.
    pub right: Value,
    /// The places in hand.
    pub hand: InHand,
}

/// A variable: something with a few cells that a case chooses one of.
#[derive(Debug, Clone)]
pub struct Variable {
    /// What it stands for.
    pub stands: Stands,
    /// The cells of its look or expression.
    pub cells: Cells,
    /// How many cells it has in all.
    pub size: usize,
    /// Whether something it is worked out from is read elsewhere too, so that answers over it are only enclosed.
    pub shared: bool,
    /// Which look it is a variable of, if any.
    pub slot: Option<SlotId>,
}

/// A look at a place, by index.
pub type SlotId = u32;

/// A look at a place.
#[derive(Debug, Clone)]
pub struct Slot {
    /// Which.
    pub look: LookSpot,
    /// When it applies.
    pub applies: Node,
    /// When its place is there.
    pub place: Node,
    /// When its part is there.
    pub part: Node,
    /// Its variable, if a test reads it.
    pub variable: Option<VariableId>,
    /// For `some of` looks: the variables of the choices that a test reads.
    pub choices: Vec<(usize, VariableId)>,
}

impl Slot {
    /// What its marks ask of a case: a condition, and whether it has to be met.
    pub fn required(&self, marks: u8) -> Option<(&Node, bool)> {
        match marks {
            _ if marks & NO_PART != 0 => Some((&self.part, false)),
            _ if marks & NO_PLACE != 0 => Some((&self.place, false)),
            _ if marks & DASH != 0 => Some((&self.applies, false)),
            _ if marks & STATED != 0 => Some((&self.applies, true)),
            _ => None,
        }
    }
}

/// A value was written down for a look.
pub const STATED: u8 = 1;
/// It was written that the look does not apply.
pub const DASH: u8 = 2;
/// Somebody looked and could not tell.
pub const UNSURE: u8 = 4;
/// Filled because its part is good.
pub const GOOD: u8 = 8;
/// It was written that its place does not apply.
pub const NO_PLACE: u8 = 16;
/// It was written that its part does not apply.
pub const NO_PART: u8 = 32;

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
    /// Variables.
    pub variables: Vec<Variable>,
    /// Tests.
    pub atoms: Vec<Atom>,
    /// Looks at places, in the book's order.
    pub slots: Vec<Slot>,
    /// Slot of a look at a place.
    pub slot_of: FxHashMap<LookSpot, SlotId>,
    /// When each part applies, by index of the part.
    pub parts: Vec<Node>,
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
    /// The variables that say whether an unnamed place is there.
    pub exists: Vec<(PartId, u32, VariableId)>,
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
