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

/// Counsels and funds over the choices of the context so far.
#[derive(Debug, Default)]
pub struct Last {
    counsels: Vec<Bounds>,
    funds: Vec<Fund>,
    begun: bool,
    /// Whether counsels are passed over.
    only_funds: bool,
    sets: Vec<CellSet>,
    /// How the rooms came out last, and whether each finding that is asked for holds there.
    together: Option<usize>,
    holds: Vec<Bounds>,
    paid: Vec<Paid>,
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
    /// Nothing judged yet; counsels are passed over.
    pub fn of_funds() -> Self {
        Self { only_funds: true, ..Self::default() }
    }

    /// Judges them for the choice of the context that is set in the ground.
    pub fn judge(&mut self, ground: Ground<'_>, come_to: ComeTo<'_>, memory: &mut VerdictMemory) {
        let prepared = ground.prepared;
        if ground.book.counsels.is_empty() && ground.book.aids.is_empty() {
            return;
        }
        let Self { sets, holds, paid, only_funds, .. } = self;
        if self.together != Some(come_to.together) {
            self.together = Some(come_to.together);
            holds.clear();
            holds.resize(prepared.built.layout.instances.len(), Bounds { surely: false, possibly: false });
            for (live, result) in come_to.live.iter().zip(come_to.rooms.ids) {
                for &(place, id) in &prepared.last_reads[live.room] {
                    let known = &come_to.rooms.known.of(*result).instances[place];
                    holds[id as usize] = Bounds { surely: known.surely, possibly: known.possibly };
                }
            }
        }
        if self.begun {
            // Between choices nothing but what is chosen changes; the totals are set anew each time.
            come_to.chosen.iter().for_each(|v| sets[*v as usize] = ground.seen.sets[*v as usize]);
        } else {
            sets.clone_from(&ground.seen.sets);
            memory.begin();
        }
        let mut verdicts = Verdicts { ground, sets, holds, memory, together: come_to.together };
        let met = if *only_funds { Vec::new() } else { counsels(&mut verdicts, come_to) };
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

    /// Counsels that are found or open; what can still settle the open ones is asked for.
    pub fn counsels(&self, ground: Ground<'_>, looks: &mut Gathered) -> Vec<(CounselId, StateWord)> {
        let mut found = Vec::new();
        for (at, met) in self.counsels.iter().enumerate() {
            let state = match (met.surely, met.possibly) {
                (true, _) => StateWord::Found,
                (false, true) => StateWord::Open,
                (false, false) => continue,
            };
            if state == StateWord::Open {
                looks.node(ground, &ground.prepared.built.whole.counsels[at], Figure::Counsel);
            }
            found.push((CounselId::from_index(at), state));
        }
        found
    }

    /// What each fund says; what can still settle it is asked for.
    pub fn funds(self, ground: Ground<'_>, exact: bool, looks: &mut Gathered) -> Vec<AidOutcome> {
        self.funds.into_iter().enumerate().map(|(at, fund)| fund.said(ground, AidId::from_index(at), exact, looks)).collect()
    }
}
