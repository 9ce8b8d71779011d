//! Trying changes out, each by itself, on the examples that it can touch.

use std::ops::Range;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, mpsc};
use std::time::Instant;

use purfle_lang::book::{Book, FindingId};

use super::difference::{Difference, difference};
use super::touched::{Alike, Case, alike, quickest_first, touched};
use super::{Change, Reach};
use crate::judge::Judge;
use crate::outcome::{Impossible, Outcome};
use crate::plan::Plan;
use crate::slice::{Slice, bare};

/// A number of changes to try.
pub struct Trial<'a> {
    /// The book.
    pub book: &'a Arc<Book>,
    /// The changes.
    pub changes: &'a [Change],
    /// When to stop.
    pub until: Option<Instant>,
    /// On how many threads.
    pub threads: usize,
}

/// What came of it.
#[derive(Debug, Default)]
pub struct Tried {
    /// How many changes an example notices.
    pub noticed: usize,
    /// How many are proved to change nothing.
    pub nothing: usize,
    /// Those that no example notices, in order.
    pub unnoticed: Vec<Unnoticed>,
    /// Those that there was no time for, in order.
    pub untried: Vec<usize>,
}

/// A change that no example notices.
#[derive(Debug)]
pub struct Unnoticed {
    /// Which.
    pub change: usize,
    /// What it changes.
    pub difference: Difference,
}

enum Came {
    Noticed,
    Nothing,
    Unnoticed(Difference),
    Untried,
}

impl Trial<'_> {
    /// Tries them all, or as many as there is time for; `step` is told of each.
    pub fn run(&self, mut step: impl FnMut()) -> Tried {
        let mut judge = judge_by(Book::clone(self.book));
        let examples = self.book.examples.iter().chain(&self.book.inherited_examples);
        let cases: Vec<Case<'_>> = examples.map(|example| Case::new(self.book, &mut judge, example)).collect();
        let base = bare(self.book);
        let groups = self.groups();
        let next = AtomicUsize::new(0);
        let mut came: Vec<(usize, Came)> = Vec::with_capacity(self.changes.len());
        std::thread::scope(|scope| {
            let (tell, told) = mpsc::channel();
            for _ in 0..self.threads.max(1) {
                let (tell, groups, next) = (tell.clone(), &groups, &next);
                let bench = Bench { book: self.book, base: &base, cases: &cases, changes: self.changes, until: self.until };
                scope.spawn(move || {
                    while let Some(group) = groups.get(next.fetch_add(1, Ordering::Relaxed)) {
                        // Nobody listens any more only where the other side has failed, and then that is told.
                        bench.group(group.clone(), &mut |at, came| drop(tell.send((at, came))));
                    }
                });
            }
            drop(tell);
            for one in told {
                step();
                came.push(one);
            }
        });
        came.sort_by_key(|(at, _)| *at);
        let mut tried = Tried::default();
        for (at, came) in came {
            match came {
                Came::Noticed => tried.noticed += 1,
                Came::Nothing => tried.nothing += 1,
                Came::Unnoticed(difference) => tried.unnoticed.push(Unnoticed { change: at, difference }),
                Came::Untried => tried.untried.push(at),
            }
        }
        tried
    }

    /// Changes side by side that have a slice in common.
    fn groups(&self) -> Vec<Range<usize>> {
        let mut groups: Vec<Range<usize>> = Vec::new();
        for (at, change) in self.changes.iter().enumerate() {
            let holding = matches!(change.reach, Reach::Holding(_));
            match groups.last_mut() {
                Some(last) if holding && self.changes[last.start].reach == change.reach => last.end = at + 1,
                _ => groups.push(at..at + 1),
            }
        }
        groups
    }
}

fn judge_by(book: Book) -> Judge {
    Judge::new(Arc::new(Plan::new(Arc::new(book))))
}

