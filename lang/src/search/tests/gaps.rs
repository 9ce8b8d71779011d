//! All gaps, counted.

use num_bigint::BigUint;

use super::*;
use crate::search::gaps;

#[test]
fn gaps_hold_exactly_what_no_box_holds() {
    let mut dice = Dice(31);
    let mut open = 0;
    for round in 0..4_000 {
        let space = dice.space();
        let within = if round % 2 == 0 { Region::everywhere() } else { dice.region(&space) };
        let boxes = dice.regions(&space, 10);
        let found = gaps(&space, &within, &boxes, 100_000);
        assert!(found.complete, "round {round}");
        let all: Vec<Case> = cases(&space).into_iter().filter(|case| within.has(case)).collect();
        let mut uncovered = 0u32;
        for case in &all {
            let covered = boxes.iter().any(|region| region.has(case));
            let holding = found.regions.iter().filter(|gap| gap.has(case)).count();
            assert_eq!(holding, usize::from(!covered), "round {round}: {case:?} in {:?}", found.regions);
            uncovered += u32::from(!covered);
        }
        let outside = cases(&space).into_iter().filter(|case| !within.has(case));
        assert!(!outside.into_iter().any(|case| found.regions.iter().any(|gap| gap.has(&case))), "round {round}");
        assert_eq!(found.uncovered, BigUint::from(uncovered), "round {round}");
        assert_eq!(found.whole, BigUint::from(all.len()), "round {round}");
        open += usize::from(uncovered > 0);
    }
    assert!(open > 1_000, "{open}");
}

#[test]
fn a_look_at_too_few_parts_says_so() {
    let space = Space::new(vec![128; 40]);
    // On every pair of neighbours the first cells are taken.
    let boxes: Vec<Region> = (0..39).map(|one| Region::of([(one, 0xffff), (one + 1, 0xffff)])).collect();
    let found = gaps(&space, &Region::everywhere(), &boxes, 500);
    assert!(!found.complete);
    assert!(found.uncovered < found.whole);
    assert_eq!(found.whole, BigUint::from(128u32).pow(40));
}

#[test]
fn a_space_beyond_all_machine_words_is_counted_exactly() {
    let space = Space::new(vec![128; 60]);
    let half = Region::of([(59, CellSet::MAX >> 64)]);
    let found = gaps(&space, &Region::everywhere(), &[half], 100);
    assert!(found.complete);
    assert_eq!(found.regions, [Region::of([(59, CellSet::MAX << 64)])]);
    assert_eq!(found.uncovered, BigUint::from(128u32).pow(59) * 64u32);
}
