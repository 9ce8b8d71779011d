//! Conditions, as written: a `not` still stands where its author put it.

use super::id::{FindingId, PartId, PlaceId, StepId, TierId};
use super::value::{LookAt, Value};
use crate::span::Span;

/// A condition.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "nearly every condition is a test, so a box would only add a step")]
pub enum Condition {
    /// Every one of them (`and`, `all of`).
    All(Vec<Condition>),
    /// One of them or more (`or`, `any of`).
    Any(Vec<Condition>),
    /// That many of them or more (`at least N of`).
    AtLeast(u32, Vec<Condition>),
    /// Its opposite, carried in to the single tests.
    Not(Box<Condition>),
    /// A single test, and where it stands.
    Test(Test, Span),
    /// Places of a part that meet a condition.
    Places {
        /// How many.
        count: Count,
        /// The part, which repeats.
        part: PartId,
        /// What is asked at each place; `PlaceAt::Here` of that part is the place asked.
        with: Box<Condition>,
        /// Where it stands.
        span: Span,
    },
    /// Another finding holds: at the same place when both are on each of one part, else at any place.
    Found(FindingId, Span),
}

/// How many places must meet a condition.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Count {
    /// `any`: one or more.
    Any,
    /// `no`: none.
    No,
    /// `every`: all of them, and there is one.
    Every,
    /// `at least N`.
    AtLeast(u32),
}

/// A single test. It silently says first that what it reads applies.
#[derive(Debug, Clone, PartialEq)]
pub enum Test {
    /// The look is one of these choices (yes or no: 0 is no, 1 is yes), or none of them where `not` is set.
    IsOneOf {
        /// The look.
        look: LookAt,
        /// The choices, by index.
        choices: Vec<usize>,
        /// Written `is not`.
        not: bool,
    },
    /// A `some of` look has one of these choices or more.
    HasAny {
        /// The look.
        look: LookAt,
        /// The choices, by index.
        choices: Vec<usize>,
    },
    /// A dated look has no date (`is none`), or has one where `not` is set.
    NoDate {
        /// The look.
        look: LookAt,
        /// Written `is not none`.
        not: bool,
    },
    /// `left is above right` and its kin. Against a range, `Above` and `AtMost` look at the right side's upper
    /// end, `Below` and `AtLeast` at its lower.
    Compare(Comparison, Value, Value),
    /// `value is from low to high`, ends included: at least the lower end of `low`, at most the upper end of `high`.
    Between(Value, Value, Value),
    /// `place is E`: the place in hand of that part is one of these, or none of them where `not` is set.
    PlaceIs {
        /// The part.
        part: PartId,
        /// Its places.
        places: Vec<PlaceId>,
        /// Written `is not`.
        not: bool,
    },
    /// `total urgency is …`, in a counsel only: from the first step to the last, ends included.
    TotalUrgency {
        /// Mildest.
        from: StepId,
        /// Gravest.
        to: StepId,
        /// Written `is not`.
        not: bool,
    },
    /// `total tier is …`, in a counsel only: from the first tier to the last, ends included.
    TotalTier {
        /// Cheapest.
        from: TierId,
        /// Dearest.
        to: TierId,
        /// Written `is not`.
        not: bool,
    },
}

/// How two values are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Comparison {
    /// `is above`
    Above,
    /// `is below`
    Below,
    /// `is at least`
    AtLeast,
    /// `is at most`
    AtMost,
}
