//! Why a finding is found, clear or open: every sign with what the record says of it, what decides it already, what would
//! turn or settle it, and what makes it as grave as it is.
//!
//! Whatever is told is asked of the judge itself: of small books around the finding, with records that say a little less
//! or something else.

mod deciding;
mod facts;
mod known;
mod last;
mod moves;
mod probe;
mod settling;
mod signs;
mod smallest;
mod trial;
mod turning;
mod urgency;

use std::sync::Arc;

use purfle_lang::book::{Book, FindingId, Places, StateWord};
use purfle_lang::span::Span;

use self::probe::{Ground, Probes};
use self::signs::Asking;
use self::trial::Trial;
use crate::judge::{Judge, WayPrice};
use crate::outcome::{At, Judged, Outcome};
use crate::record::Record;
use crate::slice::Slice;

pub use self::deciding::{Deciding, deciding};
pub use self::facts::{Fact, facts, good, paths, without, written};
pub use self::known::{Known, Told};
pub use self::last::{Last, last};
pub use self::moves::{Could, Distance, End, Move, Stretch, moves};
pub use self::settling::{Settling, settling};
pub use self::signs::{Form, Met, ReadAt, Sign};
pub use self::trial::State;
pub use self::turning::{Turned, Turning, changed, turning};
pub use self::urgency::{Line, Raised, lifted};

/// Why one finding is as it is, at one place.
#[derive(Debug, Clone)]
pub struct Trace {
    /// What there is to say in short.
    pub short: Short,
    /// Whether its part and place are there, with what decides that.
    pub applies: Vec<(Span, Met)>,
    /// Its signs.
    pub signs: Sign,
    /// What lets it off.
    pub unless: Vec<Sign>,
    /// Its urgency lines.
    pub lines: Vec<Line>,
    /// Raises of urgency on its part.
    pub raises: Vec<Raised>,
    /// What each way of mending it is made of, the counted one first.
    pub ways: Vec<WayPrice>,
    /// What would turn it; none for one that is open.
    pub turning: Option<Turning>,
    /// Whether the states of its signs are worked out case by case, and not only enclosed.
    pub exact: bool,
}

/// What one finding is, and what decides it.
#[derive(Debug, Clone)]
pub struct Short {
    /// The finding.
    pub finding: FindingId,
    /// Where.
    pub at: At,
    /// Found, suspected, open or clear.
    pub state: StateWord,
    /// What the outcome says of it; none where it is clear.
    pub judged: Option<Judged>,
    /// What decides it; none for one that is open.
    pub deciding: Option<Deciding>,
    /// What would settle it; none for one that is found or clear.
    pub settling: Option<Settling>,
}

/// Explains what came of one record.
pub struct Tracer<'a> {
    book: Arc<Book>,
    judge: &'a mut Judge,
    record: &'a Record,
    outcome: &'a Outcome,
}

impl<'a> Tracer<'a> {
    /// Explains an outcome of a record, judged in full by that judge.
    pub fn new(judge: &'a mut Judge, record: &'a Record, outcome: &'a Outcome) -> Self {
        Self { book: Arc::clone(&judge.plan().book), judge, record, outcome }
    }

    /// The places at which a finding is worth explaining: where it is not clear; if it is nowhere, the first place.
    pub fn places(&self, finding: FindingId) -> Vec<At> {
        let judged = self.outcome.findings.iter().chain(&self.outcome.not_ruled_out);
        let open: Vec<At> = judged.filter(|judged| judged.finding == finding).map(|judged| judged.at).collect();
        if !open.is_empty() {
            return open;
        }
        let on = self.book[finding].on;
        if !self.book[finding].each {
            return vec![At::Part];
        }
        let first = paths(&self.book, self.record, on).first().copied();
        let unnamed = matches!(self.book[on].places, Places::AsFound);
        first.map(At::Place).or(unnamed.then_some(At::Unnamed)).into_iter().collect()
    }

    /// What a finding is at a place, and what decides or would settle it.
    pub fn short(&mut self, finding: FindingId, at: At) -> Short {
        let slice = Slice::holding(&self.book, finding);
        let mut trial = Trial::new(&slice, finding, at);
        self.short_by(&slice, &mut trial, finding, at)
    }

    fn short_by(&mut self, slice: &Slice, trial: &mut Trial, finding: FindingId, at: At) -> Short {
        let book = Arc::clone(&self.book);
        let known = Known { book: &book, record: self.record };
        let judged = self.outcome.findings.iter().chain(&self.outcome.not_ruled_out);
        let judged = judged.clone().find(|judged| judged.finding == finding && judged.at == at).cloned();
        let state = judged.as_ref().map_or(StateWord::Clear, |judged| judged.state);
        let deciding = deciding(&book, slice, book[finding].on, trial, self.record);
        let settling = match deciding {
            Some(_) => None,
            None => {
                let moves = moves(known, slice, finding, at, trial);
                settling(known, slice, (finding, at), &moves, trial)
            }
        };
        // The whole book is asked as well: what it says otherwise is not told.
        let deciding = deciding.filter(|deciding| {
            let all = facts(&book, slice, book[finding].on, self.record);
            let kept = |fact: &&Fact| !deciding.facts.contains(fact);
            let less = without(&book, self.record, all.iter().filter(kept));
            let came = self.judge.brief(&less).map(|brief| State::of(&brief, finding, at));
            let opposite = if state == StateWord::Clear { State::Holds } else { State::Fails };
            came.is_ok_and(|came| came != opposite)
        });
        Short { finding, at, state, judged, deciding, settling }
    }

    /// Why a finding is as it is at a place; none where that cannot be told, as too much is open.
    pub fn trace(&mut self, finding: FindingId, at: At) -> Option<Trace> {
        let book = Arc::clone(&self.book);
        let known = Known { book: &book, record: self.record };
        let slice = Slice::holding(&book, finding);
        let mut trial = Trial::new(&slice, finding, at);
        let short = self.short_by(&slice, &mut trial, finding, at);
        let moves = moves(known, &slice, finding, at, &mut trial);
        let mut turning = turning(known, &moves, &mut trial);
        if let Some(turning) = &mut turning {
            let turns = |way: &Vec<Turned>| {
                let came = self.judge.brief(&changed(known, way)).map(|brief| State::of(&brief, finding, at));
                came.is_ok_and(|came| came == turning.to)
            };
            turning.ways.retain(turns);
        }
        let on = book[finding].on;
        let ground = Ground { on, each: book[finding].each, at };
        let lines = book[finding].urgency.iter().filter_map(|line| line.when.as_ref());
        let raises = book.raises.iter().filter(|raise| raise.on.contains(&on)).map(|raise| &raise.when);
        let others: Vec<_> = lines.chain(raises).collect();
        let mut probes = Probes::new(Slice::holding_with(&book, finding, &others).book);
        let mut asking = Asking { known, probes: &mut probes, finding };
        let signs = asking.tree(&book[finding].signs, ground);
        let unless: Vec<_> = book[finding].unless.iter().map(|unless| asking.tree(unless, ground)).collect();
        let applies = asking.applies(ground);
        let asks = urgency::asks(&mut asking, ground);
        let answers = probes.answers(self.record)?;
        let (lines, raises) = asks.answered(&answers);
        Some(Trace {
            short,
            applies: applies.into_iter().map(|(span, asked)| (span, signs::met(&answers, asked))).collect(),
            signs: signs.answered(&answers),
            unless: unless.into_iter().map(|unless| unless.answered(&answers)).collect(),
            lines,
            raises,
            ways: self.judge.way_prices(self.record, finding, at),
            turning,
            exact: answers.are_exact(),
        })
    }
}
