//! Questions about conditions of any shape, and conditions as unions of boxes.

use super::*;
use crate::search::{Question, Verdict};

#[test]
fn conditions_of_any_shape_are_answered_as_case_by_case() {
    let mut dice = Dice(11);
    let (mut found, mut none) = (0, 0);
    for round in 0..6_000 {
        let space = dice.space();
        let (atoms, holds) = dice.book(&space);
        let conditions = Conditions { atoms: &atoms, holds: &holds, written: None };
        let within = dice.region(&space);
        let required: Vec<Node> = (0..dice.below(3)).map(|_| dice.node(atoms.len(), holds.len(), 3)).collect();
        let refused: Vec<Node> = (0..dice.below(3)).map(|_| dice.node(atoms.len(), holds.len(), 3)).collect();
        let avoided = dice.regions(&space, 4);
        let mut question = Question::new(&space).speaking_of(conditions).within(&within).avoiding(&avoided);
        for node in &required {
            question = question.meeting(node);
        }
        question = question.avoiding_conditions(&refused);
        let asked = |case: &Case| within.has(case) && required.iter().all(|node| met(&conditions, node, case));
        let left = |case: &Case| {
            asked(case)
                && !avoided.iter().any(|region| region.has(case))
                && !refused.iter().any(|node| met(&conditions, node, case))
        };
        let possible = cases(&space).iter().any(left);
        match question.answer_with_the_least() {
            Verdict::Found(case) => {
                assert!(left(&case), "round {round}: {case:?} is no answer");
                assert!(question.answered_by(&case), "round {round}");
                found += 1;
            }
            Verdict::None(used) => {
                assert!(!possible, "round {round}: there is a case");
                let by = |at: usize, case: &Case| match avoided.get(at) {
                    Some(region) => region.has(case),
                    None => met(&conditions, &refused[at - avoided.len()], case),
                };
                let covered = |case: &Case| !asked(case) || used.iter().any(|at| by(*at, case));
                assert!(cases(&space).iter().all(covered), "round {round}: {used:?} do not prove it");
                none += 1;
            }
            Verdict::Undecided => panic!("round {round}: not decided"),
        }
    }
    assert!(found > 800 && none > 800, "{found} and {none}");
}

#[test]
fn a_union_of_boxes_holds_the_same_cases() {
    let mut dice = Dice(12);
    let (mut written, mut refused) = (0, 0);
    for round in 0..4_000 {
        let space = dice.space();
        let (atoms, holds) = dice.book(&space);
        let conditions = Conditions { atoms: &atoms, holds: &holds, written: None };
        let node = dice.node(atoms.len(), holds.len(), 3);
        let most = dice.from(1, 12);
        let Some(union) = conditions.boxes(&space, &node, most) else {
            refused += 1;
            continue;
        };
        assert!(union.len() <= most, "round {round}");
        for case in cases(&space) {
            let inside = union.iter().any(|region| region.has(&case));
            assert_eq!(inside, met(&conditions, &node, &case), "round {round}: {node:?} at {case:?}, {union:?}");
            assert_eq!(conditions.met(&node, &case), inside, "round {round}");
        }
        written += 1;
    }
    assert!(written > 2_000 && refused > 100, "{written} and {refused}");
}

#[test]
fn large_counts_are_taken_apart_and_not_written_out() {
    // Of thirty yes-or-no looks at least fifteen, and not sixteen: 155 million boxes, if written out.
    let space = Space::new(vec![2; 30]);
    let atoms: Vec<Atom> =
        (0..30).map(|variable| Atom { variables: vec![(variable, 1)], answers: vec![Answer::Opposite, Answer::Met] }).collect();
    let all: Vec<Node> = (0..30).map(Node::Met).collect();
    let (fifteen, sixteen) = (Node::AtLeast(15, all.clone()), Node::AtLeast(16, all.clone()));
    let conditions = Conditions { atoms: &atoms, holds: &[], written: None };
    assert_eq!(conditions.boxes(&space, &fifteen, 1_000), None);
    let question = Question::new(&space).speaking_of(conditions).meeting(&fifteen).avoiding_conditions([&sixteen]);
    let Verdict::Found(case) = question.answer() else { panic!("there is such a case") };
    assert_eq!(case.iter().filter(|cell| **cell == 1).count(), 15);
    // Not one of them is out of reach of the other fourteen, and sixteen are never fewer than fifteen.
    let backwards = Question::new(&space).speaking_of(conditions).meeting(&sixteen).avoiding_conditions([&fifteen]);
    assert_eq!(backwards.answer(), Verdict::None(vec![0]));
}

#[test]
fn a_count_beyond_all_cells_is_not_decided() {
    let space = Space::new(vec![2; 300]);
    let atoms: Vec<Atom> =
        (0..300).map(|variable| Atom { variables: vec![(variable, 1)], answers: vec![Answer::Opposite, Answer::Met] }).collect();
    let half = Node::AtLeast(150, (0..300).map(Node::Met).collect());
    let conditions = Conditions { atoms: &atoms, holds: &[], written: None };
    assert_eq!(Question::new(&space).speaking_of(conditions).meeting(&half).answer(), Verdict::Undecided);
}
