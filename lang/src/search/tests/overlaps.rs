//! Pairs of boxes with a case in common.

use super::*;
use crate::search::Overlaps;

#[test]
fn pairs_are_those_with_a_case_in_common() {
    let mut dice = Dice(21);
    let mut pairs_seen = 0;
    for round in 0..2_000 {
        let space = dice.space();
        let mut boxes = dice.regions(&space, 12);
        if round % 2 == 0 {
            // Unbroken runs of cells only, which are looked up another way.
            let run = |side: &super::super::Side| {
                (side.variable, (CellSet::MAX << side.cells.trailing_zeros()) & !(CellSet::MAX << side.cells.ilog2() << 1))
            };
            boxes.retain(|region| !region.never(&space));
            boxes = boxes.iter().map(|region| Region::of(region.sides().iter().map(run))).collect();
        }
        let all = cases(&space);
        let mut expected = Vec::new();
        for one in 0..boxes.len() {
            for two in one + 1..boxes.len() {
                if all.iter().any(|case| boxes[one].has(case) && boxes[two].has(case)) {
                    expected.push((one, two));
                }
            }
        }
        let overlaps = Overlaps::of(&space, &boxes);
        assert_eq!(overlaps.pairs().collect::<Vec<_>>(), expected, "round {round}: {boxes:?}");
        assert_eq!(overlaps.count(), expected.len() as u64, "round {round}");
        let classes: Vec<usize> = boxes.iter().map(|_| dice.below(3)).collect();
        let between = overlaps.pairs_between(&classes, |one, two| one < two);
        expected.retain(|(one, two)| classes[*one] != classes[*two]);
        assert_eq!(between, expected, "round {round}");
        pairs_seen += expected.len();
    }
    assert!(pairs_seen > 10_000, "{pairs_seen}");
}

#[test]
fn unions_share_a_case_where_two_of_their_boxes_do() {
    let mut dice = Dice(22);
    for round in 0..1_000 {
        let space = dice.space();
        let unions: Vec<Vec<Region>> = (0..dice.below(6)).map(|_| dice.regions(&space, 3)).collect();
        let all = cases(&space);
        let overlaps = Overlaps::of_unions(&space, &unions);
        for one in 0..unions.len() {
            for two in 0..unions.len() {
                let has = |at: usize, case: &Case| unions[at].iter().any(|region| region.has(case));
                let share = one != two && all.iter().any(|case| has(one, case) && has(two, case));
                assert_eq!(overlaps.with(one).has(two), share, "round {round}: {one} and {two} of {unions:?}");
            }
        }
    }
}

#[test]
fn many_boxes_fill_more_than_one_word() {
    let space = Space::new([128]);
    let boxes: Vec<Region> = (0..128).map(|cell| Region::of([(0, 1 << cell | 1 << (cell / 2))])).collect();
    let pairs: Vec<(usize, usize)> = Overlaps::of(&space, &boxes).pairs().collect();
    let mut expected = Vec::new();
    for one in 0..128 {
        expected.extend((one + 1..128).filter(|two| two / 2 == one || two / 2 == one / 2).map(|two| (one, two)));
    }
    assert_eq!(pairs, expected);
}
