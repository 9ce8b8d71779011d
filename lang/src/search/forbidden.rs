//! The boxes of a question, gathered for a search.

use super::region::Side;
use super::{CellSet, Region};

/// Boxes to avoid within what is left of the variables, and which of the things avoided each stands for, if any.
#[derive(Debug, Default)]
pub(super) struct Forbidden {
    sides: Vec<Side>,
    /// Where among the sides each box ends.
    ends: Vec<usize>,
    stands_for: Vec<Option<usize>>,
}

impl Forbidden {
    /// Adds a box, unless it holds nothing of what is left. Sides that hold all that is left say nothing.
    pub(super) fn add(&mut self, region: &Region, left: &[CellSet], stands_for: Option<usize>) {
        let start = self.sides.len();
        for side in region.sides() {
            let left = left[side.variable as usize];
            if left & side.cells == 0 {
                self.sides.truncate(start);
                return;
            }
            if left & !side.cells != 0 {
                self.sides.push(*side);
            }
        }
        self.ends.push(self.sides.len());
        self.stands_for.push(stands_for);
    }

    /// What a box stands for.
    pub(super) fn stands_for(&self, at: usize) -> Option<usize> {
        self.stands_for[at]
    }

    /// All sides of all boxes.
    pub(super) fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The sides of each box.
    pub(super) fn boxes(&self) -> impl Iterator<Item = &[Side]> + '_ {
        let starts = [0].into_iter().chain(self.ends.iter().copied());
        starts.zip(&self.ends).map(|(start, end)| &self.sides[start..*end])
    }
}
