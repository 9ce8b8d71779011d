//! Records that need not be judged by the new rulebook, because nothing in which the two differ can matter to them.

use std::sync::Arc;

use purfle_lang::book::{FindingId, RecordPath};
use purfle_lang::compare::{Both, Matters, matters};
use purfle_lang::saying::Saying;
use rustc_hash::FxHashMap;

use crate::judge::{Brief, Judge};
use crate::plan::Plan;
use crate::record::{Entry, Record};
use crate::slice::Slice;

/// The most records of which it is remembered whether anything that matters can hold.
const MOST_REMEMBERED: usize = 1 << 14;

/// What two rulebooks differ in, for asking of each record whether it can matter to it.
///
/// A brief of the old rulebook tells every finding that holds in some case. Where none of those that matter is among them,
/// and none of the new rulebook's that hold in other cases can hold, the same findings hold in the same cases of both, and
/// cost and become the same.
pub struct Spared {
    /// By index: the old rulebook's findings that matter.
    old: Vec<bool>,
    /// The new rulebook's findings that hold in other cases; none where there are none.
    new: Option<OtherCases>,
}

impl Spared {
    /// What the judges' rulebooks differ in; none where that may matter to every record.
    pub fn of(old: &Judge, new: &Judge) -> Option<Self> {
        let (was, now) = (old.plan(), new.plan());
        // Sums are rounded to the same share, and as many places that nobody wrote down stand for all of them.
        let found = |plan: &Plan| -> Vec<(String, u32)> {
            plan.found.iter().map(|(part, count)| (plan.book[*part].name.clone(), *count)).collect()
        };
        if was.scale != now.scale || found(was) != found(now) {
            return None;
        }
        let both = Both::new(&was.book, &now.book);
        let Matters { old: matter, new: holding } = matters(&both)?;
        let new = (!holding.is_empty()).then(|| OtherCases::of(now, &holding));
        Some(Self { old: marked(&matter, was.book.findings.len()), new })
    }

    /// The same for another thread.
    pub fn another(&self) -> Self {
        Self { old: self.old.clone(), new: self.new.as_ref().map(OtherCases::another) }
    }

    /// Whether a record comes out the same by both. `record` is told in the new rulebook's terms, `brief` is what comes of it
    /// by the old one.
    pub fn same(&mut self, record: &Record, brief: &Brief) -> bool {
        let matters = |finding: FindingId| self.old.get(finding.index()).copied().unwrap_or(true);
        if !brief.exact || brief.findings.iter().any(|line| matters(line.finding)) {
            return false;
        }
        self.new.as_mut().is_none_or(|new| !new.possible(record))
    }
}

/// By index, whether a finding is one of these.
fn marked(findings: &[FindingId], count: usize) -> Vec<bool> {
    (0..count).map(|at| findings.contains(&FindingId::from_index(at))).collect()
}

/// Findings of a rulebook, asked whether any of them can hold.
struct OtherCases {
    /// Judges them, with what they ask for and nothing else.
    judge: Judge,
    /// Which they are, by index.
    findings: Vec<bool>,
    /// By index: the looks that decide them, and the parts of these.
    looks: Vec<bool>,
    parts: Vec<bool>,
    /// Whether the record's date or the record before decides them too.
    brings: bool,
    /// What came of records that say the same of all that.
    known: FxHashMap<Vec<Told>, bool>,
    /// What of the record at hand decides.
    deciding: Record,
    key: Vec<Told>,
}

/// What a record says that can decide.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Told {
    Look(usize, RecordPath, Arc<Saying>),
    Part(u8, usize, Option<RecordPath>),
    RestGood,
}

impl OtherCases {
    fn of(plan: &Plan, holding: &[FindingId]) -> Self {
        let Slice { book, looks, brings, .. } = Slice::holding_any(&plan.book, holding);
        let mut parts = vec![false; book.parts.len()];
        looks.iter().for_each(|look| parts[book[*look].part.index()] = true);
        holding.iter().for_each(|finding| parts[book[*finding].on.index()] = true);
        let looks = (0..book.looks.len()).map(|at| looks.iter().any(|look| look.index() == at)).collect();
        Self {
            findings: marked(holding, book.findings.len()),
            looks,
            parts,
            brings,
            judge: Judge::new(Arc::new(Plan::new(Arc::new(book)))),
            known: FxHashMap::default(),
            deciding: Record::default(),
            key: Vec::new(),
        }
    }

    fn another(&self) -> Self {
        Self {
            judge: self.judge.another(),
            findings: self.findings.clone(),
            looks: self.looks.clone(),
            parts: self.parts.clone(),
            brings: self.brings,
            known: FxHashMap::default(),
            deciding: Record::default(),
            key: Vec::new(),
        }
    }

    /// Whether one of them can hold. What the record says of anything else only leaves fewer cases, so it is left out.
    fn possible(&mut self, record: &Record) -> bool {
        let Self { looks, parts, key, deciding, .. } = self;
        key.clear();
        deciding.entries.clear();
        for entry in &record.entries {
            let part = |kind, part: &purfle_lang::book::PartId, path: &Option<RecordPath>| {
                parts[part.index()].then_some(Told::Part(kind, part.index(), *path))
            };
            let told = match entry {
                Entry::Look(look, path, saying) => {
                    looks[look.index()].then(|| Told::Look(look.index(), *path, Arc::clone(saying)))
                }
                Entry::Good(at, path) => part(0, at, path),
                Entry::There(at, path) => part(1, at, &Some(*path)),
                Entry::Absent(at, path) => part(2, at, path),
                Entry::NoPlaces(at) => part(3, at, &None),
                Entry::MayBeMore(at) => part(4, at, &None),
                Entry::RestGood => Some(Told::RestGood),
            };
            if let Some(told) = told {
                key.push(told);
                deciding.entries.push(entry.clone());
            }
        }
        if !self.brings
            && let Some(known) = self.known.get(&self.key)
        {
            return *known;
        }
        if self.brings {
            self.deciding.inspected_on = record.inspected_on;
            self.deciding.last.clone_from(&record.last);
        }
        let brief = self.judge.brief(&self.deciding);
        let findings = &self.findings;
        let holds = |finding: FindingId| findings.get(finding.index()).copied().unwrap_or(true);
        let possible = brief.map_or(true, |brief| brief.findings.iter().any(|line| holds(line.finding)));
        if !self.brings && self.known.len() < MOST_REMEMBERED {
            self.known.insert(std::mem::take(&mut self.key), possible);
        }
        possible
    }
}
