//! How two books about the same looks differ in their cases: every way in which some case comes out differently.

use std::collections::{BTreeMap, BTreeSet};

use purfle_lang::book::{Book, StepId};

use crate::by_cases::case::{Case, Holding, Place};
use crate::by_cases::figures::{Figures, apart};
use crate::by_cases::lines::Cuts;
use crate::by_cases::price::Price;
use crate::by_cases::scene::{Scene, scenes_of};
use crate::by_cases::walk::all_read;
use crate::proved::facts::records;

/// A finding, or `the` and a figure, and a way in which it differs.
pub type Key = (String, String);

/// What the cases show.
pub struct Differences {
    /// Whether they stand for all there are.
    pub complete: bool,
    /// Ways in which some case differs.
    pub ways: BTreeSet<Key>,
}

/// Whether the cases are asked about a way at all: days are not, tiers are as fine as what is printed, and what a counsel asks
/// of a sum may be so between its ends alone.
pub fn gone_through((name, way): &Key) -> bool {
    let of_a_sum = name.starts_with("the counsel") && way == "another";
    !of_a_sum && !matches!(name.as_str(), "the due" | "the tier")
}

/// Goes through all cases of both; none where they are too many.
pub fn differences(old: &Book, new: &Book, most: usize) -> Option<Differences> {
    let cuts = Cuts::of(old, None).with(Cuts::of(new, None));
    let read: Vec<bool> = all_read(old).into_iter().zip(all_read(new)).map(|(one, other)| one || other).collect();
    let scenes: Vec<Scene> = records(old).iter().flat_map(|record| scenes_of(old, record, &cuts, &read)).collect();
    let all = scenes.iter().try_fold(0_usize, |sum, scene| sum.checked_add(scene.cases()?))?;
    if all > most {
        return None;
    }
    let complete = cuts.complete && !cuts.any_linked() && !cuts.fluid_cost;
    let mut differences = Differences { complete, ways: BTreeSet::new() };
    for scene in &scenes {
        for number in 0..scene.cases()? {
            let answers = scene.answers(number);
            let case = |book| Case::new(book, scene, answers.clone(), None);
            differences.see(&case(old), &case(new));
        }
    }
    Some(differences)
}

impl Differences {
    fn add(&mut self, name: &str, way: &str) {
        self.ways.insert((name.to_owned(), way.to_owned()));
    }

    fn see(&mut self, old: &Case<'_>, new: &Case<'_>) {
        let (before, after) = (Figures::of(old, None), Figures::of(new, None));
        self.findings((old, &before.holding), (new, &after.holding));
        self.whole(old.book, new.book, &before, &after);
    }

