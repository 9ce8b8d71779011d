//! What comes of one record by both rulebooks, held against each other.

use std::collections::BTreeMap;

use purfle_lang::book::{AidWord, Book, FindingId, HandId, StateWord, StepId};

use super::super::replay::Books;
use super::super::view::MovedView;
use super::super::words;
use crate::judge::{Brief, Line};
use crate::outcome::Range;

use crate::report::{aid_name, minor, place_name, played};

/// A sum as printed, in the minor unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Money {
    /// Least.
    pub from: i128,
    /// Greatest.
    pub to: i128,
}

impl std::ops::AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.from += other.from;
        self.to += other.to;
    }
}

/// What is added up of one record by one rulebook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Added {
    /// How soon.
    pub urgency: Range<StepId>,
    /// What it costs, what it costs if left, and what funds pay: for certain, and at the most.
    pub sums: [Money; 3],
}

/// One record by both.
#[derive(Debug)]
pub struct Compared {
    /// By the old rulebook.
    pub was: Added,
    /// By the new one.
    pub now: Added,
    /// What moved; none where nothing did.
    pub moved: Option<MovedView>,
}

/// What of two rulebooks bears the same name.
pub struct Names<'a> {
    books: Books<'a>,
    /// The finding of each of the new book's in the old one, where that is judged at the same places.
    findings: Vec<Option<FindingId>>,
    /// Whether the steps and the hands of both bear the same names in the same order.
    same_ladders: bool,
    /// All funds by name, with their places in each.
    funds: Vec<(String, [Option<usize>; 2])>,
}

impl<'a> Names<'a> {
    /// Of these two.
    pub fn new(books: Books<'a>) -> Self {
        let Books { old, new } = books;
        let places = |book: &Book, id: FindingId| {
            let part = &book[book[id].on];
            let places: Vec<String> = part.fixed_places().iter().map(|place| place.name.clone()).collect();
            (book[id].each, part.repeats(), places)
        };
        let findings = (0..new.findings.len()).map(FindingId::from_index).map(|id| {
            let there = old.find_finding(&new[id].name)?;
            (places(old, there) == places(new, id)).then_some(there)
        });
        let steps = |book: &Book| book.steps.iter().map(|step| step.name.clone()).collect::<Vec<_>>();
        let hands = |book: &Book| book.hands.iter().map(|hand| hand.name.clone()).collect::<Vec<_>>();
        let same_ladders = steps(old) == steps(new) && hands(old) == hands(new);
        let mut funds: Vec<(String, [Option<usize>; 2])> = Vec::new();
        for (side, book) in [old, new].into_iter().enumerate() {
            for (at, aid) in book.aids.iter().enumerate() {
                let known = funds.iter().position(|(name, _)| *name == aid.name).unwrap_or_else(|| {
                    funds.push((aid.name.clone(), [None; 2]));
                    funds.len() - 1
                });
                funds[known].1[side] = Some(at);
            }
        }
        Self { books, findings: findings.collect(), same_ladders, funds }
    }

