//! What a record says of one look: the set of values it can still have.

use crate::number::Number;

/// What is said of one look. Indices of choices follow the look's own list; for yes-or-no looks 0 is no and 1 is yes.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Saying {
    /// It is one of these choices (one: seen clearly; several: could not tell which).
    OneOf(Vec<usize>),
    /// A `some of` look has exactly these.
    Exactly(Vec<usize>),
    /// A number between these, ends included, base unit. `None` means as far as the look goes.
    Between {
        /// Least.
        low: Option<Number>,
        /// Greatest.
        high: Option<Number>,
        /// A single reading, which widens by the look's reading error; a stated range does not.
        reading: bool,
    },
    /// A date between these day numbers, ends included.
    DateBetween(Option<i64>, Option<i64>),
    /// A dated look has no date.
    NoDate,
    /// Free text.
    Text(String),
    /// Looked, and could not tell.
    CouldNotTell,
    /// It does not apply.
    DoesNotApply,
}
