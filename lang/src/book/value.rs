//! Values: what a comparison or an amount is worked out from.

use super::Origin;
use super::id::{LookId, PartId, PlaceId, ReckonId, TableId};

use crate::number::Number;
use crate::unit::Dimension;

/// A look together with the place at which it is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct LookAt {
    /// The look.
    pub look: LookId,
    /// The place.
    pub place: PlaceAt,
}

/// Which place of a part is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PlaceAt {
    /// The part has no places.
    Single,
    /// The place in hand: of an `on each` finding, a raise or a quantifier over that part.
    Here,
    /// A fixed place.
    Fixed(PlaceId),
}

/// Something that can be worked out in a case. Range-valued where a range, a table of ranges or a
/// reckoning of them stands; arithmetic is then done on both ends.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Value {
    /// A number in base units.
    Number(Number),
    /// A range in base units, ends included.
    Range(Number, Number),
    /// A date, as a day number (days since 1970-01-01).
    Date(i64),
    /// The look's value.
    Look(LookAt),
    /// The same look in this instrument's record before.
    Last(LookAt),
    /// The record's own date.
    InspectedOn,
    /// A table's row as the record and the place in hand decide it.
    Table(TableId),
    /// A reckoning.
    Reckon(ReckonId),
    /// `left sign right`; percentages are already turned into factors where they multiply something else.
    Arithmetic(ArithmeticSign, Box<Value>, Box<Value>),
    /// A minus before a value.
    Negative(Box<Value>),
    /// `lower of A and B`.
    Lower(Box<Value>, Box<Value>),
    /// `higher of A and B`.
    Higher(Box<Value>, Box<Value>),
    /// `days from A to B`: signed, in minutes (the base unit of days).
    DaysFrom(Box<Value>, Box<Value>),
    /// A formula of the trade.
    Formula(Formula, Vec<Value>),
    /// `total cost`, in a counsel only.
    TotalCost,
}

/// The four signs of arithmetic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ArithmeticSign {
    /// `+`
    Plus,
    /// `-`
    Minus,
    /// `*`
    Times,
    /// `/`
    By,
}

/// A published formula of the trade; see [`crate::formula`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Formula {
    /// `wood-moisture(humidity, temperature)`, both in base units (% and degC), in %.
    WoodMoisture,
    /// `wood-movement(width, coefficient, from-moisture, to-moisture)`, in the base unit of length.
    WoodMovement,
}

/// A table.
#[derive(Debug, Clone)]
pub struct Table {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// What its rows are chosen by.
    pub keys: Vec<TableKey>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// The dimension of all its values.
    pub dimension: Dimension,
    /// Where it was written.
    pub origin: Origin,
}

/// One thing a table's rows are chosen by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TableKey {
    /// The choice of a `one of` look, or 0 for no and 1 for yes.
    Look(LookAt),
    /// The place in hand of a part with fixed places.
    Place(PartId),
}

/// A row of a table.
#[derive(Debug, Clone)]
pub struct Row {
    /// One key for each column; the row with the fewest `any` counts.
    pub keys: Vec<RowKey>,
    /// What it gives; a number or a range.
    pub value: Value,
}

/// A key of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RowKey {
    /// All the rest, a look that does not apply included.
    Any,
    /// A choice or a place, by index (yes or no: 0 is no, 1 is yes).
    Is(usize),
}

/// A value worked out from looks, under a name.
#[derive(Debug, Clone)]
pub struct Reckon {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// What it is worked out as.
    pub value: Value,
    /// Its dimension.
    pub dimension: Dimension,
    /// Where it was written.
    pub origin: Origin,
}
