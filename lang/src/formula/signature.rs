//! The formulas as they are called in a rulebook: their names, what they take and what they give.

use crate::book::Formula;
use crate::unit::Dimension;

/// A formula as it is called in a rulebook.
#[derive(Debug, Clone, Copy)]
pub struct Signature {
    /// Its name.
    pub name: &'static str,
    /// Which.
    pub formula: Formula,
    /// What each argument is called and must be.
    pub wanted: &'static [(&'static str, Dimension)],
    /// What it gives.
    pub gives: Dimension,
}

/// Every formula there is.
pub const SIGNATURES: &[Signature] = &[
    Signature {
        name: "wood-moisture",
        formula: Formula::WoodMoisture,
        wanted: &[("humidity", Dimension::PERCENT), ("temperature", Dimension::TEMPERATURE)],
        gives: Dimension::PERCENT,
    },
    Signature {
        name: "wood-movement",
        formula: Formula::WoodMovement,
        wanted: &[
            ("width", Dimension::LENGTH),
            ("coefficient", Dimension::NUMBER),
            ("from-moisture", Dimension::PERCENT),
            ("to-moisture", Dimension::PERCENT),
        ],
        gives: Dimension::LENGTH,
    },
];
