//! Looks and parts that apply in other cases by the one rulebook than by the other, against going through all cases of both.

use purfle_lang::book::Part;

use super::pair::Pair;
use super::{contradictions, edits, pairs};
use crate::random::dice::Dice;
use crate::random::rulebook::small;

/// What says when something applies.
const WHEN: [&str; 4] = [
    "instrument.kind is violin",
    "instrument.kind is not viola",
    "instrument.kind is one of viola, cello",
    "instrument.kind is cello",
];

/// A text, and the same where a part or a look of it applies in other cases; now and then with another small edit.
pub(super) fn texts(number: u64) -> (String, String) {
    let old = small(number);
    let mut dice = Dice::new(number ^ 1 << 44);
    let mut lines: Vec<String> = old.lines().map(str::to_owned).collect();
    let said: Vec<usize> = (0..lines.len()).filter(|at| lines[*at].trim_start().starts_with("only when ")).collect();
    // Below the line that says what a look takes; those of the instrument decide when others apply.
    let first = lines.iter().position(|line| line.starts_with("part ")).unwrap_or(lines.len());
    let looks: Vec<usize> = (first..lines.len()).filter(|at| lines[*at].starts_with("  look ")).collect();
    // What chooses the rows of tables may itself not apply.
    let kind = lines.iter().position(|line| line.starts_with("  look kind ")).filter(|_| number.is_multiple_of(4));
    let strung = old.contains("  look strung ");
    let places: Vec<usize> = (first..lines.len()).filter(|at| lines[*at].starts_with("  place ")).collect();
    match (dice.pick(&said), dice.below(3)) {
        _ if number.is_multiple_of(5) && !places.is_empty() => {
            let at = places[dice.below(places.len())];
            if lines.get(at + 1).is_some_and(|below| below.starts_with("    only when ")) {
                lines.remove(at + 1);
            } else {
                lines.insert(at + 1, format!("    only when {}", WHEN[dice.below(WHEN.len())]));
            }
        }
        _ if kind.is_some() && strung => {
            lines.insert(
                kind.unwrap_or_default() + 2,
                ["    only when strung", "    only when strung is no"][dice.below(2)].to_owned(),
            );
        }
        (Some(at), 0) => {
            lines.remove(*at);
        }
        (Some(at), 1) => {
            let indent = lines[*at].len() - lines[*at].trim_start().len();
            lines[*at] = format!("{}only when {}", " ".repeat(indent), WHEN[dice.below(WHEN.len())]);
        }
        _ => {
            if let Some(at) = dice.pick(&looks) {
                lines.insert(at + 2, format!("    only when {}", WHEN[dice.below(WHEN.len())]));
            }
        }
    }
    let new = lines.join("\n") + "\n";
    if number.is_multiple_of(3) { (old, edits::edited(new, number).1) } else { (old, new) }
}

#[test]
fn what_applies_in_other_cases_is_one_look_all_the_same() {
    let (mut weighed, mut apart, mut differ, mut missed) = (0_u64, 0_u64, 0, 0);
    let (mut rows, mut places) = (0, 0);
    let mut wrong = Vec::new();
    for number in 0..pairs() * 2 {
        if weighed >= pairs() / 2 {
            break;
        }
        let (old, new) = texts(number);
        if old == new {
            continue;
        }
        let Some(pair) = Pair::of(&old, &new) else { continue };
        let Pair { shown, view, more_places, .. } = &pair;
        weighed += 1;
        apart += u64::from(!view.apart.is_empty());
        rows += usize::from(view.applies.iter().any(|look| look == "instrument.kind"));
        places += usize::from(pair.before.parts.iter().zip(&pair.after.parts).any(|(was, now)| {
            let there = |part: &Part| part.fixed_places().iter().filter(|place| place.only_when.is_some()).count();
            was.only_when.is_some() == now.only_when.is_some() && there(was) != there(now)
        }));
        if let Some((all, not_said)) = pair.differing() {
            (differ, missed) = (differ + all, missed + not_said);
        }
        // A record that tells such a look says that it applies, and so more of other looks by the one than by the other: what
        // it leaves open then is not the same, and sums differ that no case tells apart.
        let mut contradictions = contradictions(view, shown, *more_places);
        contradictions.retain(|told| {
            (view.applies.is_empty() && view.apart.is_empty()) || !told.contains("is shown") || !told.starts_with("(\"the ")
        });
        if !contradictions.is_empty() {
            wrong.push(format!("pair {number}\n{}\n\n{old}\n----\n{new}", contradictions.join("\n")));
        }
    }
    println!(
        "{weighed} pairs, {apart} with looks taken for two, {rows} where what chooses rows applies in other cases, {places} where a place does; of {differ} ways that differ {missed} are not shown"
    );
    assert!(wrong.is_empty(), "{} of {weighed} contradict\n{}", wrong.len(), wrong[..wrong.len().min(3)].join("\n--------\n"));
    assert!(weighed > 80 && apart * 20 < weighed, "{apart} of {weighed} stay apart");
    assert!(rows > 10 && places > 5, "{rows} with rows, {places} with places");
    assert!(differ > 100 && missed * 8 < differ, "{missed} of {differ} are not shown");
}