struct Bench<'a> {
    book: &'a Book,
    base: &'a Book,
    cases: &'a [Case<'a>],
    changes: &'a [Change],
    until: Option<Instant>,
}

impl Bench<'_> {
    fn group(&self, group: Range<usize>, tell: &mut dyn FnMut(usize, Came)) {
        let mut holding = None;
        for at in group {
            let change = &self.changes[at];
            if self.until.is_some_and(|until| Instant::now() >= until) {
                tell(at, Came::Untried);
                continue;
            }
            let came = match change.reach {
                Reach::Holding(finding) => {
                    let holding = holding.get_or_insert_with(|| Holding::new(self, finding));
                    self.change_of_holding(change, holding)
                }
                _ if self.whole(change, touched(self.book, self.cases, change)) => Came::Noticed,
                _ => Came::Unnoticed(Difference::Plain),
            };
            tell(at, came);
        }
    }

    /// Whether one of these examples notices a change, judged by the whole book. A book that cannot be made ready any
    /// more is noticed before any example.
    fn whole(&self, change: &Change, touched: Vec<usize>) -> bool {
        if touched.is_empty() {
            return false;
        }
        let mut judge = judge_by(change.made(self.base));
        let mut cases = touched.into_iter().map(|at| &self.cases[at]);
        judge.warm_up().is_err() || cases.any(|case| case.notices(self.book, &judge.judge(&case.record)))
    }

    fn change_of_holding(&self, change: &Change, holding: &Holding) -> Came {
        let Holding { finding, slice, alike, before } = holding;
        let mut judge = judge_by(change.made(&slice.book));
        if judge.warm_up().is_err() {
            return Came::Noticed;
        }
        let mut touched: Vec<usize> = Vec::new();
        for (alike, before) in alike.iter().zip(before) {
            let after = judge.judge(&alike.record);
            if untouched(slice, before, &after) {
                continue;
            }
            for case in alike.cases.iter().map(|at| &self.cases[*at]) {
                if case.notices_of(self.book, &slice.affected, &judge.judge(&case.record)) {
                    return Came::Noticed;
                }
            }
            touched.extend(alike.cases.iter().filter(|at| self.cases[**at].has_figures()));
        }
        if self.whole(change, quickest_first(self.cases, touched)) {
            return Came::Noticed;
        }
        match difference(slice, *finding, &change.made(&slice.book)) {
            Difference::None => Came::Nothing,
            other => Came::Unnoticed(other),
        }
    }
}

/// What all changes to when one finding holds have in common.
struct Holding {
    finding: FindingId,
    slice: Slice,
    alike: Vec<Alike>,
    before: Vec<Result<Outcome, Impossible>>,
}

impl Holding {
    fn new(bench: &Bench<'_>, finding: FindingId) -> Self {
        let slice = Slice::around(bench.book, finding);
        let alike = alike(bench.book, bench.cases, &slice);
        let mut judge = judge_by(slice.book.clone());
        let before = alike.iter().map(|alike| judge.judge(&alike.record)).collect();
        Self { finding, slice, alike, before }
    }
}

/// Whether nothing can come out differently: what the change can reach is clear before and after, or one case is left,
/// and that came out the same.
fn untouched(slice: &Slice, before: &Result<Outcome, Impossible>, after: &Result<Outcome, Impossible>) -> bool {
    let (Ok(before), Ok(after)) = (before, after) else { return false };
    let clear = |outcome: &Outcome| {
        !outcome.findings.iter().chain(&outcome.not_ruled_out).any(|judged| slice.affected.contains(&judged.finding))
    };
    let settled = |outcome: &Outcome| {
        outcome.looks.is_empty()
            && outcome.not_ruled_out.is_empty()
            && outcome.findings.iter().all(|judged| judged.urgency.from == judged.urgency.to)
    };
    clear(before) && clear(after)
        || settled(before) && settled(after) && before.findings == after.findings && before.urgency == after.urgency
}
