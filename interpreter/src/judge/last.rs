//! What is judged last: counsels and funds, for each choice of the context by its own totals.

use purfle_lang::book::{AidId, CounselId, StateWord};
use purfle_lang::number::Number;

use super::contexts::Live;
use super::counsel::{Totals, counsels};
use super::figures::Figures;
use super::fund::{Fund, fund};
use super::next::Gathered;
use super::room_result::RoomResult;
use super::shared_prices::SharedPrices;
use super::solve::Ground;
use crate::outcome::{AidOutcome, Figure};
use purfle_lang::finite::node::Bounds;

/// Counsels and funds over the choices of the context so far.
#[derive(Debug, Default)]
pub struct Last {
    counsels: Vec<Bounds>,
    funds: Vec<Fund>,
    begun: bool,
}

impl Last {
    /// Judges them for the choice of the context that is set in the ground.
    pub fn judge(
        &mut self,
        ground: Ground<'_>,
        prices: &SharedPrices,
        live: &[Live],
        results: &[&RoomResult],
        figures: &Figures,
        quoted: Option<Number>,
    ) {
        let prepared = ground.prepared;
        if ground.book.counsels.is_empty() && ground.book.aids.is_empty() {
            return;
        }
        let layout = &prepared.built.layout;
        let mut holds = Vec::new();
        if prepared.last_reads_findings {
            holds.resize(layout.instances.len(), Bounds { surely: false, possibly: false });
            for (live, result) in live.iter().zip(results) {
                for (&id, known) in layout.rooms[live.room].instances.iter().zip(&result.instances) {
                    holds[id as usize] = Bounds { surely: known.surely, possibly: known.possibly };
                }
            }
        }
        let money = |ends: (super::fold::Total, super::fold::Total)| {
            (Number::new(ends.0.sum, ground.scale), Number::new(ends.1.sum, ground.scale))
        };
        let mut sets = ground.seen.sets.clone();
        let totals = Totals { steps: figures.steps, cost: quoted.map_or(money(figures.now), |quoted| (quoted, quoted)) };
        let met = counsels(ground, &mut sets, &holds, totals);
        let funds =
            (0..ground.book.aids.len()).map(|at| fund(ground, &mut sets, &holds, AidId::from_index(at), prices, results, quoted));
        if !self.begun {
            (self.counsels, self.funds, self.begun) = (met, funds.collect(), true);
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
