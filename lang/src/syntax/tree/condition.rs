//! Conditions as written.

use super::{Expr, Name, Path};
use crate::book::Comparison;
use crate::span::{Span, Spanned};

/// A condition as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Cond {
    /// What it asks.
    pub kind: CondKind,
    /// Where; brackets round it are not included.
    pub span: Span,
}

/// What a condition asks. Choices, steps, tiers and places are names, or the text between quotes.
#[derive(Debug, Clone, PartialEq)]
pub enum CondKind {
    /// `a and b`, or bullets under `all of`.
    All(Vec<Cond>),
    /// `a or b`, or bullets under `any of`.
    Any(Vec<Cond>),
    /// Bullets under `at least N of`.
    AtLeast(Spanned<u32>, Vec<Cond>),
    /// `not` before one test or a bracket.
    Not(Box<Cond>),
    /// A yes-or-no look that stands alone.
    Bare(Path),
    /// `look is choice`, `is not`, `is one of a, b`, `is not one of a, b`. The choices `yes`, `no` and `none` are
    /// among them.
    Is {
        /// The look.
        path: Path,
        /// Written with `not`.
        not: bool,
        /// At least one.
        choices: Vec<Name>,
    },
    /// `look has a`, `look has any of a, b`: one of them or more.
    Has {
        /// The look.
        path: Path,
        /// At least one.
        choices: Vec<Name>,
    },
    /// `left is above right` and its kin.
    Compare {
        /// Left side.
        left: Expr,
        /// How.
        comparison: Spanned<Comparison>,
        /// Right side.
        right: Expr,
    },
    /// `value is from low to high`.
    Between {
        /// The value.
        value: Expr,
        /// Least.
        low: Expr,
        /// Greatest.
        high: Expr,
    },
    /// `any peg with C` and its kin.
    Places {
        /// How many.
        count: Spanned<Count>,
        /// The part.
        part: Name,
        /// What is asked at each place.
        with: Box<Cond>,
    },
    /// `found F`
    Found(Name),
    /// `place is E`, `place is one of E, A`, `place is not E`.
    PlaceIs {
        /// The word `place`.
        keyword: Span,
        /// Written with `not`.
        not: bool,
        /// At least one.
        places: Vec<Name>,
    },
    /// `total urgency is …`, `total tier is …`
    Total {
        /// Which.
        total: Spanned<Total>,
        /// Written with `not`.
        not: bool,
        /// What is asked of it.
        test: LadderTest,
    },
}

/// How many places must meet a condition; the same as the book's.
pub use crate::book::Count;

/// A total that is a step of a ladder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Total {
    /// `total urgency`
    Urgency,
    /// `total tier`
    Tier,
}

/// What is asked of a step of a ladder.
#[derive(Debug, Clone, PartialEq)]
pub enum LadderTest {
    /// `is a`, `is one of a, b`
    OneOf(Vec<Name>),
    /// `is above a`, `is at most a` …
    Compare(Spanned<Comparison>, Name),
    /// `is from a to b`
    From(Name, Name),
}
