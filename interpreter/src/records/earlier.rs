//! Earlier records of the same instruments, for rulebooks that compare with last time (`last LOOK`).
//!
//! Only the looks that the rulebook compares are kept, and of each record only a hash of its tag and its day.

use std::sync::Arc;

use purfle_lang::book::{Book, LookId, RecordPath};
use purfle_lang::saying::Saying;
use rustc_hash::{FxHashMap, FxHashSet};

use super::glance::{Glance, Marks};
use super::identity::{Mark, Marker};
use super::input::Input;
use super::refused::Refused;
use super::run::{Run, Stopped};
use super::window::Kind;
use crate::compared::compared_looks;
use crate::record::{Entry, Record};

/// What is kept of earlier records.
pub struct Earlier {
    marker: Marker,
    /// Sorted by tag, then day, then the order read.
    visits: Vec<Visit>,
    /// All visits' looks behind each other; numbers into `said`.
    looks: Vec<u32>,
    said: Vec<(LookId, RecordPath, Arc<Saying>)>,
}

#[derive(Clone, Copy)]
struct Visit {
    tag: Mark,
    day: i32,
    looks_from: u32,
    looks_to: u32,
}

/// How many records were read for their looks, and which could not be.
#[derive(Debug, Default)]
pub struct EarlierCounts {
    /// Records read, refused ones included.
    pub read: u64,
    /// Records refused.
    pub refused: Vec<Refused>,
    /// Records without a tag or without a date: nothing can be compared with them.
    pub unplaced: u64,
}

/// The most refused earlier records of which the reasons are kept.
const MOST_REFUSED: usize = 1000;

impl Earlier {
    /// Reads the earlier records out of `last` and out of the records themselves; none where the rulebook compares
    /// nothing. Only the records of `last` are counted: the others are met again when they are judged.
    pub fn read(
        book: &Arc<Book>,
        last: &[Input],
        inputs: &[Input],
        threads: usize,
    ) -> Result<(Option<Earlier>, EarlierCounts), Stopped> {
        let wanted = compared_looks(book);
        let mut counts = EarlierCounts::default();
        if wanted.is_empty() {
            return Ok((None, counts));
        }
        let marker = Marker::default();
        let mut visits = Vec::new();
        let mut looks = Vec::new();
        let mut said: Vec<(LookId, RecordPath, Arc<Saying>)> = Vec::new();
        let mut said_before: FxHashMap<(LookId, RecordPath, Arc<Saying>), u32> = FxHashMap::default();
        let make = || {
            let (marker, wanted) = (marker.clone(), &wanted);
            move |record: &mut Record| {
                let (Some(tag), Some(day)) = (&record.tag, record.inspected_on) else { return Ok(None) };
                let looks: Vec<_> = record
                    .entries
                    .iter()
                    .filter_map(|entry| match entry {
                        Entry::Look(look, at, saying) if wanted.contains(look) => Some((*look, *at, Arc::clone(saying))),
                        _ => None,
                    })
                    .collect();
                Ok(Some((marker.mark(tag), i32::try_from(day).unwrap_or(i32::MAX), looks)))
            }
        };
        let come_back = ComeBack::of(book, [last, inputs], threads)?;
        for (inputs, counted) in [(last, true), (inputs, false)] {
            if !counted && come_back.tags.is_empty() {
                continue;
            }
            let make_wanted = || {
                let (mut glance, come_back) = (Glance::default(), &come_back);
                move |kind: &Kind, text: &[u8]| counted || glance.at(kind, text).is_none_or(|marks| come_back.matters(marks))
            };
            Run { book, inputs, threads, likeness: None }.each_wanted(make_wanted, make, |answer| {
                counts.read += u64::from(counted);
                match answer {
                    Ok(Some((tag, day, seen))) => {
                        let looks_from = number(looks.len());
                        for look in seen {
                            let next = number(said.len());
                            let at = *said_before.entry(look.clone()).or_insert(next);
                            if at == next {
                                said.push(look);
                            }
                            looks.push(at);
                        }
                        visits.push(Visit { tag, day, looks_from, looks_to: number(looks.len()) });
                    }
                    Ok(None) => counts.unplaced += u64::from(counted),
                    Err(refused) if counted && counts.refused.len() < MOST_REFUSED => counts.refused.push(refused),
                    Err(_) => {}
                }
                Ok(())
            })?;
        }
        Ok((Some(Self { marker, visits, looks, said }.settled()), counts))
    }

