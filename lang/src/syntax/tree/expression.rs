//! Values as written: numbers keep their text, names are not looked up.

use super::Name;
use crate::book::ArithmeticSign;
use crate::span::{Span, Spanned};

/// A value as written.
#[derive(Debug, Clone, PartialEq)]
pub struct Expr {
    /// What it is.
    pub kind: ExprKind,
    /// Where; brackets round it are not included.
    pub span: Span,
}

/// What a value is.
#[derive(Debug, Clone, PartialEq)]
pub enum ExprKind {
    /// A number, with or without a unit.
    Quantity(Quantity),
    /// `0.3 to 0.5 h`: a literal range. Where the first end has no unit of its own, the second's is meant.
    Range(Quantity, Quantity),
    /// `2026-11-20`, as text; whether there is such a day is not yet known.
    Date(Spanned<String>),
    /// A look, a table, a reckoning, or `inspected-on`.
    Path(Path),
    /// `last LOOK`
    Last(Path),
    /// `total cost`
    TotalCost,
    /// `left sign right`
    Arithmetic(Spanned<ArithmeticSign>, Box<Expr>, Box<Expr>),
    /// A minus before something that is not a number.
    Negative(Box<Expr>),
    /// `lower of A and B`
    Lower(Box<Expr>, Box<Expr>),
    /// `higher of A and B`
    Higher(Box<Expr>, Box<Expr>),
    /// `days from A to B`
    DaysFrom(Box<Expr>, Box<Expr>),
    /// `name(…)`: a formula of the trade.
    Formula(Name, Vec<Expr>),
}

/// A number and its unit, both as text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quantity {
    /// Such as `0.35` or `-5`: an optional minus, digits, and optionally a point and digits.
    pub number: Spanned<String>,
    /// Such as `mm`, `%` or `USD`; whether there is such a unit is not yet known.
    pub unit: Option<Spanned<String>>,
}

impl Quantity {
    /// Number and unit together.
    pub fn span(&self) -> Span {
        self.unit.as_ref().map_or(self.number.span, |unit| self.number.span.to(unit.span))
    }
}

/// Names joined by points: `gap`, `button.gap`, `peg.E.turns`, `string.place`; in examples also `crack.1.length`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Path {
    /// The names, at least one. `place` may stand after the first; in examples, so may a whole number.
    pub segments: Vec<Name>,
    /// All of it.
    pub span: Span,
}

impl Path {
    /// The path as written.
    pub fn text(&self) -> String {
        self.segments.iter().map(|segment| segment.value.as_str()).collect::<Vec<_>>().join(".")
    }

    /// The name, where the path is a single one.
    pub fn single(&self) -> Option<&Name> {
        match self.segments.as_slice() {
            [name] => Some(name),
            _ => None,
        }
    }
}
