//! Sets of rules: overlap, shadow, gap, and how many cases are left over.

use biodivine_lib_bdd::Bdd;
use purfle_lang::search::{CellSet, Overlaps, Question, Region, Space, Verdict, gaps};
use purfle_tests::dice::Dice;

use super::diagrams::Diagrams;

/// A side that leaves something out.
fn side(dice: &mut Dice, space: &Space) -> (u32, CellSet) {
    let variable = dice.below(space.variables()) as u32;
    let count = space.whole(variable).count_ones() as usize;
    let length = 1 + dice.below(count - 1);
    let run = !(CellSet::MAX << length) << dice.below(count - length + 1);
    (variable, if dice.chance(50) { run } else { run | 1 << dice.below(count - 1) })
}

fn looks(dice: &mut Dice, variables: usize) -> Space {
    Space::new((0..variables).map(|_| dice.from(2, 6) as usize).collect::<Vec<_>>())
}

/// The union of all before each, and after the last of all.
fn unions_before(diagrams: &Diagrams, rules: &[Bdd]) -> Vec<Bdd> {
    let mut unions = vec![diagrams.nothing()];
    for rule in rules {
        unions.push(unions[unions.len() - 1].or(rule));
    }
    unions
}

#[test]
fn overlap_shadow_and_gap_are_what_the_diagrams_say() {
    let mut dice = Dice::new(6);
    let (mut shadowed, mut open, mut pairs) = (0, 0, 0);
    for round in 0..16 {
        let variables = dice.from(8, 12) as usize;
        let space = looks(&mut dice, variables);
        let (rules, least, most) = [(60, 3, 5), (90, 2, 5), (120, 2, 4), (200, 3, 6)][round % 4];
        let boxes: Vec<Region> = (0..rules)
            .map(|_| {
                let mentioned = dice.from(least, most);
                Region::of((0..mentioned).map(|_| side(&mut dice, &space)).collect::<Vec<_>>())
            })
            .collect();
        let diagrams = Diagrams::new(&space);
        let drawn: Vec<Bdd> = boxes.iter().map(|region| diagrams.region(region)).collect();
        let before = unions_before(&diagrams, &drawn);
        let mut after = unions_before(&diagrams, &drawn.iter().rev().cloned().collect::<Vec<_>>());
        after.reverse();

        for (at, region) in boxes.iter().enumerate() {
            let others = || boxes.iter().enumerate().filter(move |(other, _)| *other != at);
            let alone = drawn[at].and_not(&before[at]).and_not(&after[at + 1]);
            match Question::new(&space).within(region).avoiding(others().map(|(_, other)| other)).answer_with_the_least() {
                Verdict::Found(case) => {
                    assert!(!alone.is_false(), "round {round}: rule {at} is covered, not alone at {case:?}");
                    assert!(region.has(&case) && !others().any(|(_, other)| other.has(&case)), "round {round}: rule {at}");
                }
                Verdict::None(needed) => {
                    assert!(alone.is_false(), "round {round}: rule {at} is not covered");
                    let covering = |but: usize| {
                        let numbers: Vec<usize> = others().map(|(other, _)| other).collect();
                        let kept = needed.iter().filter(|other| **other != but).map(|other| numbers[*other]);
                        kept.fold(diagrams.nothing(), |any, other| any.or(&drawn[other]))
                    };
                    assert!(drawn[at].and_not(&covering(usize::MAX)).is_false(), "round {round}: {needed:?} cover {at}");
                    for but in &needed {
                        assert!(!drawn[at].and_not(&covering(*but)).is_false(), "round {round}: {but} is needed for {at}");
                    }
                    shadowed += 1;
                }
                Verdict::Undecided => panic!("round {round}: rule {at} is not decided"),
            }
        }

        let overlaps = Overlaps::of(&space, &boxes);
        for one in 0..rules {
            for two in one + 1..rules {
                let common = !drawn[one].and(&drawn[two]).is_false();
                assert_eq!(overlaps.with(one).has(two), common, "round {round}: {one} and {two}");
                pairs += usize::from(common);
            }
        }

        let left = diagrams.valid.and_not(&before[rules]);
        let verdict = Question::new(&space).avoiding(&boxes).answer();
        assert_eq!(matches!(verdict, Verdict::Found(_)), !left.is_false(), "round {round}: {verdict:?}");
        let found = gaps(&space, &Region::everywhere(), &boxes, 200_000);
        let exact = left.exact_cardinality().to_string();
        if found.complete {
            assert_eq!(found.uncovered.to_string(), exact, "round {round}");
        } else {
            assert!(found.uncovered.to_string().len() <= exact.len(), "round {round}");
        }
        open += usize::from(!left.is_false() && found.complete);
    }
    assert!(shadowed > 100 && open >= 4 && pairs > 10_000, "{shadowed}, {open} and {pairs}");
}
