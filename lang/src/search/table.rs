//! A test's table of answers as a union of boxes.

use super::{Atom, CellSet, Region};
use crate::finite::node::Answer;

/// Boxes that do not overlap and hold exactly the cases in which the test comes out as `wanted`, or, where `truth` is
/// false, those in which it does not. Cells that a table does not tell apart stay together, so a test of one look is
/// one box at the most.
pub(super) fn regions(atom: &Atom, wanted: Answer, truth: bool) -> Vec<Region> {
    let hits: Vec<bool> = atom.answers.iter().map(|answer| (*answer == wanted) == truth).collect();
    let mut regions = Vec::new();
    split(atom, &sizes(atom), 0, 0, &hits, &mut regions);
    regions
}

/// How many cells each variable of a table has: the answers divide into as many equal parts as its stride says.
fn sizes(atom: &Atom) -> Vec<usize> {
    let mut order: Vec<usize> = (0..atom.variables.len()).collect();
    order.sort_by_key(|at| atom.variables[*at].1);
    let mut sizes = vec![1; atom.variables.len()];
    for (place, at) in order.iter().enumerate() {
        let above = order.get(place + 1).map_or(atom.answers.len(), |next| atom.variables[*next].1 as usize);
        sizes[*at] = above / atom.variables[*at].1 as usize;
    }
    sizes
}

fn split(atom: &Atom, sizes: &[usize], depth: usize, at: usize, hits: &[bool], into: &mut Vec<Region>) {
    let Some((variable, stride)) = atom.variables.get(depth) else {
        if hits[at] {
            into.push(Region::everywhere());
        }
        return;
    };
    // What the rest of the table looks like, with the cells of this variable that make it so.
    let mut alike: Vec<(Vec<Region>, CellSet)> = Vec::new();
    for cell in 0..sizes[depth] {
        let mut rest = Vec::new();
        split(atom, sizes, depth + 1, at + cell * *stride as usize, hits, &mut rest);
        match alike.iter_mut().find(|(same, _)| *same == rest) {
            Some((_, cells)) => *cells |= 1 << cell,
            None => alike.push((rest, 1 << cell)),
        }
    }
    for (rest, cells) in alike {
        for mut region in rest {
            region.narrow(*variable, cells);
            into.push(region);
        }
    }
}
