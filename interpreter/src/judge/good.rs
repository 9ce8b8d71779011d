//! What is good of a look.

use purfle_lang::book::{Book, Good};
use purfle_lang::evaluate::{InHand, Inputs, evaluate, inputs_of};

use super::extent::{Extent, cells_within, spread, whole_extent};
use super::from_record::FromRecord;
use super::intake::Seen;
use super::prepared::{Prepared, Reads};
use purfle_lang::finite::classify::Fixed;
use purfle_lang::finite::node::CellSet;
use purfle_lang::finite::view::SlotId;

/// What is good of a look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GoodOf {
    /// The cells of its variable; nought where it has none.
    pub set: CellSet,
    /// Its number or date.
    pub extent: Option<Extent>,
    /// Whether it is the same in every case.
    pub settled: bool,
}

/// What is good of a look, if it has a `good`: as it was worked out beforehand, or for this record.
pub fn good_of(book: &Book, prepared: &Prepared, slot: SlotId, seen: &Seen) -> Option<GoodOf> {
    match &prepared.good[slot as usize] {
        GoodIs::Always(good) => *good,
        GoodIs::ByRecord(_) => work_good_out(book, prepared, slot, &FromRecord { book, prepared, seen }),
    }
}

/// Whether what is good of a look hangs on the record.
#[derive(Debug)]
pub enum GoodIs {
    /// The same for every record; none where the look has no `good`.
    Always(Option<GoodOf>),
    /// Read from a table by what the record says elsewhere, or reckoned, from all this.
    ByRecord(Reads),
}

/// What is known beforehand of what is good.
pub fn good_is(book: &Book, prepared: &Prepared, slot: SlotId) -> GoodIs {
    let look = prepared.built.layout.view.slots[slot as usize].look;
    if let Some(Good::Range(value)) = &book[look.look].good {
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        inputs_of(book, value, &InHand::nothing().with(book[look.look].part, look.spot), &mut numbers, &mut keys);
        if !numbers.is_empty() || !keys.is_empty() {
            return GoodIs::ByRecord(Reads { numbers, keys });
        }
    }
    GoodIs::Always(work_good_out(book, prepared, slot, &Fixed { numbers: &[], keys: &[] }))
}

fn work_good_out(book: &Book, prepared: &Prepared, slot: SlotId, inputs: &impl Inputs) -> Option<GoodOf> {
    let place = &prepared.built.layout.view.slots[slot as usize];
    let known = place.variable.map(|variable| &prepared.built.layout.view.variables[variable as usize]);
    let all = |set: CellSet| known.map_or(set, |known| spread(set, known.cells.len(), known.size));
    match book[place.look.look].good.as_ref()? {
        Good::Choices(choices) => {
            let set = choices.iter().fold(0, |set, choice| set | 1 << (*choice).min(127));
            Some(GoodOf { set: all(set), extent: None, settled: true })
        }
        Good::NoDate => Some(GoodOf { set: all(1), extent: Some(Extent { ends: None, nothing: true }), settled: true }),
        Good::Range(value) => {
            let hand = InHand::nothing().with(book[place.look.look].part, place.look.spot);
            let worked = evaluate(book, value, &hand, inputs)?;
            let (from, to) = whole_extent(&book[place.look.look].kind).ends?;
            let (low, high) = (worked.low.0.max(from), worked.high.1.min(to));
            let extent = Extent { ends: (low <= high).then_some((low, high)), nothing: false };
            let set = known.map_or(0, |known| cells_within(&known.cells, extent));
            let settled = worked.low.0 == worked.low.1 && worked.high.0 == worked.high.1 && !worked.nothing;
            extent.ends.map(|_| GoodOf { set: all(set), extent: Some(extent), settled })
        }
    }
}
