//! Counsels that ask for sums, where nothing but what they ask has changed, against going through all cases of both rulebooks.

use super::differences::Key;
use super::pair::Pair;
use super::{contradictions, pairs, said};
use crate::random::dice::Dice;
use crate::random::rulebook::small;

/// What may be asked of sums instead of something else.
const ASKED: [&str; 6] = [
    "total cost is above 60 USD",
    "total cost is above 90 USD",
    "total cost is at most 120 USD",
    "total tier is pocket",
    "total tier is at least bench",
    "total cost is above 60 USD and total tier is bench",
];

/// A text with a counsel that asks for a sum, and the same where it asks something else, or the same in other words; and
/// whether it is the same.
fn texts(number: u64) -> (String, String, bool) {
    let mut dice = Dice::new(number ^ 1 << 45);
    let asked = ASKED[dice.below(ASKED.len())];
    let kind = ["violin", "viola", "cello"][dice.below(3)];
    let of = |when: &str| {
        let counsel = "counsel dear \"Dear\"\n  when ";
        format!("{}{counsel}{when}\n  tell \"Ask.\"\n  basis \"common practice\"\n", small(number))
    };
    let same = [
        format!("not (not ({asked}))"),
        format!("({asked}) and instrument.kind is one of violin, viola, cello"),
        format!("({asked}) or (({asked}) and instrument.kind is {kind})"),
    ];
    let other = [
        ASKED[dice.below(ASKED.len())].to_owned(),
        format!("({asked}) and instrument.kind is {kind}"),
        format!("({asked}) or instrument.kind is {kind}"),
    ];
    let alike = dice.chance(40);
    let now = if alike { &same } else { &other };
    let now = &now[dice.below(now.len())];
    (of(asked), of(now), alike || now == asked)
}

#[test]
fn what_a_counsel_asks_of_sums_is_proved_the_same_or_shown_to_differ() {
    let (mut weighed, mut alike, mut proved, mut differ, mut missed) = (0_u64, 0, 0, 0, 0);
    let mut wrong = Vec::new();
    for number in 0..pairs() * 2 {
        if weighed >= pairs() / 3 {
            break;
        }
        let (old, new, same) = texts(number);
        let Some(Pair { shown, view, more_places, .. }) = Pair::of(&old, &new) else { continue };
        weighed += 1;
        let known = said(&view);
        let of = |(name, _): &&Key| name == "the counsel dear";
        alike += usize::from(same);
        proved += usize::from(same && known.keys().all(|key| !of(&key)));
        let differs = shown.ways.iter().any(|key| of(&key));
        differ += usize::from(differs);
        missed += usize::from(differs && !known.iter().any(|(key, known)| of(&key) && *known == "can"));
        let contradictions = contradictions(&view, &shown, more_places);
        if !contradictions.is_empty() || (same && differs) {
            wrong.push(format!("pair {number}\n{}\n\n{old}\n----\n{new}", contradictions.join("\n")));
        }
    }
    println!(
        "{weighed} pairs; of {alike} that ask the same {proved} are proved; of {differ} that differ in a case {missed} are not shown"
    );
    assert!(wrong.is_empty(), "{} of {weighed} contradict\n{}", wrong.len(), wrong[..wrong.len().min(3)].join("\n--------\n"));
    assert!(alike > 20 && proved * 10 > alike * 9, "{proved} of {alike}");
    assert!(differ > 20 && missed * 4 < differ, "{missed} of {differ} are not shown");
}
