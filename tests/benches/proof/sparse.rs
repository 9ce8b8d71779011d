//! Sparse rulebooks made by chance: sixty looks, and rules that mention a few of them.
//!
//! Twenty looks are yes or no, and a rule asks for one of the two; twenty-five have three to six choices, and a rule asks
//! for one of them or more, half of them at the most; fifteen are measured, cut into 5 to 13 cells, and a rule asks for a
//! stretch at either end. Twelve pairs of answers are impossible together.

use purfle_lang::search::{CellSet, Region, Space};
use purfle_tests::dice::Dice;

use crate::rules::Rules;

/// A rulebook of that many rules, each mentioning from `least` to `most` looks.
pub fn made(rules: usize, least: usize, most: usize) -> Rules {
    let mut dice = Dice::new((rules * 10_000 + least * 100 + most) as u64);
    let yes_or_no = std::iter::repeat_n(2, 20);
    let mut counts: Vec<usize> = yes_or_no.collect();
    counts.extend((0..25).map(|_| 3 + dice.below(4)));
    counts.extend((0..15).map(|_| 5 + dice.below(9)));
    let region = |dice: &mut Dice, looks: usize| {
        let mut mentioned: Vec<usize> = Vec::new();
        while mentioned.len() < looks {
            let look = dice.below(counts.len());
            if !mentioned.contains(&look) {
                mentioned.push(look);
            }
        }
        Region::of(mentioned.into_iter().map(|look| (look as u32, asked(dice, look, counts[look]))))
    };
    let boxes: Vec<Region> = (0..rules)
        .map(|_| {
            let looks = least + dice.below(most + 1 - least);
            region(&mut dice, looks)
        })
        .collect();
    let impossible = (0..12).map(|_| region(&mut dice, 2)).collect();
    let gravity = boxes.iter().map(|_| dice.below(5) as u8).collect();
    Rules { space: Space::new(counts), boxes, gravity, impossible }
}

/// What a rule asks of a look.
fn asked(dice: &mut Dice, look: usize, cells: usize) -> CellSet {
    match look {
        0..20 => 1 << dice.below(2),
        20..45 => {
            let wanted = 1 + dice.below(cells / 2);
            let mut set: CellSet = 0;
            while (set.count_ones() as usize) < wanted {
                set |= 1 << dice.below(cells);
            }
            set
        }
        _ => {
            let length = 1 + dice.below(cells / 2);
            let low = !(CellSet::MAX << length);
            if dice.chance(50) { low } else { low << (cells - length) }
        }
    }
}
