//! Findings that hold only with a choice that one book alone has, against going through all cases of the book that has it.

use std::collections::{BTreeMap, BTreeSet};

use purfle_lang::book::Book;

use super::pair::{more_places, sound};
use super::{pairs, weigh};
use crate::by_cases::case::{Case, Place};
use crate::by_cases::lines::Cuts;
use crate::by_cases::samples::Answer;
use crate::by_cases::scene::{Scene, Slot, scenes_of};
use crate::by_cases::walk::all_read;
use crate::proved::facts::records;
use crate::random::dice::Dice;
use crate::random::rulebook::small;
use crate::written::{book, brings};

const MOST_CASES: usize = 3_000;

/// The choice that one of the two alone has.
const CHOICE: &str = "harp";

/// A random text; the same with one more kind of instrument; and that again where some findings hold with it as well.
fn texts(number: u64) -> Option<(String, String, String)> {
    let old = small(number);
    let with_choice = old.replacen("one of violin, viola, cello", &format!("one of violin, viola, cello, {CHOICE}"), 1);
    if with_choice == old {
        return None;
    }
    let mut dice = Dice::new(number ^ 1 << 43);
    let lines = with_choice.lines().map(|line| match line.strip_prefix("  signs ") {
        Some(signs) if dice.chance(50) => match dice.below(3) {
            0 => format!("  signs ({signs}) or instrument.kind is {CHOICE}"),
            1 => format!("  signs ({signs}) or (instrument.kind is {CHOICE} and instrument.kind is not violin)"),
            _ => format!("  signs ({signs}) and instrument.kind is {CHOICE}"),
        },
        _ => line.to_owned(),
    });
    let new = lines.collect::<Vec<_>>().join("\n") + "\n";
    Some((old, with_choice, new))
}

/// The findings that hold in some case where they do not by the words of the other: with that choice, and without.
fn gained(words: &Book, new: &Book) -> Option<[BTreeSet<String>; 2]> {
    let cuts = Cuts::of(words, None).with(Cuts::of(new, None));
    let read: Vec<bool> = all_read(words).into_iter().zip(all_read(new)).map(|(one, other)| one || other).collect();
    let scenes: Vec<Scene> = records(new).iter().flat_map(|record| scenes_of(new, record, &cuts, &read)).collect();
    let all = scenes.iter().try_fold(0_usize, |sum, scene| sum.checked_add(scene.cases()?))?;
    if all > MOST_CASES || !cuts.complete || cuts.any_linked() {
        return None;
    }
    let kind = new.find_look(new.find_part("instrument")?, "kind")?;
    let choice = new[kind].choices().iter().position(|choice| choice.name == CHOICE)?;
    let mut found = [BTreeSet::new(), BTreeSet::new()];
    for scene in &scenes {
        for number in 0..scene.cases()? {
            let answers = scene.answers(number);
            let chosen = |(slot, answer): (&Slot, &Answer)| slot.look == kind && *answer == Answer::Choice(choice);
            let has = scene.slots.iter().zip(&answers).any(chosen);
            let holding = |book: &Book| -> BTreeMap<String, Vec<Place>> {
                let mut all: BTreeMap<String, Vec<Place>> = BTreeMap::new();
                for one in Case::new(book, scene, answers.clone(), None).holding() {
                    all.entry(book[one.finding].name.clone()).or_default().push(one.place);
                }
                all
            };
            let (before, after) = (holding(words), holding(new));
            for (name, places) in after {
                let there = before.get(&name).map(Vec::as_slice).unwrap_or_default();
                if places.iter().any(|place| !there.contains(place)) {
                    found[usize::from(!has)].insert(name);
                }
            }
        }
    }
    Some(found)
}

#[test]
fn a_finding_that_holds_only_with_a_choice_of_one_book_is_shown_with_that_choice() {
    let (mut weighed, mut shown, mut turned) = (0, 0, 0);
    for number in 0..pairs() * 3 {
        if weighed >= pairs() / 3 {
            break;
        }
        let Some((old, with_choice, new)) = texts(number) else { continue };
        if !sound(&[&old, &with_choice, &new]) {
            continue;
        }
        let (before, words, after) = (book(&old), book(&with_choice), book(&new));
        if brings(&new) || more_places(&before) {
            continue;
        }
        let Some([with, without]) = gained(&words, &after) else { continue };
        weighed += 1;
        for (one, other, way) in [(&before, &after, "newly-found"), (&after, &before, "no-longer-found")] {
            let view = weigh(one, other);
            let differs = |name: &str| {
                let ways = view.findings.iter().filter(|finding| finding.finding == name).flat_map(|finding| &finding.ways);
                ways.into_iter().any(|known| known.way == way && known.known == "can")
            };
            let told: BTreeSet<String> = view
                .looks
                .iter()
                .flat_map(|look| &look.findings)
                .inspect(|finding| assert_eq!(finding.way.way, way))
                .filter(|finding| finding.way.known == "can")
                .map(|finding| finding.finding.clone())
                .collect();
            let wanted: BTreeSet<String> = with.iter().filter(|name| !differs(name)).cloned().collect();
            assert_eq!(told, wanted, "pair {number}, {way}\n{old}\n----\n{new}");
            for name in &without {
                assert!(differs(name), "{name} is {way} without {CHOICE}\n{old}\n----\n{new}");
            }
            shown += told.len();
            turned += usize::from(way == "no-longer-found") * told.len();
            let of_kind = view.looks.iter().filter(|look| look.look == "instrument.kind").flat_map(|look| &look.findings);
            assert_eq!(of_kind.count(), view.looks.iter().map(|look| look.findings.len()).sum::<usize>(), "{new}");
        }
    }
    println!("{weighed} pairs, {shown} findings shown only with the choice, {turned} of them dropped");
    assert!(shown > 20 && weighed > 40, "{shown} of {weighed}");
}
