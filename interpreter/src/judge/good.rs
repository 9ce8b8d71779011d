//! What is good of a look.

use purfle_lang::book::{Book, Good};
use purfle_lang::evaluate::{InHand, Inputs, evaluate, inputs_of};

use super::extent::{Extent, cells_within, spread, whole_extent};
use super::from_record::FromRecord;
use super::intake::Seen;
use super::prepared::{Prepared, Reads};
use purfle_lang::finite::classify::Fixed;
use purfle_lang::finite::node::{CellSet, VariableId};
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

/// The variables of a look's choices, and what is good of each.
pub fn good_choices<'a>(
    book: &'a Book,
    prepared: &'a Prepared,
    slot: SlotId,
) -> impl Iterator<Item = (VariableId, CellSet)> + 'a {
    let place = &prepared.built.layout.view.slots[slot as usize];
    place.choices.iter().filter_map(|(choice, variable)| match &book[place.look.look].good {
        Some(Good::Choices(chosen)) => Some((*variable, if chosen.contains(choice) { 0b10 } else { 0b01 })),
        _ => None,
    })
}

/// Looks of a part, one after another, with what is good of them whatever the record says: all that is to be filled where
/// the part is good and nothing was said of it.
#[derive(Debug, Default)]
pub struct Filled {
    /// The looks.
    pub slots: Vec<SlotId>,
    /// The cells that are left of their variables.
    pub sets: Vec<(VariableId, CellSet)>,
    /// How many of the variables are each room's own.
    pub rooms: Vec<(u32, u32)>,
    /// Their numbers and dates, where they are needed.
    pub numbers: Vec<(SlotId, Extent)>,
    /// Variables whose answers are only enclosed.
    pub blurred: Vec<VariableId>,
    /// The look that comes next, of which what is good hangs on the record, and on the looks before it.
    pub then: Option<SlotId>,
}

/// What is to be filled of a part with these looks.
pub fn filled(book: &Book, prepared: &Prepared, slots: &[SlotId]) -> Vec<Filled> {
    let mut all = vec![Filled::default()];
    for &slot in slots {
        let last = all.len() - 1;
        match &prepared.good[slot as usize] {
            GoodIs::Always(None) => {}
            GoodIs::Always(Some(good)) => all[last].add(book, prepared, slot, good),
            GoodIs::ByRecord(_) => {
                all[last].then = Some(slot);
                all.push(Filled::default());
            }
        }
    }
    all
}

impl Filled {
    fn add(&mut self, book: &Book, prepared: &Prepared, slot: SlotId, good: &GoodOf) {
        self.slots.push(slot);
        let variable = prepared.built.layout.view.slots[slot as usize].variable;
        self.blurred.extend(variable.filter(|_| !good.settled));
        self.numbers.extend(good.extent.filter(|_| prepared.needs_number[slot as usize]).map(|extent| (slot, extent)));
        for (variable, set) in variable.map(|variable| (variable, good.set)).into_iter().chain(good_choices(book, prepared, slot))
        {
            self.sets.push((variable, set));
            if let Some(room) = prepared.room_of[variable as usize] {
                match self.rooms.iter_mut().find(|(known, _)| *known == room) {
                    Some((_, count)) => *count += 1,
                    None => self.rooms.push((room, 1)),
                }
            }
        }
    }
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

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use purfle_lang::book::{PartId, RecordPath};
    use purfle_lang::saying::Saying;

    use super::super::Judge;
    use crate::load::load_text;
    use crate::plan::Plan;
    use crate::record::{Entry, Record};

    #[test]
    fn a_part_is_filled_from_its_list_as_it_is_look_by_look() {
        let text = include_str!("../../../rulebooks/first-look.purfle");
        let book = Arc::new(load_text("first-look.purfle", text.to_owned()).book.expect("a book"));
        let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(&book))));
        let instrument = *book.part_names.get("instrument").expect("a part");
        let kind = book.find_look(instrument, "kind").expect("a look");
        let mut filled = 0;
        for kinds in [vec![], vec![0], vec![1], vec![2], vec![3], vec![0, 2]] {
            for part in (0..book.parts.len()).map(PartId::from_index) {
                let kind = Entry::Look(kind, RecordPath::Single, Arc::new(Saying::OneOf(kinds.clone())));
                let kind = Some(kind).filter(|_| !kinds.is_empty());
                let mut taken = |entries: &[Entry]| {
                    let entries = kind.iter().chain(entries).cloned().collect();
                    let Ok(prepared) = judge.taken(&Record { entries, ..Record::default() }) else { panic!("it is too fine") };
                    (prepared, std::mem::take(&mut judge.seen))
                };
                let (prepared, whole) = taken(&[Entry::Good(part, None)]);
                // Of a part that anything else is said of, each look is gone to.
                let (_, single) = taken(&[Entry::NoPlaces(part), Entry::Good(part, None)]);
                assert_eq!(whole.sets, single.sets, "{part:?}");
                assert_eq!(whole.marks, single.marks, "{part:?}");
                assert_eq!(whole.touched, single.touched, "{part:?}");
                assert_eq!(whole.numbers, single.numbers, "{part:?}");
                assert_eq!(whole.blurred, single.blurred, "{part:?}");
                assert_eq!(whole.empty, single.empty, "{part:?}");
                filled += prepared.good_parts[part.index()].iter().filter(|filled| !filled.slots.is_empty()).count();
            }
        }
        assert!(filled > 0);
    }
}
