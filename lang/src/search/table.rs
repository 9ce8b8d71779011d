//! A test's table of answers as a union of boxes.

use super::{Answer, Atom, CellSet, Region, Space};

/// Boxes that do not overlap and hold exactly the cases in which the test comes out as `wanted`, or, where `truth` is
/// false, those in which it does not. Cells that a table does not tell apart stay together, so a test of one look is
/// one box at the most.
pub(super) fn regions(space: &Space, atom: &Atom, wanted: Answer, truth: bool) -> Vec<Region> {
    let hits: Vec<bool> = atom.answers.iter().map(|answer| (*answer == wanted) == truth).collect();
    let mut regions = Vec::new();
    split(space, atom, 0, 0, &hits, &mut regions);
    regions
}

fn split(space: &Space, atom: &Atom, depth: usize, at: usize, hits: &[bool], into: &mut Vec<Region>) {
    let Some((variable, stride)) = atom.variables.get(depth) else {
        if hits[at] {
            into.push(Region::everywhere());
        }
        return;
    };
    let whole = space.whole(*variable);
    // What the rest of the table looks like, with the cells of this variable that make it so.
    let mut alike: Vec<(Vec<Region>, CellSet)> = Vec::new();
    for cell in 0..whole.count_ones() as usize {
        let mut rest = Vec::new();
        split(space, atom, depth + 1, at + cell * *stride as usize, hits, &mut rest);
        match alike.iter_mut().find(|(same, _)| *same == rest) {
            Some((_, cells)) => *cells |= 1 << cell,
            None => alike.push((rest, 1 << cell)),
        }
    }
    for (rest, cells) in alike {
        for mut region in rest {
            if cells != whole {
                region.narrow(*variable, cells);
            }
            into.push(region);
        }
    }
}
