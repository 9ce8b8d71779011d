//! The few figures of an outcome that the batch page is made from.

use purfle_lang::book::{Book, FindingId, HandId, PartId, PlayedWord, StateWord, StepId};
use purfle_lang::unit::Currency;

use super::figures::{minor, pointed};
use crate::outcome::{Outcome, Range, Sum};
use crate::record::Record;

/// What the batch page knows of one record.
#[derive(Debug, Clone)]
pub struct Brief {
    /// Which of the judged records it is, from 1, in the order read.
    pub number: u64,
    /// The inspection's mark.
    pub record: String,
    /// The instrument's mark.
    pub tag: Option<String>,
    /// Whether the same instrument was inspected again since.
    pub seen_again: bool,
    /// Whether it may be played.
    pub played: PlayedWord,
    /// Whether something that was seen may mean that it must not be played.
    pub pointed: bool,
    /// Pieces that stand apart and may not, or perhaps not, be used.
    pub apart: Vec<(PartId, PlayedWord)>,
    /// Urgency.
    pub urgency: Range<StepId>,
    /// Urgency if all that is suspected held.
    pub suspected: StepId,
    /// By when.
    pub due: Range<Option<i64>>,
    /// The most skilled hands needed.
    pub hands: Range<Option<HandId>>,
    /// What it costs now.
    pub cost: BriefSum,
    /// What it costs if left.
    pub left: BriefSum,
    /// The gravest finding found, or else suspected.
    pub gravest: Option<(FindingId, StateWord)>,
    /// How many are found and suspected.
    pub findings: usize,
    /// Whether anything is not ruled out because nobody looked.
    pub open: bool,
    /// Parts of which nothing was looked at.
    pub unseen: Vec<PartId>,
    /// Parts of which not everything was.
    pub partly: Vec<PartId>,
    /// What is found on each part costs now and if left, each finding as if it were the only job.
    pub by_part: Vec<(PartId, BriefSum, BriefSum)>,
}

/// A sum as printed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct BriefSum {
    /// Least, in the minor unit.
    pub from: i128,
    /// Greatest, in the minor unit.
    pub to: i128,
    /// Whether it is a bound only.
    pub bound: bool,
    /// Whether there may be more to it.
    pub more: bool,
}

impl BriefSum {
    fn of(sum: &Sum, money: Currency) -> Self {
        let places = money.minor_places();
        Self { from: minor(sum.from, places), to: minor(sum.to, places), bound: !sum.exact, more: sum.or_more || sum.and_more }
    }

    /// Adds another sum to this one.
    pub fn add(&mut self, other: &BriefSum) {
        self.from = self.from.saturating_add(other.from);
        self.to = self.to.saturating_add(other.to);
        self.bound |= other.bound;
        self.more |= other.more;
    }
}

/// What order of work goes by; greater comes first.
pub type Gravity = (bool, StepId, bool, StepId, bool, StepId);

impl Brief {
    /// The brief of one outcome.
    pub fn of(book: &Book, record: &Record, outcome: &Outcome) -> Self {
        Self {
            number: 0,
            record: record.id.clone(),
            tag: record.tag.clone(),
            seen_again: record.seen_again.is_some(),
            played: outcome.played,
            pointed: pointed(book, outcome, None),
            apart: outcome.apart.clone(),
            urgency: outcome.urgency,
            suspected: outcome.suspected,
            due: outcome.due,
            hands: outcome.hands,
            cost: BriefSum::of(&outcome.cost, book.money),
            left: BriefSum::of(&outcome.left, book.money),
            gravest: outcome.findings.first().map(|judged| (judged.finding, judged.state)),
            findings: outcome.findings.len(),
            open: !outcome.not_ruled_out.is_empty(),
            unseen: outcome.unseen.clone(),
            partly: partly_seen(book, outcome),
            by_part: by_part(book, outcome),
        }
    }

    /// How grave it is: what is certain first, then what is suspected, then what is possible.
    pub fn gravity(&self) -> Gravity {
        let no = self.played == PlayedWord::No;
        let open = self.played == PlayedWord::Open;
        (no, self.urgency.from, open && self.pointed, self.suspected, open, self.urgency.to)
    }

    /// Whether something is to be done, for certain or as far as is suspected.
    pub fn needs_work(&self) -> bool {
        self.urgency.from.0 > 0 || self.suspected.0 > 0
    }
}

/// Parts of which something is not ruled out because nobody looked, though not all of it is unseen.
pub fn partly_seen(book: &Book, outcome: &Outcome) -> Vec<PartId> {
    let mut partly: Vec<PartId> = Vec::new();
    for judged in &outcome.not_ruled_out {
        let part = book[judged.finding].on;
        if !partly.contains(&part) && !outcome.unseen.contains(&part) {
            partly.push(part);
        }
    }
    partly
}

fn by_part(book: &Book, outcome: &Outcome) -> Vec<(PartId, BriefSum, BriefSum)> {
    let mut parts: Vec<(PartId, BriefSum, BriefSum)> = Vec::new();
    let found = outcome.findings.iter().filter(|judged| judged.state == StateWord::Found && judged.yields_to.is_none());
    for judged in found {
        let part = book[judged.finding].on;
        let (now, left) = (BriefSum::of(&judged.cost, book.money), BriefSum::of(&judged.left, book.money));
        match parts.iter_mut().find(|(known, ..)| *known == part) {
            Some((_, all_now, all_left)) => {
                all_now.add(&now);
                all_left.add(&left);
            }
            None => parts.push((part, now, left)),
        }
    }
    parts
}
