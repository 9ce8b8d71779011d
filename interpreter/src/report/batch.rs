//! A batch, gathered record by record: the order of work, how many at each step, what must not be played, what all of
//! it costs.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use purfle_lang::book::{Book, PlayedWord};

use super::brief::{Brief, BriefSum, Gravity};

/// The most instruments that the order of work lists; the gravest stay.
pub const MOST_IN_ORDER: usize = 500;

/// What a batch comes to, gathered record by record.
pub struct Batch {
    /// How many are at least at each step.
    pub at_least: Vec<u64>,
    /// How many can come to each step at the worst.
    pub at_most: Vec<u64>,
    /// Surely not to be played.
    pub not_played: u64,
    /// Perhaps not, by what was seen.
    pub perhaps_not_played: u64,
    /// Too little was looked at to say.
    pub not_settled: u64,
    /// With a piece that must not be used.
    pub apart_not_used: u64,
    /// Older inspections of instruments that were seen again, which count for nothing else.
    pub seen_again: u64,
    /// Surely with nothing to be done.
    pub nothing_to_do: u64,
    /// Of which enough was seen, and of which something is not ruled out because nobody looked.
    pub sums: [Sums; 2],
    /// Each part's.
    pub parts: Vec<PartSums>,
    /// How many need work.
    pub needing_work: u64,
    /// How many count.
    pub met: u64,
    order: BinaryHeap<Reverse<Ranked>>,
    others: Vec<Brief>,
}

/// What a part comes to over the batch.
#[derive(Clone, Copy, Default)]
pub struct PartSums {
    /// On how many instruments something was found on it.
    pub found: u64,
    /// On how many nobody looked at it.
    pub unseen: u64,
    /// On how many not at everything of it.
    pub partly: u64,
    /// What was found costs now, each finding as if it were the only job.
    pub now: BriefSum,
    /// The same if it is left.
    pub left: BriefSum,
}

/// What several instruments come to together.
#[derive(Clone, Copy, Default)]
pub struct Sums {
    /// How many instruments.
    pub instruments: u64,
    /// What they cost now.
    pub cost: BriefSum,
    /// What they cost if left.
    pub left: BriefSum,
}

impl Sums {
    /// Adds others to these.
    pub fn add(&mut self, other: &Sums) {
        self.instruments += other.instruments;
        self.cost.add(&other.cost);
        self.left.add(&other.left);
    }
}

/// A brief by its gravity; of two alike the one read first comes first.
struct Ranked(Gravity, Reverse<u64>, Brief);

impl PartialEq for Ranked {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Ranked {}
impl PartialOrd for Ranked {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Ranked {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (self.0, self.1).cmp(&(other.0, other.1))
    }
}

impl Batch {
    /// Nothing gathered yet.
    pub fn new(book: &Book) -> Self {
        Self {
            at_least: vec![0; book.steps.len()],
            at_most: vec![0; book.steps.len()],
            not_played: 0,
            perhaps_not_played: 0,
            not_settled: 0,
            apart_not_used: 0,
            seen_again: 0,
            nothing_to_do: 0,
            sums: Default::default(),
            parts: vec![PartSums::default(); book.parts.len()],
            needing_work: 0,
            met: 0,
            order: BinaryHeap::new(),
            others: Vec::new(),
        }
    }

    /// Gathers one record more.
    pub fn add(&mut self, brief: Brief) {
        // What was seen since counts, not what was seen before.
        if brief.seen_again {
            self.seen_again += 1;
            return;
        }
        self.met += 1;
        if let Some(count) = self.at_least.get_mut(brief.urgency.from.index()) {
            *count += 1;
        }
        if let Some(count) = self.at_most.get_mut(brief.urgency.to.index()) {
            *count += 1;
        }
        match brief.played {
            PlayedWord::No => self.not_played += 1,
            PlayedWord::Open if brief.pointed => self.perhaps_not_played += 1,
            PlayedWord::Open => self.not_settled += 1,
            PlayedWord::Yes => {}
        }
        if brief.apart.iter().any(|(_, word)| *word == PlayedWord::No) {
            self.apart_not_used += 1;
        }
        for (part, now, left) in &brief.by_part {
            if let Some(sums) = self.parts.get_mut(part.index()) {
                sums.found += 1;
                sums.now.add(now);
                sums.left.add(left);
            }
        }
        for part in &brief.unseen {
            if let Some(sums) = self.parts.get_mut(part.index()) {
                sums.unseen += 1;
            }
        }
        for part in &brief.partly {
            if let Some(sums) = self.parts.get_mut(part.index()) {
                sums.partly += 1;
            }
        }
        self.sums[usize::from(brief.open)].add(&Sums { instruments: 1, cost: brief.cost, left: brief.left });
        if brief.needs_work() {
            self.needing_work += 1;
            self.order.push(Reverse(Ranked(brief.gravity(), Reverse(self.met), brief)));
            if self.order.len() > MOST_IN_ORDER {
                self.order.pop();
            }
        } else {
            if brief.urgency.to.index() == 0 {
                self.nothing_to_do += 1;
            }
            if self.others.len() < MOST_IN_ORDER {
                self.others.push(brief);
            }
        }
    }

    /// The order of work, gravest first, as far as it is kept; and those that need none, in the order read.
    pub fn order(self) -> (Vec<Brief>, Vec<Brief>) {
        let order = self.order.into_sorted_vec().into_iter().map(|Reverse(Ranked(_, _, brief))| brief);
        (order.collect(), self.others)
    }
}
