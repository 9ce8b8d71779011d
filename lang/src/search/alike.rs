//! Cells that no box tells apart, taken as one.

use num_bigint::BigUint;

use super::{CellSet, Region, Space, VariableId};

/// A region with the cells of each variable grouped by which boxes allow them. The groups are numbered by their first
/// cells, without a hole; sets of groups are sets of cells like any other.
#[derive(Debug)]
pub(super) struct Alike {
    /// The groups of each variable.
    groups: Vec<Vec<CellSet>>,
    left: Vec<CellSet>,
    /// The sides of each box that has a case in the region, in groups; sides that hold all are left out.
    sides: Vec<Vec<(u32, CellSet)>>,
}

impl Alike {
    pub(super) fn new(space: &Space, within: &Region, boxes: &[Region]) -> Alike {
        let allowed: Vec<CellSet> =
            (0..space.variables() as VariableId).map(|variable| space.whole(variable) & within.cells(variable)).collect();
        let kept: Vec<&Region> = boxes
            .iter()
            .filter(|region| region.sides().iter().all(|side| side.cells & allowed[side.variable as usize] != 0))
            .collect();
        let mut cuts: Vec<Vec<CellSet>> = vec![Vec::new(); allowed.len()];
        for side in kept.iter().flat_map(|region| region.sides()) {
            cuts[side.variable as usize].push(side.cells & allowed[side.variable as usize]);
        }
        let groups: Vec<Vec<CellSet>> = allowed.iter().zip(cuts).map(|(allowed, cuts)| grouped(*allowed, cuts)).collect();
        let left: Vec<CellSet> =
            groups.iter().map(|groups| groups.iter().enumerate().fold(0, |left, (at, _)| left | 1 << at)).collect();
        let in_groups = |variable: u32, cells: CellSet| {
            let groups = groups[variable as usize].iter().enumerate();
            groups.filter(|(_, group)| *group & cells != 0).fold(0, |set, (at, _)| set | 1 << at)
        };
        let sides = kept
            .iter()
            .map(|region| {
                let sides = region.sides().iter().map(|side| (side.variable, in_groups(side.variable, side.cells)));
                sides.filter(|(variable, cells)| left[*variable as usize] & !cells != 0).collect()
            })
            .collect();
        Alike { groups, left, sides }
    }

    /// The groups of each variable, as a set.
    pub(super) fn left(&self) -> &[CellSet] {
        &self.left
    }

    /// The boxes that have a case in the region, in groups.
    pub(super) fn sides(&self) -> Vec<Vec<(u32, CellSet)>> {
        self.sides.clone()
    }

    /// The box of these groups of each variable.
    pub(super) fn region(&self, sets: &[CellSet]) -> Region {
        let all = sets.iter().zip(&self.left).enumerate();
        let narrowed = all.filter(|(_, (set, left))| set != left);
        Region::of(narrowed.map(|(variable, (set, _))| (variable as VariableId, self.cells(variable, *set))))
    }

    /// How many cases these groups of each variable hold.
    pub(super) fn volume(&self, sets: &[CellSet]) -> BigUint {
        let counts = sets.iter().enumerate().map(|(variable, set)| self.cells(variable, *set).count_ones());
        // As many factors at a time as a machine word surely holds.
        let counts: Vec<u32> = counts.filter(|count| *count != 1).collect();
        counts.chunks(9).map(|nine| nine.iter().map(|count| u64::from(*count)).product::<u64>()).map(BigUint::from).product()
    }

    /// How many cases there are.
    pub(super) fn whole(&self) -> BigUint {
        self.volume(&self.left)
    }

    fn cells(&self, variable: usize, set: CellSet) -> CellSet {
        let groups = self.groups[variable].iter().enumerate();
        groups.filter(|(at, _)| set >> at & 1 == 1).fold(0, |cells, (_, group)| cells | group)
    }
}

/// The cells allowed, parted until each cut holds a part or does not touch it; by their first cells.
fn grouped(allowed: CellSet, mut cuts: Vec<CellSet>) -> Vec<CellSet> {
    cuts.sort_unstable();
    cuts.dedup();
    let mut groups = if allowed == 0 { Vec::new() } else { vec![allowed] };
    for cut in cuts {
        for at in 0..groups.len() {
            let (inside, outside) = (groups[at] & cut, groups[at] & !cut);
            if inside != 0 && outside != 0 {
                groups[at] = inside;
                groups.push(outside);
            }
        }
    }
    groups.sort_unstable_by_key(|group| group.trailing_zeros());
    groups
}
