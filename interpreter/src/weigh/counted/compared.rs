//! What comes of one record by both rulebooks, held against each other.

use std::collections::{BTreeMap, BTreeSet};

use purfle_lang::book::{AidWord, Book, FindingId, HandId, PlayedWord, StateWord, StepId};
use purfle_lang::number::Number;

use super::super::replay::Books;
use super::super::view::MovedView;
use super::super::words::{self, figure};
use crate::judge::{Brief, Line};
use crate::outcome::{Range, Sum};
use crate::report::{aid_name, minor, money_range, place_name, played};

/// A sum as printed, in the minor unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Money {
    /// Least.
    pub from: i128,
    /// Greatest.
    pub to: i128,
    /// Whether its ends are bounds that are perhaps not reached.
    pub bound: bool,
    /// Whether there may be more to it, which is hidden or known only on sight.
    pub more: bool,
}

impl std::ops::AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.from += other.from;
        self.to += other.to;
        self.bound |= other.bound;
        self.more |= other.more;
    }
}

/// What is added up of one record by one rulebook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// How soon.
    pub urgency: Range<StepId>,
    /// What it costs, and what it costs if left.
    pub sums: [Money; 2],
    /// What each fund pays if it is the one that is asked, by its place among all: for certain, and at the most.
    pub funds: Vec<Money>,
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
    /// Whether the tiers of both are the same.
    same_tiers: bool,
    /// All funds by name, with their places in each.
    funds: Vec<Named>,
    /// All counsels by name, with their places in each.
    counsels: Vec<Named>,
}

/// A name, and its places in both.
type Named = (String, [Option<usize>; 2]);