    /// Sorts the visits, and lets go of tags that were met only once: nothing was before them, nothing comes after.
    fn settled(mut self) -> Self {
        self.visits.sort_by_key(|visit| (visit.tag, visit.day));
        let repeated: Vec<bool> = (0..self.visits.len())
            .map(|at| {
                let same = |other: usize| self.visits.get(other).is_some_and(|other| other.tag == self.visits[at].tag);
                same(at + 1) || (at > 0 && same(at - 1))
            })
            .collect();
        let mut looks = Vec::new();
        let mut keep = repeated.into_iter();
        let all = std::mem::take(&mut self.looks);
        self.visits.retain_mut(|visit| {
            let kept = keep.next().unwrap_or(false);
            if kept {
                let from = number(looks.len());
                looks.extend_from_slice(&all[visit.looks_from as usize..visit.looks_to as usize]);
                (visit.looks_from, visit.looks_to) = (from, number(looks.len()));
            }
            kept
        });
        self.visits.shrink_to_fit();
        looks.shrink_to_fit();
        self.looks = looks;
        self
    }

    /// Fills in what the newest earlier record of the same instrument says, and whether there is a later one.
    pub fn fill(&self, record: &mut Record) {
        let (Some(tag), Some(day)) = (&record.tag, record.inspected_on) else { return };
        let tag = self.marker.mark(tag);
        let day = i32::try_from(day).unwrap_or(i32::MAX);
        let next = self.visits.partition_point(|visit| (visit.tag, visit.day) < (tag, day));
        let newest = self.visits.partition_point(|visit| visit.tag <= tag).checked_sub(1).map(|at| self.visits[at]);
        record.seen_again = newest.filter(|visit| visit.tag == tag && visit.day > day).map(|visit| i64::from(visit.day));
        let Some(before) = next.checked_sub(1).map(|at| self.visits[at]).filter(|visit| visit.tag == tag) else { return };
        for &said in &self.looks[before.looks_from as usize..before.looks_to as usize] {
            record.last.push(self.said[said as usize].clone());
        }
    }
}

/// Which instruments there is more than one record of: only theirs need reading before the others.
struct ComeBack {
    marker: Marker,
    /// Tags that several records have, as half a hash.
    tags: FxHashSet<u64>,
    /// Marks that several records have: all but the first of these are refused.
    records: FxHashSet<u64>,
}

impl ComeBack {
    fn of(book: &Arc<Book>, files: [&[Input]; 2], threads: usize) -> Result<Self, Stopped> {
        let marker = Marker::default();
        let (mut tags, mut records) = (Vec::new(), Vec::new());
        for inputs in files {
            let mut own = Vec::new();
            Run { book, inputs, threads, likeness: None }.marks(&marker, |record, tag| {
                own.extend(record);
                tags.extend(tag);
            })?;
            records.extend(repeated(own));
        }
        Ok(Self { marker, tags: repeated(tags).collect(), records: records.into_iter().collect() })
    }

    fn matters(&self, (record, tag): Marks<'_>) -> bool {
        let known = |known: &FxHashSet<u64>, mark: Option<&str>| mark.is_some_and(|mark| known.contains(&self.marker.half(mark)));
        known(&self.tags, tag) || known(&self.records, record)
    }
}

/// What a list has more than once.
fn repeated(mut all: Vec<u64>) -> impl Iterator<Item = u64> {
    all.sort_unstable();
    (1..all.len()).filter_map(move |at| (all[at - 1] == all[at]).then_some(all[at]))
}

/// A count as 32 bits; beyond that the list itself could not be held.
fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
