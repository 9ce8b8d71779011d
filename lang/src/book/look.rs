//! Parts, their places, and the looks taken at them.

use super::condition::Condition;
use super::id::{LookId, PartId};
use super::{Origin, value::Value};
use crate::number::Number;
use crate::unit::{Dimension, Unit};

/// A piece of the instrument, or a context.
#[derive(Debug, Clone)]
pub struct Part {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// Whether it is a context (owner, school, room) and not a piece.
    pub context: bool,
    /// Whether "not to be played" is said of this piece alone.
    pub apart: bool,
    /// When the part is there at all.
    pub only_when: Option<Condition>,
    /// Its places.
    pub places: Places,
    /// Its looks, in the order written.
    pub looks: Vec<LookId>,
    /// Quick test for the part as a whole.
    pub how: Option<String>,
    /// Caution for the part as a whole.
    pub care: Option<String>,
    /// Where it was written.
    pub origin: Origin,
}

/// Where a part repeats.
#[derive(Debug, Clone)]
pub enum Places {
    /// It does not.
    Single,
    /// At named places, in the order the hand meets them.
    Fixed(Vec<Place>),
    /// Freely, as many as are found.
    AsFound,
}

/// A fixed place of a part.
#[derive(Debug, Clone)]
pub struct Place {
    /// Name.
    pub name: String,
    /// Words; the name where none were written.
    pub words: String,
    /// When the place is there.
    pub only_when: Option<Condition>,
    /// Quick test.
    pub how: Option<String>,
    /// Caution.
    pub care: Option<String>,
}

/// One thing to look at.
#[derive(Debug, Clone)]
pub struct Look {
    /// Name.
    pub name: String,
    /// The part it belongs to.
    pub part: PartId,
    /// The question.
    pub question: String,
    /// What kind of answer it takes.
    pub kind: LookKind,
    /// What a good one shows: the values, of this look, that are good.
    pub good: Option<Good>,
    /// Quick test.
    pub how: Option<String>,
    /// Caution.
    pub care: Option<String>,
    /// When it applies, beyond its part and place.
    pub only_when: Option<Condition>,
    /// Whether it holds personal data.
    pub private: bool,
    /// Where it was written.
    pub origin: Origin,
}

/// What a good instrument shows at a look.
#[derive(Debug, Clone)]
pub enum Good {
    /// One of these choices (indices; for yes or no: 0 is no, 1 is yes). For `some of` looks: exactly this set.
    Choices(Vec<usize>),
    /// A number from the first to the second, base units, ends included. Tables may stand here.
    Range(Value),
    /// `none` of a dated look.
    NoDate,
}

/// The kind of answer a look takes.
#[derive(Debug, Clone)]
pub enum LookKind {
    /// Yes or no.
    YesNo,
    /// Exactly one of the choices.
    OneOf(Vec<Choice>),
    /// Any number of the choices, none included.
    SomeOf(Vec<Choice>),
    /// A measurement.
    Measured {
        /// The unit it is written in.
        unit: Unit,
        /// Least, base unit.
        from: Number,
        /// Greatest, base unit.
        to: Number,
        /// Reading error either way, base unit (a difference: for temperatures without the zero point).
        give_or_take: Option<Number>,
    },
    /// A whole number.
    Counted {
        /// Least.
        from: i64,
        /// Greatest.
        to: i64,
    },
    /// A sum of the rulebook's money.
    Priced {
        /// Least.
        from: Number,
        /// Greatest.
        to: Number,
    },
    /// A date, or none.
    Dated,
    /// Free text, never tested.
    Written,
}

/// A choice of a look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// Name, or the quoted text for a choice that is not a name.
    pub name: String,
    /// Words; the name where none were written.
    pub words: String,
}

impl Look {
    /// A look of which nothing is said but what is asked and what it takes.
    pub fn plain(name: &str, part: PartId, question: &str, kind: LookKind) -> Self {
        Self {
            name: name.to_owned(),
            part,
            question: question.to_owned(),
            kind,
            good: None,
            how: None,
            care: None,
            only_when: None,
            private: false,
            origin: Origin::default(),
        }
    }

    /// The dimension of its number or date; none for choices and text.
    pub fn dimension(&self) -> Option<Dimension> {
        match &self.kind {
            LookKind::Measured { unit, .. } => Some(unit.dimension()),
            LookKind::Counted { .. } => Some(Dimension::NUMBER),
            LookKind::Priced { .. } => Some(Dimension::MONEY),
            LookKind::Dated => Some(Dimension::DATE),
            LookKind::YesNo | LookKind::OneOf(_) | LookKind::SomeOf(_) | LookKind::Written => None,
        }
    }

    /// The choices of a `one of` or `some of` look.
    pub fn choices(&self) -> &[Choice] {
        match &self.kind {
            LookKind::OneOf(choices) | LookKind::SomeOf(choices) => choices,
            _ => &[],
        }
    }
}

impl Part {
    /// The fixed places; none for single parts and places as found.
    pub fn fixed_places(&self) -> &[Place] {
        match &self.places {
            Places::Fixed(places) => places,
            Places::Single | Places::AsFound => &[],
        }
    }

    /// Whether it repeats, at fixed places or as found.
    pub fn repeats(&self) -> bool {
        !matches!(self.places, Places::Single)
    }
}
