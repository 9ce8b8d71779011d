//! The fewest looks that, shown otherwise, would turn a finding: from found to clear, or from clear to found.

use std::sync::Arc;

use purfle_lang::book::{LookId, RecordPath};
use purfle_lang::saying::Saying;

use super::facts::{Fact, without};
use super::known::Known;
use super::moves::{Could, Distance, Move, Stretch};
use super::trial::{State, Trial};
use crate::record::{Entry, Record};

/// What would turn a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Turning {
    /// What it would be then.
    pub to: State,
    /// Ways to turn it, each with the fewest looks; those of the part at hand first. Nothing where none was found.
    pub ways: Vec<Vec<Turned>>,
    /// Whether there are surely no ways with fewer looks, and the values are the nearest.
    pub surely: bool,
}

/// One look shown otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct Turned {
    /// The look.
    pub look: LookId,
    /// Where.
    pub path: RecordPath,
    /// What it would show: one saying.
    pub saying: Saying,
    /// The whole stretch of numbers that would do.
    pub stretch: Option<Stretch>,
    /// How far that is from what was written down.
    pub distance: Option<Distance>,
    /// Whether the record says nothing of it now.
    pub unseen: bool,
}

/// The most looks that are shown otherwise at the same time.
const MOST_LOOKS: usize = 4;

/// The most ways that are told.
const MOST_WAYS: usize = 4;

/// The fewest looks that would turn a finding that is found or clear; none for one that is open.
pub fn turning(known: Known<'_>, moves: &[Move], trial: &mut Trial) -> Option<Turning> {
    trial.begin();
    let now = trial.state(known.record).filter(|state| *state != State::Open)?;
    let to = if now == State::Holds { State::Fails } else { State::Holds };
    let mut search = Search { known, moves, trial, now, to };
    let mut surely = true;
    for most in 1..=MOST_LOOKS.min(moves.len()) {
        let mut ways = Vec::new();
        let mut chosen: Vec<usize> = (0..most).collect();
        loop {
            if ways.len() < MOST_WAYS {
                ways.extend(search.way(&chosen));
            }
            if ways.len() >= MOST_WAYS || search.trial.is_over() || !next(&mut chosen, moves.len()) {
                break;
            }
        }
        surely &= !search.trial.is_over();
        if !ways.is_empty() {
            let known = |way: &[Turned]| {
                way.iter().all(|turned| moves.iter().any(|one| (one.look, one.path) == (turned.look, turned.path) && one.surely))
            };
            surely &= ways.iter().all(|way| known(way));
            return Some(Turning { to, ways, surely });
        }
        if search.trial.is_over() {
            break;
        }
    }
    surely &= moves.len() <= MOST_LOOKS && moves.iter().all(|one| one.surely);
    Some(Turning { to, ways: Vec::new(), surely })
}

/// The next choice of as many things out of `count`, in order; false where there is none.
pub fn next(chosen: &mut [usize], count: usize) -> bool {
    let many = chosen.len();
    let Some(at) = (0..many).rev().find(|at| chosen[*at] < count - many + at) else { return false };
    chosen[at] += 1;
    for later in at + 1..many {
        chosen[later] = chosen[later - 1] + 1;
    }
    true
}

struct Search<'s, 'a> {
    known: Known<'a>,
    moves: &'s [Move],
    trial: &'s mut Trial,
    now: State,
    to: State,
}

impl Search<'_, '_> {
    /// How these looks, all of them, would have to be shown otherwise.
    fn way(&mut self, chosen: &[usize]) -> Option<Vec<Turned>> {
        let mut values = Vec::new();
        self.assign(chosen, &mut values).then_some(())?;
        // A stretch is told as far as it does: each of its neighbours is tried with all of the others' stretches.
        let mut reach: Vec<Vec<usize>> = values.iter().map(|value| vec![*value]).collect();
        for at in 0..chosen.len() {
            self.widen(chosen, &mut reach, at);
        }
        let turned = chosen.iter().zip(&reach).map(|(one, reach)| self.turned(&self.moves[*one], reach));
        Some(turned.collect())
    }