    fn findings(&mut self, (old, before): (&Case<'_>, &[Holding]), (new, after): (&Case<'_>, &[Holding])) {
        let places = |case: &Case<'_>, holding: &[Holding]| {
            let mut all: BTreeMap<String, Vec<(Place, StepId)>> = BTreeMap::new();
            for one in holding {
                all.entry(case.book[one.finding].name.clone()).or_default().push((one.place, one.step));
            }
            all
        };
        let (was, now) = (places(old, before), places(new, after));
        let names: BTreeSet<&String> = was.keys().chain(now.keys()).collect();
        for name in names {
            let nothing = Vec::new();
            let (there, here) = (was.get(name).unwrap_or(&nothing), now.get(name).unwrap_or(&nothing));
            let judged = |book: &Book| book.find_finding(name).map(|id| (book[id].on, book[id].each));
            // Where they are not judged at the same places, any place counts.
            let placed = judged(old.book) == judged(new.book) || judged(old.book).is_none() || judged(new.book).is_none();
            if !placed {
                self.anywhere(name, (old, there), (new, here));
                continue;
            }
            for (place, step) in here {
                match there.iter().find(|(other, _)| other == place) {
                    None => self.add(name, "newly-found"),
                    Some((_, before)) => {
                        self.steps(name, *before, *step);
                        self.priced(name, (old, *place), (new, *place));
                    }
                }
            }
            if there.iter().any(|(place, _)| here.iter().all(|(other, _)| other != place)) {
                self.add(name, "no-longer-found");
            }
        }
    }

    fn anywhere(&mut self, name: &str, old: (&Case<'_>, &[(Place, StepId)]), new: (&Case<'_>, &[(Place, StepId)])) {
        let highest = |all: &[(Place, StepId)]| all.iter().map(|(_, step)| *step).max();
        match (highest(old.1), highest(new.1)) {
            (None, Some(_)) => self.add(name, "newly-found"),
            (Some(_), None) => self.add(name, "no-longer-found"),
            (Some(before), Some(after)) => {
                self.steps(name, before, after);
                for (was, _) in old.1 {
                    new.1.iter().for_each(|(now, _)| self.priced(name, (old.0, *was), (new.0, *now)));
                }
            }
            (None, None) => {}
        }
    }

    fn steps(&mut self, name: &str, before: StepId, after: StepId) {
        if after > before {
            self.add(name, "graver");
        }
        if after < before {
            self.add(name, "milder");
        }
    }

    fn priced(&mut self, name: &str, (old, here): (&Case<'_>, Place), (new, there): (&Case<'_>, Place)) {
        let (Some(before), Some(after)) = (old.book.find_finding(name), new.book.find_finding(name)) else { return };
        let hands = |book: &Book, id: usize| book.hands[book.findings[id].counted_hands().index()].name.clone();
        if hands(old.book, before.index()) != hands(new.book, after.index()) {
            self.add(name, "other-hands");
        }
        let (was, now) = (old.price(&[(before, here)], true), new.price(&[(after, there)], true));
        if was.and_more != now.and_more {
            self.add(name, "on-sight");
        } else {
            self.sums(name, &was, &now);
        }
    }

    fn sums(&mut self, name: &str, was: &Price, now: &Price) {
        if now.low > was.low || now.high > was.high {
            self.add(name, "dearer");
        }
        if now.low < was.low || now.high < was.high {
            self.add(name, "cheaper");
        }
    }

    fn whole(&mut self, old: &Book, new: &Book, before: &Figures, after: &Figures) {
        self.steps("the urgency", before.urgency, after.urgency);
        if after.hands > before.hands {
            self.add("the hands", "more-skilled");
        }
        if after.hands < before.hands {
            self.add("the hands", "less-skilled");
        }
        let names = std::iter::once("the played".to_owned())
            .chain(apart(old).into_iter().map(|part| format!("the played {}", old[part].name)));
        for (at, name) in names.enumerate() {
            match (before.played[at], after.played[at]) {
                (true, false) => self.add(&name, "forbidden"),
                (false, true) => self.add(&name, "allowed"),
                _ => {}
            }
        }
        self.sums("the cost", &before.cost, &after.cost);
        self.sums("the left", &before.left, &after.left);
        for (at, counsel) in old.counsels.iter().enumerate() {
            let Some(to) = new.counsels.iter().position(|other| other.name == counsel.name) else {
                self.counsel(&counsel.name, before.counsel[at], (false, false));
                continue;
            };
            self.counsel(&counsel.name, before.counsel[at], after.counsel[to]);
        }
        for (at, counsel) in new.counsels.iter().enumerate() {
            if old.counsels.iter().all(|other| other.name != counsel.name) {
                self.counsel(&counsel.name, (false, false), after.counsel[at]);
            }
        }
        let says = |figures: &Figures, book: &Book, name: &str| {
            let at = book.aids.iter().position(|aid| aid.name == name)?;
            let said = &figures.aid[at];
            Some((said.pays, said.low, said.high))
        };
        let aids: BTreeSet<&String> = old.aids.iter().chain(&new.aids).map(|aid| &aid.name).collect();
        for name in aids {
            if says(before, old, name) != says(after, new, name) {
                self.add(&format!("the aid {name}"), "another");
            }
        }
    }

    /// A counsel counts as met where it is at both ends of the total.
    fn counsel(&mut self, name: &str, before: (bool, bool), after: (bool, bool)) {
        let met = |(low, high): (bool, bool)| low && high;
        match (met(before), met(after)) {
            (false, true) => self.add(&format!("the counsel {name}"), "newly-met"),
            (true, false) => self.add(&format!("the counsel {name}"), "no-longer-met"),
            _ if before != after => self.add(&format!("the counsel {name}"), "another"),
            _ => {}
        }
    }
}
