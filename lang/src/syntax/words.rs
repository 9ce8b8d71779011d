//! The words that begin items and clauses, for whoever offers or explains them.

use super::shape;
use super::tree::Kind;

pub use super::shape::{ALTERED, DROPPED, ITEMS};

/// A line of a rulebook as it is shown: its word, its shape, and an example of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineWords {
    /// The word or words it begins with.
    pub word: &'static str,
    /// What may stand on it: capitals are to be replaced, brackets may be left out.
    pub shape: &'static str,
    /// One that reads.
    pub example: &'static str,
    /// Whether it stands once at most.
    pub once: bool,
}

/// The own line of an item.
pub fn item(kind: Kind) -> LineWords {
    let (_, shape, example) = shape::line(kind);
    LineWords {
        word: kind.word(),
        shape,
        example,
        once: matches!(kind, Kind::Rulebook | Kind::Urgency | Kind::Hands | Kind::Tiers),
    }
}

/// The line of an `alter` of that kind.
pub fn alter(kind: Kind) -> LineWords {
    let (_, shape, example) = shape::alter(kind);
    LineWords { word: kind.word(), shape, example, once: false }
}

/// The line of a `without`.
pub fn without() -> LineWords {
    LineWords { word: "without", shape: shape::WITHOUT.0, example: shape::WITHOUT.1, once: false }
}

/// The clauses that may stand under an entry of that kind.
pub fn clauses(kind: Kind) -> impl Iterator<Item = LineWords> {
    shape::clauses(kind).iter().map(|clause| LineWords {
        word: clause.word,
        shape: clause.shape,
        example: clause.example,
        once: clause.once,
    })
}