    /// The two books.
    pub fn books(&self) -> Books<'a> {
        self.books
    }

    /// What is added up of a brief by one of the two.
    pub fn added(&self, book: &Book, brief: &Brief) -> Added {
        let places = book.money.minor_places();
        let money = |from, to| Money { from: minor(from, places), to: minor(to, places) };
        let mut aid = Money::default();
        brief.funds.iter().for_each(|(_, pays)| aid += money(pays.from, pays.to));
        let sums = [money(brief.cost.from, brief.cost.to), money(brief.left.from, brief.left.to), aid];
        Added { urgency: brief.urgency, sums }
    }

    /// A record that comes out the same by both.
    pub fn unmoved(&self, brief: &Brief) -> Compared {
        let was = self.added(self.books.old, brief);
        Compared { was, now: was, moved: None }
    }

    /// One record by both.
    pub fn compared(&self, record: &str, tag: Option<&str>, old: &Brief, new: &Brief) -> Compared {
        let moved = if self.plainly_same(old, new) { None } else { self.moved(record, tag, old, new) };
        Compared { was: self.added(self.books.old, old), now: self.added(self.books.new, new), moved }
    }

    /// What funds of one name say by each, where they do not say the same: which, before, and after. One that there is not is
    /// for nobody.
    fn funds<'b>(&'b self, old: &'b Brief, new: &'b Brief) -> impl Iterator<Item = (&'b str, AidWord, AidWord)> {
        self.funds.iter().filter_map(|(name, [was, now])| {
            let says = |brief: &Brief, at: &Option<usize>| {
                at.and_then(|at| brief.funds.get(at)).map_or(AidWord::Refused, |(state, _)| *state)
            };
            let (was, now) = (says(old, was), says(new, now));
            (was != now).then_some((name.as_str(), was, now))
        })
    }

    /// Whether nothing but sums can differ; what this says no to is gone through name by name.
    fn plainly_same(&self, old: &Brief, new: &Brief) -> bool {
        let told = |line: &&Line| line.state != StateWord::Open;
        let (mut before, after) = (old.findings.iter().filter(told), new.findings.iter().filter(told));
        self.same_ladders
            && self.funds(old, new).next().is_none()
            && (old.urgency, old.played, old.hands) == (new.urgency, new.played, new.hands)
            && old.findings.iter().filter(told).count() == new.findings.iter().filter(told).count()
            && after.into_iter().all(|line| {
                let there = self.findings.get(line.finding.index()).copied().flatten();
                let Some(finding) = there else { return false };
                let same = Line { finding, ..*line };
                // Mostly in the same order.
                before.next() == Some(&same) || old.findings.contains(&same)
            })
    }

    fn moved(&self, record: &str, tag: Option<&str>, old: &Brief, new: &Brief) -> Option<MovedView> {
        let mut what = Vec::new();
        let (was, now) = (words::steps(self.books.old, old.urgency), words::steps(self.books.new, new.urgency));
        if was != now {
            what.push(format!("how soon: was {was}, now {now}"));
        }
        if old.played != new.played {
            what.push(format!("played: was {}, now {}", played(old.played), played(new.played)));
        }
        let (was, now) = (hands(self.books.old, old.hands), hands(self.books.new, new.hands));
        if was != now {
            what.push(format!("hands: was {was}, now {now}"));
        }
        for (fund, was, now) in self.funds(old, new) {
            what.push(format!("fund {fund}: was {}, now {}", aid_name(was), aid_name(now)));
        }
        let because = self.because(old, new);
        let stays = what.is_empty() && because.is_empty();
        (!stays).then(|| MovedView { record: record.to_owned(), tag: tag.map(str::to_owned), what, because })
    }

    /// The findings that came out differently.
    fn because(&self, old: &Brief, new: &Brief) -> Vec<String> {
        let named = |book: &Book, line: &Line| {
            let finding = &book[line.finding];
            let place = place_name(book, finding.on, line.at).map_or(String::new(), |place| format!(" at {place}"));
            format!("{}{place}", finding.name)
        };
        let said = |book: &Book, brief: &Brief| -> BTreeMap<String, (StateWord, String)> {
            let told = brief.findings.iter().filter(|line| line.state != StateWord::Open);
            told.map(|line| (named(book, line), (line.state, words::steps(book, line.urgency)))).collect()
        };
        let (before, after) = (said(self.books.old, old), said(self.books.new, new));
        let word = |state: StateWord| if state == StateWord::Found { "found" } else { "suspected" };
        let mut because = Vec::new();
        for (name, (state, steps)) in &after {
            match before.get(name) {
                None => because.push(format!("{name} is {} now ({steps})", word(*state))),
                Some((was, _)) if was != state => because.push(format!("{name} was {}, and is {} now", word(*was), word(*state))),
                Some((_, was)) if was != steps => because.push(format!("{name}: was {was}, now {steps}")),
                Some(_) => {}
            }
        }
        for (name, (state, steps)) in before.iter().filter(|(name, _)| !after.contains_key(*name)) {
            because.push(format!("{name} was {} ({steps}), and is no longer", word(*state)));
        }
        because
    }
}

fn hands(book: &Book, Range { from, to }: Range<Option<HandId>>) -> String {
    let name = |hand: Option<HandId>| hand.map_or("none", |hand| book[hand].name.as_str());
    if from == to { name(from).to_owned() } else { format!("{} to {}", name(from), name(to)) }
}
