//! The variables a question is about, and how many cells each has.

use super::{CellSet, MOST_CELLS, VariableId};

/// One cell for each variable of a space, by the variable's number.
pub type Case = Vec<u8>;

/// A number of variables, each with a few cells. A case chooses one cell of every variable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Space {
    wholes: Vec<CellSet>,
}

impl Space {
    /// A space of variables with that many cells each.
    ///
    /// # Panics
    ///
    /// If a variable has no cell or more than [`MOST_CELLS`].
    pub fn new(counts: impl IntoIterator<Item = usize>) -> Space {
        let whole = |count: usize| {
            assert!((1..=MOST_CELLS).contains(&count), "a variable has from 1 to {MOST_CELLS} cells, not {count}");
            CellSet::MAX >> (MOST_CELLS - count)
        };
        Space { wholes: counts.into_iter().map(whole).collect() }
    }

    /// How many variables there are.
    pub fn variables(&self) -> usize {
        self.wholes.len()
    }

    /// All cells of a variable.
    pub fn whole(&self, variable: VariableId) -> CellSet {
        self.wholes[variable as usize]
    }

    /// All cells of each variable.
    pub fn wholes(&self) -> &[CellSet] {
        &self.wholes
    }
}