/// All names of two lists: those of the old one in its order, then those that only the new one has.
fn named(lists: [Vec<&String>; 2]) -> Vec<Named> {
    let mut all: Vec<Named> = Vec::new();
    for (side, names) in lists.into_iter().enumerate() {
        for (at, name) in names.into_iter().enumerate() {
            let known = all.iter().position(|(known, _)| known == name).unwrap_or_else(|| {
                all.push((name.clone(), [None; 2]));
                all.len() - 1
            });
            all[known].1[side] = Some(at);
        }
    }
    all
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
        let tiers = |book: &Book| book.tiers.iter().map(|tier| tier.name.clone()).collect::<Vec<_>>();
        let funds = named([old, new].map(|book| book.aids.iter().map(|aid| &aid.name).collect()));
        let counsels = named([old, new].map(|book| book.counsels.iter().map(|counsel| &counsel.name).collect()));
        let same_tiers = tiers(old) == tiers(new);
        Self { books, findings: findings.collect(), same_ladders, same_tiers, funds, counsels }
    }

    /// The names of all funds of both, each with whether the old and the new rulebook have it.
    pub fn all_funds(&self) -> impl Iterator<Item = (&str, [bool; 2])> {
        self.funds.iter().map(|(name, at)| (name.as_str(), at.map(|at| at.is_some())))
    }

    /// The two books.
    pub fn books(&self) -> Books<'a> {
        self.books
    }

    /// What is added up of a brief by the old of the two, or by the new one.
    fn added(&self, new: bool, brief: &Brief) -> Added {
        let side = usize::from(new);
        let places = if new { self.books.new } else { self.books.old }.money.minor_places();
        let money = |from, to| Money { from: minor(from, places), to: minor(to, places), bound: false, more: false };
        let sum = |sum: &Sum| Money { bound: !sum.exact, more: sum.or_more || sum.and_more, ..money(sum.from, sum.to) };
        let fund = |(_, at): &Named| {
            let pays = at[side].and_then(|at| brief.funds.get(at));
            pays.map_or_else(Money::default, |(_, pays)| money(pays.from, pays.to))
        };
        let funds = self.funds.iter().map(fund).collect();
        Added { urgency: brief.urgency, sums: [sum(&brief.cost), sum(&brief.left)], funds }
    }

    /// A record that comes out the same by both.
    pub fn unmoved(&self, brief: &Brief) -> Compared {
        let (was, now) = (self.added(false, brief), self.added(false, brief));
        Compared { was, now, moved: None }
    }

    /// One record by both.
    pub fn compared(&self, record: &str, tag: Option<&str>, old: &Brief, new: &Brief) -> Compared {
        let moved = if self.plainly_same(old, new) { None } else { self.moved(record, tag, old, new) };
        Compared { was: self.added(false, old), now: self.added(true, new), moved }
    }

    /// What funds of one name say by each, and pay in the minor unit, where that is not the same. A fund that there is not
    /// is for nobody.
    fn funds<'b>(&'b self, old: &'b Brief, new: &'b Brief) -> impl Iterator<Item = (&'b str, [Option<Says>; 2])> {
        let Books { old: before, new: after } = self.books;
        self.funds.iter().filter_map(move |(name, at)| {
            let says = |book: &Book, brief: &Brief, at: Option<usize>| {
                let (state, pays) = *brief.funds.get(at?)?;
                let places = book.money.minor_places();
                Some(Says { state, pays: [minor(pays.from, places), minor(pays.to, places)], pay: pays })
            };
            let (was, now) = (says(before, old, at[0]), says(after, new, at[1]));
            let counts = |says: Option<Says>| {
                says.filter(|says| says.state != AidWord::Refused).map(|Says { state, pays, .. }| (state, pays))
            };
            let same = counts(was) == counts(now) && (counts(was).is_none() || before.money == after.money);
            (!same).then_some((name.as_str(), [was, now]))
        })
    }

    /// Counsels that are not as by the other: which, and how they stand by each.
    fn counsels<'b>(
        &'b self,
        old: &'b Brief,
        new: &'b Brief,
    ) -> impl Iterator<Item = (&'b str, Option<StateWord>, Option<StateWord>)> {
        self.counsels.iter().filter_map(|(name, [was, now])| {
            let state = |brief: &Brief, at: Option<usize>| {
                let at = at?;
                brief.counsels.iter().find(|(id, _)| id.index() == at).map(|(_, state)| *state)
            };
            let (was, now) = (state(old, *was), state(new, *now));
            (was != now).then_some((name.as_str(), was, now))
        })
    }

    /// Pieces that stand apart and may not be used alike by both: which, and how by each.
    fn apart(&self, old: &Brief, new: &Brief) -> Vec<(String, PlayedWord, PlayedWord)> {
        if old.apart.is_empty() && new.apart.is_empty() {
            return Vec::new();
        }
        let said = |book: &Book, brief: &Brief| -> BTreeMap<String, PlayedWord> {
            brief.apart.iter().map(|(part, word)| (book[*part].name.clone(), *word)).collect()
        };
        let (before, after) = (said(self.books.old, old), said(self.books.new, new));
        let names: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
        let word = |all: &BTreeMap<String, PlayedWord>, name: &String| all.get(name).copied().unwrap_or(PlayedWord::Yes);
        let each = names.into_iter().map(|name| (name.clone(), word(&before, name), word(&after, name)));
        each.filter(|(_, was, now)| was != now).collect()
    }

    /// Whether nothing but sums can differ; what this says no to is gone through name by name.
    fn plainly_same(&self, old: &Brief, new: &Brief) -> bool {
        let told = |line: &&Line| line.state != StateWord::Open;
        let (mut before, after) = (old.findings.iter().filter(told), new.findings.iter().filter(told));
        self.same_ladders
            && self.same_tiers
            && self.funds(old, new).next().is_none()
            && self.counsels(old, new).next().is_none()
            && self.apart(old, new).is_empty()
            && (old.urgency, old.played, old.hands) == (new.urgency, new.played, new.hands)
            && (old.due, old.again, old.tiers) == (new.due, new.again, new.tiers)
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
        for (part, was, now) in self.apart(old, new) {
            what.push(format!("whether the {part} may be used: was {}, now {}", played(was), played(now)));
        }
        // Another step mostly has another day.
        let same_step = what.iter().all(|line| !line.starts_with("how soon"));
        let (was, now) = (figure::day(old.due, old.again), figure::day(new.due, new.again));
        if same_step && was != now || old.again != new.again {
            what.push(format!("by which day: was {was}, now {now}"));
        }
        let (was, now) = (figure::tiers(self.books.old, old.tiers), figure::tiers(self.books.new, new.tiers));
        if was != now {
            what.push(format!("tier: was {was}, now {now}"));
        }
        for (counsel, was, now) in self.counsels(old, new) {
            what.push(format!("counsel {counsel}: was {}, now {}", figure::counsel(was), figure::counsel(now)));
        }
        for (fund, [was, now]) in self.funds(old, new) {
            let says = |book: &Book, says: Says| match says.state {
                AidWord::Refused => aid_name(says.state).to_owned(),
                _ => format!("{}, pays {}", aid_name(says.state), money_range(book, says.pay.from, says.pay.to)),
            };
            let was = was.map_or("there was no such fund".to_owned(), |was| format!("was {}", says(self.books.old, was)));
            let now = now.map_or("there is no such fund any more".to_owned(), |now| format!("now {}", says(self.books.new, now)));
            what.push(format!("fund {fund}: {was}; {now}"));
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

/// What a fund says.
#[derive(Clone, Copy)]
struct Says {
    state: AidWord,
    /// What it pays, in the minor unit.
    pays: [i128; 2],
    /// The same as exact fractions of the major unit.
    pay: Range<Number>,
}

fn hands(book: &Book, Range { from, to }: Range<Option<HandId>>) -> String {
    let name = |hand: Option<HandId>| hand.map_or("none", |hand| book[hand].name.as_str());
    if from == to { name(from).to_owned() } else { format!("{} to {}", name(from), name(to)) }
}