    /// Finds the nearest values of looks, one after the other, with which the finding turns.
    fn assign(&mut self, chosen: &[usize], values: &mut Vec<usize>) -> bool {
        let record = self.record(chosen, values);
        match self.trial.state(&record) {
            Some(state) if values.len() == chosen.len() => return state == self.to,
            // Whatever the others show, it stays as it is; or no instrument is like that.
            Some(state) if state == self.now => return false,
            None => return false,
            Some(_) => {}
        }
        let moves = self.moves;
        let one = &moves[chosen[values.len()]];
        for at in (0..one.values.len()).filter(|at| !one.values[*at].same) {
            values.push(at);
            if self.assign(chosen, values) {
                return true;
            }
            values.pop();
        }
        false
    }

    /// The record with the first looks at these values, and the others not looked at.
    fn record(&self, chosen: &[usize], values: &[usize]) -> Record {
        let facts: Vec<Fact> = chosen.iter().map(|one| Fact::Look(self.moves[*one].look, self.moves[*one].path)).collect();
        let mut record = without(self.known.book, self.known.record, &facts);
        for (one, value) in chosen.iter().zip(values) {
            let one = &self.moves[*one];
            record.entries.push(Entry::Look(one.look, one.path, Arc::new(one.values[*value].saying.clone())));
        }
        record
    }

    /// Adds to the values of one look its neighbours, away from what was written down, as long as the finding turns.
    fn widen(&mut self, chosen: &[usize], reach: &mut [Vec<usize>], at: usize) {
        let moves = self.moves;
        let one = &moves[chosen[at]];
        let Some((cell, stretch)) = one.values[reach[at][0]].stretch else { return };
        let distance = self.known.stretch(one.look, one.path).and_then(|now| stretch.from(now));
        let ways: &[bool] = match distance {
            Some(Distance { more: true, .. }) => &[true],
            Some(_) => &[false],
            None => &[true, false],
        };
        for &up in ways {
            let mut cell = cell;
            let next_to = |cell: usize| if up { cell.checked_add(1) } else { cell.checked_sub(1) };
            while let Some(further) = next_to(cell) {
                let found = one.values.iter().position(|value| value.stretch.is_some_and(|(cell, _)| cell == further));
                let Some(found) = found.filter(|found| !one.values[*found].same) else { break };
                if !self.all_turn(chosen, reach, at, found) {
                    break;
                }
                reach[at].push(found);
                cell = further;
            }
        }
    }

    /// Whether a value of one look turns the finding with every one of the others' values.
    fn all_turn(&mut self, chosen: &[usize], reach: &[Vec<usize>], at: usize, value: usize) -> bool {
        let mut counter = vec![0; chosen.len()];
        let size = |one: usize| if one == at { 1 } else { reach[one].len() };
        loop {
            let values: Vec<usize> =
                (0..chosen.len()).map(|one| if one == at { value } else { reach[one][counter[one]] }).collect();
            let record = self.record(chosen, &values);
            if self.trial.state(&record) != Some(self.to) {
                return false;
            }
            if !purfle_lang::evaluate::step(&mut counter, size) {
                return true;
            }
        }
    }

    fn turned(&self, one: &Move, reach: &[usize]) -> Turned {
        let nearest: &Could = &one.values[reach[0]];
        let stretches = reach.iter().filter_map(|at| one.values[*at].stretch);
        let least = stretches.clone().min_by_key(|(cell, _)| *cell);
        let greatest = stretches.max_by_key(|(cell, _)| *cell);
        let stretch = least.zip(greatest).map(|((_, least), (_, greatest))| Stretch { low: least.low, high: greatest.high });
        let now = self.known.stretch(one.look, one.path);
        Turned {
            look: one.look,
            path: one.path,
            saying: nearest.saying.clone(),
            stretch,
            distance: stretch.zip(now).and_then(|(stretch, now)| stretch.from(now)),
            unseen: !one.told,
        }
    }
}

/// A record with looks shown otherwise.
pub fn changed(known: Known<'_>, way: &[Turned]) -> Record {
    let facts: Vec<Fact> = way.iter().map(|turned| Fact::Look(turned.look, turned.path)).collect();
    let mut record = without(known.book, known.record, &facts);
    record.left_out.clear();
    let sayings = way.iter().map(|turned| Entry::Look(turned.look, turned.path, Arc::new(turned.saying.clone())));
    record.entries.extend(sayings);
    record
}
