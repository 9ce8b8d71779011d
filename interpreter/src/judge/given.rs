//! What a record gives of all that something is worked out from, written as a few words to remember it by.

use purfle_lang::evaluate::{Input, LookSpot};
use purfle_lang::number::Number;
use rustc_hash::FxHashMap;

use super::extent::Extent;
use super::intake::Seen;
use super::prepared::{Prepared, Reads};
use purfle_lang::finite::view::SlotId;

/// What was worked out, by words that say what it was and what it was worked out from.
pub type WorkedOut<T> = FxHashMap<Box<[u64]>, T>;

impl Seen {
    /// The number or date of a look that needs it, if the record tells anything of it.
    pub fn number(&self, slot: SlotId) -> Option<Extent> {
        self.numbers.iter().find(|(known, _)| *known == slot).map(|(_, extent)| *extent)
    }

    /// What the record before tells of a look.
    pub fn last_of(&self, look: LookSpot) -> Option<Extent> {
        self.last.iter().find(|(known, _)| *known == look).map(|(_, extent)| *extent)
    }

    /// Writes down what something in a layout is worked out from. What is worked out decides which pieces follow, and each
    /// piece tells itself where it ends.
    pub fn write_given(&self, words: &mut Vec<u64>, prepared: &Prepared, worked_out: u32, reads: &Reads) {
        begin(words, prepared, worked_out);
        for input in &reads.numbers {
            match input {
                Input::Look(look) => write_extent(words, prepared.slot(*look).and_then(|slot| self.number(slot))),
                Input::Last(look) => write_extent(words, self.last_of(*look)),
                Input::InspectedOn => write_day(words, self.inspected_on),
                Input::TotalCost => {}
            }
        }
        let view = &prepared.built.layout.view;
        for look in &reads.keys {
            let slot = prepared.slot(*look).map(|slot| &view.slots[slot as usize]);
            if let Some((slot, variable)) = slot.and_then(|slot| slot.variable.map(|variable| (slot, variable))) {
                let bounds = slot.applies.bounds(&view.atoms, &self.sets, &[]);
                write_wide(words, self.sets[variable as usize]);
                words.push(u64::from(bounds.surely) << 1 | u64::from(bounds.possibly));
            }
        }
    }
}

/// Begins to write down what something in a layout is worked out from.
pub fn begin(words: &mut Vec<u64>, prepared: &Prepared, worked_out: u32) {
    words.clear();
    words.extend([prepared.number as u64, worked_out.into()]);
}

/// Adds what is known of a number or date, if anything is.
pub fn write_extent(words: &mut Vec<u64>, extent: Option<Extent>) {
    let Some(Extent { ends, nothing }) = extent else {
        return words.push(0);
    };
    words.push(1 | u64::from(nothing) << 1 | u64::from(ends.is_some()) << 2);
    if let Some((low, high)) = ends {
        write_number(words, low);
        write_number(words, high);
    }
}

/// Adds a day, if there is one.
pub fn write_day(words: &mut Vec<u64>, day: Option<i64>) {
    words.extend([day.is_some().into(), day.unwrap_or_default() as u64]);
}

/// Adds a number: nearly all are a fraction of two small numbers. Of the others nought is written first, which no fraction
/// has below its line.
fn write_number(words: &mut Vec<u64>, number: Number) {
    match (i32::try_from(*number.numer()), u32::try_from(*number.denom())) {
        (Ok(above), Ok(below)) => words.push(u64::from(above as u32) << 32 | u64::from(below)),
        _ => {
            words.push(0);
            write_wide(words, *number.numer() as u128);
            write_wide(words, *number.denom() as u128);
        }
    }
}

fn write_wide(words: &mut Vec<u64>, wide: u128) {
    words.extend([wide as u64, (wide >> 64) as u64]);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_is_kept_apart() {
        let far = i128::from(i32::MAX);
        let mut numbers: Vec<Number> = [-far - 2, -far - 1, -1, 0, 1, 2, far, far + 1, 1 << 32, 1 << 64, i128::MAX, i128::MIN]
            .map(Number::from_integer)
            .to_vec();
        let below = [2, far, far + 2, (1 << 32) - 1, (1 << 32) + 1, (1 << 64) + 1];
        numbers.extend(below.into_iter().flat_map(|below| [Number::new(1, below), Number::new(-1, below)]));
        let mut extents = vec![None];
        for nothing in [false, true] {
            extents.push(Some(Extent { ends: None, nothing }));
            for low in &numbers {
                extents.extend(numbers.iter().map(|high| Some(Extent { ends: Some((*low, *high)), nothing })));
            }
        }
        let days = [None, Some(0), Some(-1), Some(i64::MIN), Some(i64::MAX)];
        let mut known: WorkedOut<(usize, usize)> = WorkedOut::default();
        let write = |extent, day| {
            let mut words = Vec::new();
            write_extent(&mut words, extent);
            write_day(&mut words, day);
            words
        };
        for (i, extent) in extents.iter().enumerate() {
            for (j, day) in days.iter().enumerate() {
                let before = known.insert(write(*extent, *day).into(), (i, j));
                assert_eq!(before, None, "{extent:?} and {day:?}");
            }
        }
        for (i, extent) in extents.iter().enumerate() {
            for (j, day) in days.iter().enumerate() {
                assert_eq!(known.get(write(*extent, *day).as_slice()), Some(&(i, j)));
            }
        }
    }
}
