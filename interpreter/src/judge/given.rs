//! What a record gives of all that something is worked out from, written as a key to remember it by.

use purfle_lang::evaluate::{Input, LookSpot};
use purfle_lang::number::Number;

use super::extent::Extent;
use super::intake::Seen;
use super::key::Key;
use super::prepared::{Prepared, Reads};
use purfle_lang::finite::view::SlotId;

impl Seen {
    /// The number or date of a look that needs it, if the record tells anything of it.
    pub fn number(&self, slot: SlotId) -> Option<Extent> {
        self.numbers.iter().find(|(known, _)| *known == slot).map(|(_, extent)| *extent)
    }

    /// What the record before tells of a look.
    pub fn last_of(&self, look: LookSpot) -> Option<Extent> {
        self.last.iter().find(|(known, _)| *known == look).map(|(_, extent)| *extent)
    }

    /// Makes the key of something in a layout that is worked out from all this. What is worked out decides which pieces
    /// follow, and each piece tells itself where it ends.
    pub fn write_given(&self, key: &mut Key, prepared: &Prepared, worked_out: u32, reads: &Reads) {
        begin(key, prepared, worked_out);
        for input in &reads.numbers {
            match input {
                Input::Look(look) => write_extent(key, prepared.slot(*look).and_then(|slot| self.number(slot))),
                Input::Last(look) => write_extent(key, self.last_of(*look)),
                Input::InspectedOn => write_day(key, self.inspected_on),
                Input::TotalCost => {}
            }
        }
        let view = &prepared.built.layout.view;
        for look in &reads.keys {
            let slot = prepared.slot(*look).map(|slot| &view.slots[slot as usize]);
            if let Some((slot, variable)) = slot.and_then(|slot| slot.variable.map(|variable| (slot, variable))) {
                let bounds = slot.applies.bounds(&view.atoms, &self.sets, &[]);
                key.push(self.sets[variable as usize], 128);
                key.push(u128::from(bounds.surely) << 1 | u128::from(bounds.possibly), 2);
            }
        }
    }
}

/// Begins the key of something in a layout.
pub fn begin(key: &mut Key, prepared: &Prepared, worked_out: u32) {
    key.clear();
    key.push(u128::from(worked_out) << 32 | prepared.number as u128, 64);
}

/// Adds what is known of a number or date, if anything is.
pub fn write_extent(key: &mut Key, extent: Option<Extent>) {
    let Some(Extent { ends, nothing }) = extent else {
        return key.push(0, 3);
    };
    key.push(1 | u128::from(nothing) << 1 | u128::from(ends.is_some()) << 2, 3);
    if let Some((low, high)) = ends {
        write_number(key, low);
        write_number(key, high);
    }
}

/// Adds a day, if there is one.
pub fn write_day(key: &mut Key, day: Option<i64>) {
    key.push(day.is_some().into(), 1);
    if let Some(day) = day {
        key.push((day as u64).into(), 64);
    }
}

/// Adds a number: nearly all are a fraction of two small numbers. Of the others nought is written first, which no fraction
/// has below its line.
fn write_number(key: &mut Key, number: Number) {
    match (i32::try_from(*number.numer()), u32::try_from(*number.denom())) {
        (Ok(above), Ok(below)) => key.push(u128::from(above as u32) << 32 | u128::from(below), 64),
        _ => {
            key.push(0, 64);
            key.push(*number.numer() as u128, 128);
            key.push(*number.denom() as u128, 128);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::key::KeyMap;
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
        let (mut map, mut key) = (KeyMap::default(), Key::default());
        let write = |key: &mut Key, extent, day| {
            key.clear();
            write_extent(key, extent);
            write_day(key, day);
        };
        for (i, extent) in extents.iter().enumerate() {
            for (j, day) in days.iter().enumerate() {
                write(&mut key, *extent, *day);
                assert_eq!(map.get(&key), None, "{extent:?} and {day:?}");
                map.insert(&key, (i, j));
            }
        }
        for (i, extent) in extents.iter().enumerate() {
            for (j, day) in days.iter().enumerate() {
                write(&mut key, *extent, *day);
                assert_eq!(map.get(&key), Some(&(i, j)));
            }
        }
    }
}
