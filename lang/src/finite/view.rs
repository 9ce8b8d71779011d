//! The finite view of a book: every look at every place with its cells, and every test as a table over them.

use rustc_hash::FxHashMap;

use super::node::{Atom, Node, VariableId};
use crate::book::{Comparison, PartId, Value};
use crate::cells::Cells;
use crate::evaluate::{InHand, LookSpot};

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
    Opaque(Comparison, Value, Value, InHand),
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
    pub comparison: Comparison,
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

/// The looks and tests of a book over concrete places.
#[derive(Debug, Clone, Default)]
pub struct View {
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
    /// The variables that say whether an unnamed place is there.
    pub exists: Vec<(PartId, u32, VariableId)>,
}
