//! Conditions of any shape, over findings as well: met, and not met.

use biodivine_lib_bdd::Bdd;
use purfle_lang::finite::node::{Answer, Atom, Node};
use purfle_lang::search::{Conditions, Question, Space, Verdict};
use purfle_tests::dice::Dice;

use super::diagrams::Diagrams;

fn atom(dice: &mut Dice, space: &Space) -> Atom {
    let mut variables = Vec::new();
    let mut stride = 1;
    for _ in 0..[1, 1, 1, 2, 2, 3][dice.below(6)] {
        let variable = dice.below(space.variables()) as u32;
        if variables.iter().all(|(other, _)| *other != variable) {
            variables.push((variable, stride));
            stride *= space.whole(variable).count_ones();
        }
    }
    let met = dice.from(20, 70) as u64;
    let answer = |dice: &mut Dice| match (dice.chance(met), dice.chance(85)) {
        (true, _) => Answer::Met,
        (false, true) => Answer::Opposite,
        (false, false) => Answer::Neither,
    };
    Atom { variables, answers: (0..stride).map(|_| answer(dice)).collect() }
}

fn node(dice: &mut Dice, atoms: usize, findings: usize, depth: usize) -> Node {
    let inner = |dice: &mut Dice| {
        let count = dice.from(2, 6);
        (0..count).map(|_| node(dice, atoms, findings, depth - 1)).collect::<Vec<_>>()
    };
    match dice.below(if depth == 0 { 4 } else { 11 }) {
        0 if findings > 0 => Node::Holds(dice.below(findings) as u32),
        0..=2 => Node::Met(dice.below(atoms) as u32),
        3 => Node::Opposite(dice.below(atoms) as u32),
        4 | 5 => Node::All(inner(dice)),
        6 | 7 => Node::Any(inner(dice)),
        8 | 9 => Node::AtLeast(dice.from(2, 4) as u32, inner(dice)),
        _ => Node::Unmet(Box::new(node(dice, atoms, findings, depth - 1))),
    }
}

#[test]
fn conditions_are_met_together_where_the_diagrams_meet() {
    let mut dice = Dice::new(7);
    let (mut found, mut none) = (0, 0);
    for round in 0..60 {
        let variables = dice.from(8, 14) as usize;
        let space = Space::new((0..variables).map(|_| dice.from(2, 5) as usize).collect::<Vec<_>>());
        let atoms: Vec<Atom> = (0..20).map(|_| atom(&mut dice, &space)).collect();
        let mut holds = Vec::new();
        for earlier in 0..10 {
            holds.push(node(&mut dice, atoms.len(), earlier, 3));
        }
        let diagrams = Diagrams::new(&space);
        let mut drawn: Vec<Bdd> = Vec::new();
        for condition in &holds {
            drawn.push(diagrams.condition(condition, &atoms, &drawn));
        }
        let conditions = Conditions { atoms: &atoms, holds: &holds, written: None };
        for _ in 0..20 {
            let required: Vec<Node> = (0..dice.from(1, 3)).map(|_| Node::Holds(dice.below(10) as u32)).collect();
            let refused: Vec<Node> = (0..dice.from(0, 3)).map(|_| Node::Holds(dice.below(10) as u32)).collect();
            let mut left = diagrams.valid.clone();
            for node in &required {
                left = left.and(&diagrams.condition(node, &atoms, &drawn));
            }
            for node in &refused {
                left = left.and_not(&diagrams.condition(node, &atoms, &drawn));
            }
            let mut question = Question::new(&space).speaking_of(conditions).avoiding_conditions(&refused);
            for node in &required {
                question = question.meeting(node);
            }
            match question.answer() {
                Verdict::Found(case) => {
                    assert!(!left.is_false(), "round {round}: {required:?} but {refused:?}, and yet {case:?}");
                    assert!(question.answered_by(&case), "round {round}: {case:?}");
                    found += 1;
                }
                Verdict::None(_) => {
                    assert!(left.is_false(), "round {round}: {required:?} but {refused:?} there is");
                    none += 1;
                }
                Verdict::Undecided => panic!("round {round}: {required:?} but {refused:?} is not decided"),
            }
        }
    }
    assert!(found > 200 && none > 200, "{found} and {none}");
}
