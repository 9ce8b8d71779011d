//! Questions about boxes alone: never, covered, gap, and what a proof needs.

use super::*;
use crate::search::{Question, Verdict};

#[test]
fn a_case_is_found_exactly_where_there_is_one() {
    let mut dice = Dice(1);
    let (mut found, mut none) = (0, 0);
    for round in 0..6_000 {
        let space = dice.space();
        let within = dice.region(&space);
        let avoided = dice.regions(&space, 9);
        let impossible = dice.regions(&space, 2);
        let question = Question::new(&space).within(&within).avoiding(&avoided).impossible(&impossible);
        let left = |case: &&Case| within.has(case) && !avoided.iter().chain(&impossible).any(|region| region.has(case));
        let expected = cases(&space).iter().find(left).cloned();
        match question.answer() {
            Verdict::Found(case) => {
                assert!(left(&&case), "round {round}: {case:?} is no answer");
                found += 1;
            }
            Verdict::None(used) => {
                assert_eq!(expected, None, "round {round}");
                let covered = |case: &Case| {
                    !within.has(case)
                        || impossible.iter().any(|region| region.has(case))
                        || used.iter().any(|at| avoided[*at].has(case))
                };
                assert!(cases(&space).iter().all(covered), "round {round}: {used:?} do not prove it");
                none += 1;
            }
            Verdict::Undecided => panic!("round {round}: not decided"),
        }
        assert_eq!(question.answer(), question.answer(), "round {round}: the same question, the same answer");
    }
    assert!(found > 800 && none > 800, "{found} and {none}");
}

#[test]
fn the_least_proof_needs_all_it_names() {
    let mut dice = Dice(2);
    let mut proofs = 0;
    for round in 0..4_000 {
        let space = dice.space();
        let within = dice.region(&space);
        let side = |dice: &mut Dice| {
            let variable = dice.below(space.variables()) as VariableId;
            (variable, dice.cells(space.whole(variable)))
        };
        let avoided: Vec<Region> = (0..dice.below(40)).map(|_| Region::of([side(&mut dice), side(&mut dice)])).collect();
        let Verdict::None(needed) = Question::new(&space).within(&within).avoiding(&avoided).answer_with_the_least() else {
            continue;
        };
        let inside: Vec<Case> = cases(&space).into_iter().filter(|case| within.has(case)).collect();
        let proves = |kept: &[usize]| inside.iter().all(|case| kept.iter().any(|at| avoided[*at].has(case)));
        assert!(proves(&needed), "round {round}: {needed:?}");
        for dropped in &needed {
            let fewer: Vec<usize> = needed.iter().copied().filter(|at| at != dropped).collect();
            assert!(!proves(&fewer), "round {round}: {needed:?} does not need {dropped}");
        }
        proofs += usize::from(needed.len() > 1);
    }
    assert!(proofs > 200, "{proofs}");
}

#[test]
fn a_case_found_departs_from_the_preferred_only_where_it_has_to() {
    let mut dice = Dice(3);
    let mut departing = 0;
    for round in 0..3_000 {
        let space = dice.space();
        let avoided = dice.regions(&space, 8);
        let preferred: Vec<u8> = space.wholes().iter().map(|whole| dice.below(whole.count_ones() as usize) as u8).collect();
        let question = Question::new(&space).avoiding(&avoided).preferring(&preferred);
        let Verdict::Found(case) = question.answer() else { continue };
        for variable in 0..case.len() {
            if case[variable] != preferred[variable] {
                let mut moved = case.clone();
                moved[variable] = preferred[variable];
                assert!(!question.answered_by(&moved), "round {round}: {case:?} could be {moved:?}");
                departing += 1;
            }
        }
    }
    assert!(departing > 500, "{departing}");
}

#[test]
fn giving_up_is_not_none() {
    // Eight things in seven holes, no two in one: there is no way, and no short proof by boxes.
    let (things, holes) = (8, 7);
    let space = Space::new(vec![holes; things]);
    let mut together = Vec::new();
    for one in 0..things as u32 {
        for two in 0..one {
            together.extend((0..holes).map(|hole| Region::of([(one, 1 << hole), (two, 1 << hole)])));
        }
    }
    let question = Question::new(&space).avoiding(&together);
    assert_eq!(question.clone().limit(50).answer(), Verdict::Undecided);
    assert!(matches!(question.limit(1_000_000).answer(), Verdict::None(_)));
}

#[test]
fn nothing_to_avoid_leaves_the_preferred_case() {
    let space = Space::new([3, 128, 1]);
    assert_eq!(Question::new(&space).answer(), Verdict::Found(vec![0, 0, 0]));
    assert_eq!(Question::new(&space).preferring(&[2, 127]).answer(), Verdict::Found(vec![2, 127, 0]));
    let never = Region::of([(1, 0)]);
    assert!(never.never(&space));
    assert_eq!(Question::new(&space).within(&never).answer(), Verdict::None(vec![]));
    let always = Region::everywhere();
    assert_eq!(Question::new(&space).avoiding([&never, &always]).answer(), Verdict::None(vec![1]));
}
