//! What a judge worked with, laid open for whoever explains an outcome: the cells of a look, and what single bench steps
//! and goods come to.

use std::sync::Arc;

use purfle_lang::book::{FindingId, LookId, RecordPath, WorkId};
use purfle_lang::cells::Cells;
use purfle_lang::evaluate::LookSpot;
use purfle_lang::number::Number;

use super::fold::hangs_on_nothing_open;
use super::price::{money, price_bounds};
use super::solve::Ground;
use super::table::Bench;
use super::{Judge, at_of};
use crate::outcome::{At, Range};
use crate::plan::price::Price;
use crate::record::Record;

/// What a bench step comes to in a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StepPrice {
    /// The step.
    pub work: WorkId,
    /// Whether another step of the same way does it as well.
    pub falls_away: bool,
    /// Its price, exact fractions of the major unit.
    pub price: Range<Number>,
    /// Whether it hangs on nothing that is open.
    pub settled: bool,
}

/// What one way of mending a finding is made of.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct WayPrice {
    /// Its bench steps, in the order written.
    pub steps: Vec<StepPrice>,
    /// Its goods, in the order written.
    pub goods: Vec<(Range<Number>, bool)>,
}

impl Judge {
    /// The cells of a look at a place, as far as a test of the book reads it by itself.
    pub fn cells(&mut self, record: &Record, look: LookId, path: RecordPath) -> Option<Cells> {
        let prepared = self.taken(record).ok()?;
        let spot = self.seen.spot(self.plan.book[look].part, path);
        let view = &prepared.built.layout.view;
        let slot = view.slot_of.get(&LookSpot { look, spot })?;
        let variable = view.slots[*slot as usize].variable?;
        Some(view.variables[variable as usize].cells.clone())
    }

    /// The choices of a `some of` look at a place that a test of the book reads.
    pub fn read_choices(&mut self, record: &Record, look: LookId, path: RecordPath) -> Vec<usize> {
        let Ok(prepared) = self.taken(record) else { return Vec::new() };
        let spot = self.seen.spot(self.plan.book[look].part, path);
        let view = &prepared.built.layout.view;
        let slot = view.slot_of.get(&LookSpot { look, spot }).map(|slot| &view.slots[*slot as usize]);
        slot.map(|slot| slot.choices.iter().map(|(choice, _)| *choice).collect()).unwrap_or_default()
    }

    /// What each way of mending a finding at a place is made of, the counted one first; nothing where it is not there.
    pub fn way_prices(&mut self, record: &Record, finding: FindingId, at: At) -> Vec<WayPrice> {
        let Ok(prepared) = self.taken(record) else { return Vec::new() };
        let plan = Arc::clone(&self.plan);
        let bench = Bench { book: &plan.book, prepared: &prepared, least_charge: self.least_charge, scale: plan.scale };
        let ground = bench.ground(&self.seen);
        let layout = &prepared.built.layout;
        let part = plan.book[finding].on;
        let here = layout
            .instances
            .iter()
            .find(|instance| instance.finding == finding && !instance.only_left && at_of(ground, part, instance.spot) == at);
        let Some(instance) = here else { return Vec::new() };
        let first = (&instance.occurrences, &instance.goods);
        let ways = std::iter::once(first).chain(instance.ways.iter().map(|way| (&way.occurrences, &way.goods)));
        ways.map(|(steps, goods)| way_price(ground, steps, goods)).collect()
    }
}

fn way_price(ground: Ground<'_>, steps: &[u32], goods: &[Price]) -> WayPrice {
    let price = |price: &Price| {
        let (low, high) = price_bounds(ground, price);
        let range = Range { from: money(low, ground.scale), to: money(high, ground.scale) };
        (range, hangs_on_nothing_open(ground, price))
    };
    let step = |at: &u32| {
        let occurrence = &ground.layout().occurrences[*at as usize];
        let (range, settled) = price(&occurrence.price);
        let falls_away = occurrence.included_by.iter().any(|other| steps.contains(other));
        StepPrice { work: occurrence.work, falls_away, price: range, settled }
    };
    WayPrice { steps: steps.iter().map(step).collect(), goods: goods.iter().map(price).collect() }
}
