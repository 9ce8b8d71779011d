//! The fewest looks that would settle an open finding, whatever they show.

use std::sync::Arc;

use purfle_lang::book::{FindingId, LookId, PartId, Places, RecordPath};
use purfle_lang::saying::Saying;

use super::facts::{counted, no_more};
use super::known::{Known, path_of};
use super::moves::{Could, Move};
use super::trial::{State, Trial};
use crate::outcome::At;
use crate::record::{Entry, Record};
use crate::slice::Slice;

/// What would settle a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Settling {
    /// The looks, seen clearly.
    pub looks: Vec<(LookId, RecordPath)>,
    /// Whether they settle it whatever they show; if not, they are all that can have to do with it.
    pub whatever: bool,
    /// Whether surely no fewer looks do.
    pub surely: bool,
    /// Where one look settles it: what comes of each thing it can show.
    pub answers: Vec<(Could, State)>,
    /// Parts of which it is not known how many places there are, where that has to do with it.
    pub unnamed: Vec<PartId>,
}

/// The most looks that are tried together.
const MOST_LOOKS: usize = 4;

/// What would settle a finding that is open; none for one that is found or clear.
pub fn settling(
    known: Known<'_>,
    slice: &Slice,
    (finding, at): (FindingId, At),
    moves: &[Move],
    trial: &mut Trial,
) -> Option<Settling> {
    trial.begin();
    trial.state(known.record).filter(|state| *state == State::Open)?;
    let open: Vec<&Move> = moves.iter().filter(|one| one.values.iter().filter(|value| value.possible).count() > 1).collect();
    let unnamed = unnamed(known, slice, finding, at);
    for most in 1..=MOST_LOOKS.min(open.len()) {
        if at == At::Unnamed {
            break;
        }
        let mut chosen: Vec<usize> = (0..most).collect();
        loop {
            let looks: Vec<&Move> = chosen.iter().map(|one| open[*one]).collect();
            if settles(known.record, &looks, trial) {
                let answers = if let [only] = looks[..] { answers(known, only, trial) } else { Vec::new() };
                let surely = !trial.is_over() && looks.iter().all(|one| one.surely);
                let looks = looks.iter().map(|one| (one.look, one.path)).collect();
                return Some(Settling { looks, whatever: true, surely, answers, unnamed: Vec::new() });
            }
            if trial.is_over() || !super::turning::next(&mut chosen, open.len()) {
                break;
            }
        }
        if trial.is_over() {
            break;
        }
    }
    // The judge asks for whatever can still change what it comes to; how grave the finding is has no part in this book.
    let asked = trial.judge.judge(known.record).map(|outcome| outcome.looks).unwrap_or_default();
    let asks = |one: &&&Move| asked.iter().any(|next| next.look == one.look && path_of(next.at) == Some(one.path));
    let looks = open.iter().filter(asks).map(|one| (one.look, one.path)).collect();
    Some(Settling { looks, whatever: false, surely: false, answers: Vec::new(), unnamed })
}

/// Parts with places as found of which the record leaves open how many there are, where that has to do with the finding.
fn unnamed(known: Known<'_>, slice: &Slice, finding: FindingId, at: At) -> Vec<PartId> {
    let book = known.book;
    let mut parts = counted(slice);
    if at == At::Unnamed {
        parts.insert(book[finding].on);
    }
    let open = |part: &PartId| matches!(book[*part].places, Places::AsFound) && !no_more(book, known.record, *part);
    parts.into_iter().filter(open).collect()
}

/// Whether looks settle the finding, whatever they show.
fn settles(record: &Record, looks: &[&Move], trial: &mut Trial) -> bool {
    match trial.state(record) {
        // What no instrument is like need not be settled.
        None => return !trial.is_over(),
        Some(State::Open) => {}
        Some(_) => return true,
    }
    let [first, rest @ ..] = looks else { return false };
    let possible = first.values.iter().filter(|value| value.possible).map(|value| &value.saying);
    // Where it may not apply, that is what a look at it comes to as well; a record that cannot be says nothing.
    possible.chain([&Saying::DoesNotApply]).all(|saying| settles(&shown(record, first, saying), rest, trial))
}

fn answers(known: Known<'_>, one: &Move, trial: &mut Trial) -> Vec<(Could, State)> {
    let ends = known.extent(one.look, one.path).and_then(|extent| extent.ends);
    let possible = one.values.iter().filter(|value| value.possible);
    let answer = |value: &Could| {
        let state = trial.state(&shown(known.record, one, &value.saying))?;
        // What the record rules out of a stretch is not worth telling.
        let stretch = value.stretch.map(|(at, stretch)| (at, ends.map_or(stretch, |ends| stretch.within(ends))));
        Some((Could { stretch, ..value.clone() }, state))
    };
    let absent = Could { saying: Saying::DoesNotApply, stretch: None, possible: true, same: false };
    possible.chain([&absent]).filter_map(answer).collect()
}

/// The record with a look seen clearly.
fn shown(record: &Record, one: &Move, saying: &Saying) -> Record {
    let mut shown = record.clone();
    shown.entries.retain(|entry| !matches!(entry, Entry::Look(of, at, _) if (*of, *at) == (one.look, one.path)));
    shown.entries.push(Entry::Look(one.look, one.path, Arc::new(saying.clone())));
    shown
}
