//! Boxes: for each variable that is mentioned the cells allowed to it, every other variable being free.

use super::{CellSet, Space, VariableId};

/// One mentioned variable of a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Side {
    /// The variable.
    pub variable: VariableId,
    /// The cells allowed to it.
    pub cells: CellSet,
}

/// A box: the cases whose cell lies on the given side for every variable mentioned.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default, PartialOrd, Ord)]
pub struct Region {
    /// By rising variable, each variable once.
    sides: Vec<Side>,
}

impl Region {
    /// The box of all cases.
    pub fn everywhere() -> Region {
        Region::default()
    }

    /// The box with these sides. A variable that is given twice has to lie on both.
    pub fn of(sides: impl IntoIterator<Item = (VariableId, CellSet)>) -> Region {
        let mut region = Region::everywhere();
        for (variable, cells) in sides {
            region.narrow(variable, cells);
        }
        region
    }

    /// Allows a variable these cells at the most.
    pub fn narrow(&mut self, variable: VariableId, cells: CellSet) {
        match self.sides.binary_search_by_key(&variable, |side| side.variable) {
            Ok(at) => self.sides[at].cells &= cells,
            Err(at) => self.sides.insert(at, Side { variable, cells }),
        }
    }

    /// The same box with one variable free.
    pub fn without(&self, variable: VariableId) -> Region {
        Region { sides: self.sides.iter().copied().filter(|side| side.variable != variable).collect() }
    }

    /// The variables mentioned and their cells, by rising variable.
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The cells allowed to a variable; all there could be, if it is free.
    pub fn cells(&self, variable: VariableId) -> CellSet {
        match self.sides.binary_search_by_key(&variable, |side| side.variable) {
            Ok(at) => self.sides[at].cells,
            Err(_) => CellSet::MAX,
        }
    }

    /// Whether no case of the space lies in it.
    pub fn never(&self, space: &Space) -> bool {
        self.sides.iter().any(|side| side.cells & space.whole(side.variable) == 0)
    }

    /// Whether a case lies in it.
    pub fn has(&self, case: &[u8]) -> bool {
        self.sides.iter().all(|side| side.cells >> case[side.variable as usize] & 1 == 1)
    }

    /// What lies in both.
    pub fn meet(&self, other: &Region) -> Region {
        let mut both = self.clone();
        for side in &other.sides {
            both.narrow(side.variable, side.cells);
        }
        both
    }

    /// Whether some case lies in both, neither of them being empty by itself.
    pub fn meets(&self, other: &Region) -> bool {
        let (mut here, mut there) = (self.sides.iter().peekable(), other.sides.iter().peekable());
        while let (Some(a), Some(b)) = (here.peek(), there.peek()) {
            match a.variable.cmp(&b.variable) {
                std::cmp::Ordering::Less => drop(here.next()),
                std::cmp::Ordering::Greater => drop(there.next()),
                std::cmp::Ordering::Equal if a.cells & b.cells == 0 => return false,
                std::cmp::Ordering::Equal => {
                    here.next();
                    there.next();
                }
            }
        }
        true
    }

    /// Whether all of it lies in the other, neither being empty nor mentioning all cells of a variable.
    pub fn is_in(&self, other: &Region) -> bool {
        other.sides.iter().all(|side| self.cells(side.variable) & !side.cells == 0)
    }

    /// Whether all of it lies in the other.
    pub fn lies_in(&self, other: &Region, space: &Space) -> bool {
        let inside = |side: &Side| self.cells(side.variable) & space.whole(side.variable) & !side.cells == 0;
        self.never(space) || other.sides.iter().all(inside)
    }
}
