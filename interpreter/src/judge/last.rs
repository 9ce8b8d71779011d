//! What is judged last: counsels and funds, for each choice of the context by its own totals.

use purfle_lang::book::{AidId, CounselId, StateWord};
use purfle_lang::number::Number;

use super::contexts::Live;
use super::counsel::{VerdictMemory, Verdicts, counsels};
use super::figures::SumsHere;
use super::fund::{Fund, fund};
use super::next::Gathered;
use super::outline::Rooms;
use super::solve::Ground;
use crate::outcome::{AidOutcome, Figure};
use purfle_lang::finite::node::{Bounds, CellSet, VariableId};

const NOT_SO: Bounds = Bounds { surely: false, possibly: false };

/// Counsels and funds over the choices of the context so far.
#[derive(Debug, Default)]
pub struct Last {
    counsels: Vec<Bounds>,
    funds: Vec<Fund>,
    begun: bool,
    sets: Vec<CellSet>,
    /// How the rooms came out last, and whether each finding that is asked for holds there.
    together: Option<usize>,
    holds: Vec<Bounds>,
    paid: Vec<Paid>,
    /// The different ways in which the findings that are asked for hold, one after the other.
    holding: Vec<Bounds>,
    /// Choices that were judged already.
    judged: Vec<Judged>,
    /// What these leave of the context looks that anything hangs on, one after the other.
    contexts: Vec<CellSet>,
}

/// All that counsels and funds hang on in a choice of the context, but for what it leaves of the context looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Judged {
    holding: usize,
    sums: usize,
    steps: CellSet,
}

/// What a fund says where all that it hangs on is the same.
#[derive(Debug)]
pub struct Paid {
    /// Which fund.
    pub aid: AidId,
    /// By which sums.
    pub sums: usize,
    /// Whether it is for these, and whether what it needs is denied.
    pub asked: (Bounds, Bounds),
    /// What it says.
    pub fund: Fund,
}

/// What one choice of the context comes to.
#[derive(Clone, Copy)]
pub struct ComeTo<'a> {
    /// The variables that were chosen.
    pub chosen: &'a [VariableId],
    /// The rooms that matter.
    pub live: &'a [Live],
    /// What each of them comes to.
    pub rooms: Rooms<'a>,
    /// How they come out together, by number.
    pub together: usize,
    /// The steps it can come to, a bit each.
    pub steps: CellSet,
    /// Its sums, and their number.
    pub sums: (usize, &'a SumsHere),
    /// The shop's own price.
    pub quoted: Option<Number>,
}

impl Last {
    /// Judges them for the choice of the context that is set in the ground.
    pub fn judge(&mut self, ground: Ground<'_>, come_to: ComeTo<'_>, memory: &mut VerdictMemory) {
        let prepared = ground.prepared;
        if ground.book.counsels.is_empty() && ground.book.aids.is_empty() {
            return;
        }
        if self.begun {
            // Between choices nothing but what is chosen changes; the totals are set anew each time.
            come_to.chosen.iter().for_each(|v| self.sets[*v as usize] = ground.seen.sets[*v as usize]);
        } else {
            self.sets.clone_from(&ground.seen.sets);
            self.holds.resize(prepared.built.layout.instances.len(), NOT_SO);
            memory.begin();
        }
        if self.together != Some(come_to.together) {
            self.together = Some(come_to.together);
            prepared.last.findings.iter().for_each(|id| self.holds[*id as usize] = NOT_SO);
            for (live, result) in come_to.live.iter().zip(come_to.rooms.ids) {
                for &(place, id) in &prepared.last_reads[live.room] {
                    let known = &come_to.rooms.known.of(*result).instances[place];
                    self.holds[id as usize] = Bounds { surely: known.surely, possibly: known.possibly };
                }
            }
        }
        if self.is_judged(ground, come_to) {
            return;
        }
        let Self { sets, holds, paid, .. } = self;
        let mut verdicts = Verdicts { ground, sets, holds, memory, together: come_to.together };
        let met = counsels(&mut verdicts, come_to);
        let funds = (0..ground.book.aids.len()).map(|at| fund(&mut verdicts, AidId::from_index(at), come_to, paid));
        let funds: Vec<Fund> = funds.collect();
        if !self.begun {
            (self.counsels, self.funds, self.begun) = (met, funds, true);
            return;
        }
        for (known, new) in self.counsels.iter_mut().zip(met) {
            *known = Bounds { surely: known.surely && new.surely, possibly: known.possibly || new.possibly };
        }
        for (known, new) in self.funds.iter_mut().zip(funds) {
            known.or(new);
        }
    }

    /// Whether a choice was judged that differs in nothing that counsels and funds hang on. If not, this one is now.
    fn is_judged(&mut self, ground: Ground<'_>, come_to: ComeTo<'_>) -> bool {
        let asked = &ground.prepared.last;
        // What is read from a table hangs on more than is looked at here.
        if ground.prepared.totals_by_table {
            return false;
        }
        let holds = asked.findings.iter().map(|id| self.holds[*id as usize]);
        let holding = numbered(&mut self.holding, asked.findings.len(), holds);
        let here = Judged { holding, sums: come_to.sums.0, steps: come_to.steps };
        let context = || asked.context.iter().map(|variable| self.sets[*variable as usize]);
        let count = asked.context.len();
        let same = |at: usize| self.judged[at] == here && context().eq(self.contexts[at * count..][..count].iter().copied());
        if (0..self.judged.len()).any(same) {
            return true;
        }
        self.contexts.extend(asked.context.iter().map(|variable| self.sets[*variable as usize]));
        self.judged.push(here);
        false
    }

    /// Counsels that are found or open; what can still settle the open ones is asked for.
    pub fn counsels(&self, ground: Ground<'_>, looks: &mut Gathered) -> Vec<(CounselId, StateWord)> {
        let told = self.told();
        for (id, _) in told.iter().filter(|(_, state)| *state == StateWord::Open) {
            looks.node(ground, &ground.prepared.built.whole.counsels[id.index()], Figure::Counsel);
        }
        told
    }

    /// Counsels that are found or open.
    pub fn told(&self) -> Vec<(CounselId, StateWord)> {
        let state = |met: &Bounds| match (met.surely, met.possibly) {
            (true, _) => Some(StateWord::Found),
            (false, true) => Some(StateWord::Open),
            (false, false) => None,
        };
        let all = self.counsels.iter().enumerate();
        all.filter_map(|(at, met)| Some((CounselId::from_index(at), state(met)?))).collect()
    }

    /// What each fund says; what can still settle it is asked for.
    pub fn funds(self, ground: Ground<'_>, exact: bool, looks: &mut Gathered) -> Vec<AidOutcome> {
        self.funds.into_iter().enumerate().map(|(at, fund)| fund.said(ground, AidId::from_index(at), exact, looks)).collect()
    }
}

/// The number of a list of so many among others of that length that lie one after the other; it is added if it is new.
fn numbered<T: PartialEq>(all: &mut Vec<T>, length: usize, new: impl Iterator<Item = T> + Clone) -> usize {
    let count = all.len().checked_div(length).unwrap_or(0);
    (0..count).find(|at| new.clone().zip(&all[at * length..]).all(|(new, known)| new == *known)).unwrap_or_else(|| {
        all.extend(new);
        count
    })
}
