//! Tables made by chance: every rule mentions most columns.
//!
//! The space (columns of 128 cells, the most a look can have) is cut in two again and again: a box, a column and a
//! place to cut it, all by chance, until there are as many boxes as rules, and one in a hundred more. That one in a
//! hundred is taken out again, which leaves gaps, and one rule in twenty is widened on one side, which makes overlaps.
//! So the gaps and overlaps come from the maker, and not from what finds them.

use purfle_lang::search::{CellSet, Region, Space};
use purfle_tests::dice::Dice;

use crate::rules::Rules;

const CELLS: usize = 128;

/// A table of that many rules over that many columns.
pub fn made(rules: usize, columns: usize) -> Rules {
    let mut dice = Dice::new((rules * 100 + columns) as u64);
    // From and to, both included.
    let mut boxes = vec![vec![(0, CELLS - 1); columns]];
    let removed = rules / 100;
    while boxes.len() < rules + removed {
        let (one, column) = (dice.below(boxes.len()), dice.below(columns));
        let (from, to) = boxes[one][column];
        if from == to {
            continue;
        }
        let cut = from + dice.below(to - from);
        let mut other = boxes[one].clone();
        boxes[one][column].1 = cut;
        other[column].0 = cut + 1;
        boxes.push(other);
    }
    for _ in 0..removed {
        boxes.swap_remove(dice.below(boxes.len()));
    }
    for _ in 0..rules / 20 {
        let (one, column) = (dice.below(boxes.len()), dice.below(columns));
        let (from, to) = &mut boxes[one][column];
        *from = from.saturating_sub(dice.below(CELLS / 8));
        *to = (*to + dice.below(CELLS / 8)).min(CELLS - 1);
    }
    let region = |sides: &Vec<(usize, usize)>| {
        let mentioned = sides.iter().enumerate().filter(|(_, side)| **side != (0, CELLS - 1));
        Region::of(mentioned.map(|(column, (from, to))| (column as u32, CellSet::MAX << from & CellSet::MAX >> (CELLS - 1 - to))))
    };
    let boxes: Vec<Region> = boxes.iter().map(region).collect();
    let gravity = boxes.iter().map(|_| dice.below(5) as u8).collect();
    Rules { space: Space::new(vec![CELLS; columns]), boxes, gravity, impossible: Vec::new() }
}
