//! The smallest record that shows a claim: what is written down decides it, whatever was not looked at.

use super::stand_in::stand_in;
use super::world::World;
use crate::book::{LookId, LookKind, PartId, PlaceId, Places, RecordEntry, RecordPath};
use crate::evaluate::{Input, LookSpot, Spot};
use crate::finite::node::{CellSet, Node, VariableId};
use crate::finite::view::{Slot, SlotId, Stands};
use crate::number::Number;
use crate::saying::Saying;
use crate::search::{Question, Region, Verdict};

/// Something that is written down or left out as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    /// What is said of a look at a place.
    Look(SlotId),
    /// How many places a part with places as found has.
    Places(PartId),
    /// What a value is worked out from.
    Worked(VariableId),
}

impl World<'_> {
    /// A record in which the claim is certain, as short as can be, put together from a case in which it is met; none
    /// where the claim hangs on something that looks alone do not say.
    pub fn record(&self, case: &[u8], claim: &Node) -> Option<Vec<RecordEntry>> {
        let reads = self.reads(claim);
        let mut units: Vec<Unit> = Vec::new();
        for &variable in &reads {
            if self.derived(variable) {
                units.push(Unit::Worked(variable));
            }
            let unit = match &self.view.variables[variable as usize].stands {
                Stands::Exists(part, _) => Unit::Places(*part),
                Stands::Look(..) | Stands::Choice(..) => Unit::Look(self.slot(variable)?),
                Stands::Expression(..) | Stands::Opaque(..) => continue,
                Stands::TotalUrgency | Stands::TotalTier => return None,
            };
            if !units.contains(&unit) {
                units.push(unit);
            }
        }
        // What does not apply in the case cannot be written down, and decides nothing.
        units.retain(|unit| match unit {
            Unit::Look(slot) => self.conditions().met(&self.view.slots[*slot as usize].applies, case),
            Unit::Places(part) => self.conditions().met(&self.view.parts[part.index()], case),
            Unit::Worked(variable) => self.worked_from(*variable, case).iter().all(|input| match input {
                Input::Look(spot) | Input::Last(spot) => {
                    let slot = self.view.slot_of.get(spot).map(|slot| &self.view.slots[*slot as usize]);
                    let there =
                        |slot: &Slot| if matches!(input, Input::Look(_)) { slot.applies.clone() } else { slot.place.clone() };
                    slot.is_some_and(|slot| self.conditions().met(&there(slot), case))
                }
                Input::InspectedOn | Input::TotalCost => true,
            }),
        });
        // What decides what applies is left out last to first: saying more of a part often says it as well.
        units.sort_by_key(|unit| match unit {
            Unit::Look(slot) => (1, self.context_first(*slot), *slot),
            Unit::Places(part) => (0, false, part.0),
            Unit::Worked(variable) => (0, true, *variable),
        });
        if !self.certain(&units, &reads, case, claim) {
            return None;
        }
        // A look at a place goes before the place itself can, so what was kept is tried again. One entry has to stay.
        let mut shorter = true;
        while std::mem::take(&mut shorter) {
            let mut at = 0;
            while at < units.len() && units.len() > 1 {
                let mut fewer = units.clone();
                fewer.remove(at);
                if self.whole(&fewer, case) && self.certain(&fewer, &reads, case, claim) {
                    units = fewer;
                    shorter = true;
                } else {
                    at += 1;
                }
            }
        }
        let worked: Vec<VariableId> =
            units.iter().filter_map(|unit| if let Unit::Worked(variable) = unit { Some(*variable) } else { None }).collect();
        let numbers = if worked.is_empty() { Vec::new() } else { self.numbers(&worked, case, &units)? };
        let keys = if worked.is_empty() { Vec::new() } else { self.keys(&worked, case, &numbers) };
        units.extend(keys.into_iter().map(Unit::Look).filter(|unit| !units.contains(unit)).collect::<Vec<_>>());
        Some(self.written(&units, &reads, case, &numbers))
    }

    /// The record of all that anything reads, as it is seen in a case. What is worked out from numbers may come out otherwise:
    /// whoever needs it has to look.
    pub fn full_record(&self, case: &[u8]) -> Vec<RecordEntry> {
        let met = |node: &Node| self.conditions().met(node, case);
        let reads: Vec<VariableId> = (0..self.view.variables.len() as VariableId).collect();
        let found = |at: &usize| matches!(self.book.parts[*at].places, Places::AsFound) && met(&self.view.parts[*at]);
        let places = (0..self.book.parts.len()).filter(found).map(|at| Unit::Places(PartId::from_index(at)));
        let read = |slot: &Slot| slot.variable.is_some() || !slot.choices.is_empty();
        let slots = self.view.slots.iter().enumerate().filter(|(_, slot)| read(slot) && met(&slot.applies));
        let units: Vec<Unit> = places.chain(slots.map(|(at, _)| Unit::Look(at as SlotId))).collect();
        self.written(&units, &reads, case, &[])
    }

    /// Numbers from which the worked-out values come out as in the case, and with which the record can be: in the cells
    /// that the case gives to their looks, or else in others that go together with all that is written down.
    fn numbers(&self, worked: &[VariableId], case: &[u8], units: &[Unit]) -> Option<Vec<(Input, Number)>> {
        if let Some(numbers) = self.work_out(worked, case, &|_| true) {
            return Some(numbers);
        }
        let numbers = self.work_out(worked, case, &|slot| units.contains(&Unit::Look(slot)))?;
        let mut region = Region::everywhere();
        for unit in units {
            if let Unit::Look(_) = unit {
                for variable in 0..self.view.variables.len() as VariableId {
                    region.narrow(variable, self.left_by(*unit, variable, case));
                }
            }
        }
        let mut applies = Vec::new();
        let looks = units.iter().filter_map(|unit| if let Unit::Look(slot) = unit { Some(*slot) } else { None });
        applies.extend(looks.map(|slot| &self.view.slots[slot as usize].applies));
        for (input, number) in &numbers {
            let Input::Look(spot) = input else { continue };
            let slot = &self.view.slots[*self.view.slot_of.get(spot)? as usize];
            applies.push(&slot.applies);
            let Some(variable) = slot.variable else { continue };
            let known = &self.view.variables[variable as usize];
            let holds = known.cells.within(*number, *number);
            let cells = (0..known.size).filter(|cell| holds.contains(&(cell % known.cells.len())));
            region.narrow(variable, cells.fold(0, |set, cell| set | 1 << cell));
        }
        let question = Question::new(&self.space).speaking_of(self.conditions()).within(&region);
        let question = applies.into_iter().fold(question, |question, node| question.meeting(node));
        matches!(question.answer(), Verdict::Found(_)).then_some(numbers)
    }

    fn context_first(&self, slot: SlotId) -> bool {
        !self.book[self.book[self.view.slots[slot as usize].look.look].part].context
    }

    /// Whether looks at places as found stand only where their number is written down as well, and looks that apply by
    /// something else that a record brings along only beside that.
    fn whole(&self, units: &[Unit], case: &[u8]) -> bool {
        units.iter().all(|unit| match unit {
            Unit::Look(slot) => {
                let at = &self.view.slots[*slot as usize];
                let place =
                    !matches!(at.look.spot, Spot::Found(_)) || units.contains(&Unit::Places(self.book[at.look.look].part));
                place
                    && self
                        .reads(&at.applies)
                        .iter()
                        .filter(|variable| self.brought(&at.applies, **variable, case))
                        .all(|variable| units.contains(&Unit::Worked(*variable)))
            }
            Unit::Places(_) | Unit::Worked(_) => true,
        })
    }

    /// Whether a condition hangs on a variable for something that no look shows: the record's date, or the record before.
    pub fn brought(&self, node: &Node, variable: VariableId, case: &[u8]) -> bool {
        let from = || self.worked_from(variable, case);
        self.hangs_on_more(node, variable) && from().iter().any(|input| !matches!(input, Input::Look(_)))
    }

    /// Whether a condition hangs on what a variable stands for beside what its own look shows.
    fn hangs_on_more(&self, node: &Node, variable: VariableId) -> bool {
        let known = &self.view.variables[variable as usize];
        if !matches!(known.stands, Stands::Look(..)) {
            return self.derived(variable);
        }
        let cells = known.cells.len();
        let mut more = false;
        node.visit(
            &mut |atom| {
                let atom = &self.view.atoms[atom as usize];
                // What a record brings along is always asked by a test of its own.
                more |= matches!(atom.variables[..], [(of, _)] if of == variable)
                    && (0..known.size).any(|cell| atom.answers[cell] != atom.answers[cell % cells]);
            },
            &mut |_| {},
        );
        more
    }

    /// Whether the claim is met in every case that a record of these units leaves.
    fn certain(&self, units: &[Unit], reads: &[VariableId], case: &[u8], claim: &Node) -> bool {
        let mut region = Region::everywhere();
        let mut applies = Vec::new();
        for &variable in reads {
            for unit in units {
                region.narrow(variable, self.left_by(*unit, variable, case));
            }
        }
        for unit in units {
            match unit {
                Unit::Look(slot) => applies.push(&self.view.slots[*slot as usize].applies),
                Unit::Worked(variable) => applies.extend(self.worked_from(*variable, case).into_iter().filter_map(|input| {
                    let Input::Look(spot) = input else { return None };
                    Some(&self.view.slots[*self.view.slot_of.get(&spot)? as usize].applies)
                })),
                Unit::Places(_) => {}
            }
        }
        let question = Question::new(&self.space).speaking_of(self.conditions()).within(&region);
        let question = applies.into_iter().fold(question, |question, node| question.meeting(node));
        matches!(question.avoiding_conditions([claim]).answer(), Verdict::None(_))
    }

    /// The cells that a unit, written down as in a case, leaves to a variable.
    fn left_by(&self, unit: Unit, variable: VariableId, case: &[u8]) -> CellSet {
        let known = &self.view.variables[variable as usize];
        let here = case[variable as usize] as usize;
        let fixed = match (unit, &known.stands) {
            (Unit::Places(part), Stands::Exists(of, _)) => part == *of,
            (Unit::Worked(worked), Stands::Look(..)) if worked == variable => {
                // How a look compares with what the record brings along leaves open what it shows.
                let cells = known.cells.len();
                return (0..known.size).filter(|cell| cell / cells == here / cells).fold(0, |set, cell| set | 1 << cell);
            }
            (Unit::Worked(worked), _) => worked == variable,
            (Unit::Look(slot), Stands::Choice(..)) => self.slot(variable) == Some(slot),
            (Unit::Look(slot), Stands::Look(..)) if self.slot(variable) == Some(slot) => {
                // What a record brings along cuts the look once more: that is left open.
                let cells = known.cells.len();
                return (0..known.size).filter(|cell| cell % cells == here % cells).fold(0, |set, cell| set | 1 << cell);
            }
            _ => false,
        };
        if fixed { 1 << here } else { CellSet::MAX }
    }

    fn written(&self, units: &[Unit], reads: &[VariableId], case: &[u8], numbers: &[(Input, Number)]) -> Vec<RecordEntry> {
        let mut entries: Vec<(u32, RecordEntry)> = numbers.iter().filter_map(|number| self.number(*number, case)).collect();
        let mut looks: Vec<SlotId> =
            units.iter().filter_map(|unit| if let Unit::Look(slot) = unit { Some(*slot) } else { None }).collect();
        for unit in units {
            let Unit::Places(part) = unit else { continue };
            let there = self.there(*part, case);
            if there.is_empty() {
                entries.push((u32::MAX, RecordEntry::NoPlaces(*part)));
            }
            for spot in there {
                let of = |slot: &SlotId| {
                    let look = self.view.slots[*slot as usize].look;
                    look.spot == spot && self.book[look.look].part == *part
                };
                // A place is there once something is said of it.
                if !looks.iter().any(of) {
                    let slots = || (0..self.view.slots.len() as SlotId).filter(of);
                    let applies = |slot: &SlotId| self.conditions().met(&self.view.slots[*slot as usize].applies, case);
                    match slots().find(|slot| self.sayable(*slot)).or_else(|| slots().find(applies)) {
                        Some(slot) => looks.push(slot),
                        // Nothing can be seen of it there, but that it is well.
                        None => {
                            let good = RecordEntry::Good(*part, Some(self.place(*part, spot, case)));
                            entries.push((slots().next().unwrap_or(u32::MAX), good));
                        }
                    }
                }
            }
        }
        // A number that something is worked out from is written as it is.
        looks.retain(|slot| {
            let spot = self.view.slots[*slot as usize].look;
            !numbers.iter().any(|(input, _)| *input == Input::Look(spot))
        });
        for slot in looks {
            if let Some(entry) = self.entry(slot, reads, case) {
                entries.push((slot, entry));
            }
        }
        entries.sort_by_key(|(slot, _)| *slot);
        entries.into_iter().map(|(_, entry)| entry).collect()
    }

    /// What a record says so that an input has just this value.
    fn number(&self, (input, number): (Input, Number), case: &[u8]) -> Option<(u32, RecordEntry)> {
        let said = |spot: LookSpot| match self.book[spot.look].kind {
            LookKind::Dated => {
                let day = i64::try_from(number.to_integer()).ok();
                Saying::DateBetween(day, day)
            }
            LookKind::Measured { give_or_take: Some(_), .. } => {
                Saying::Between { low: Some(number), high: Some(number), reading: false }
            }
            _ => Saying::Between { low: Some(number), high: Some(number), reading: true },
        };
        match input {
            Input::Look(spot) => {
                let slot = self.view.slot_of.get(&spot).copied()?;
                Some((slot, RecordEntry::Look(spot.look, self.path(spot.look, spot.spot, case), said(spot))))
            }
            Input::Last(spot) => {
                Some((u32::MAX, RecordEntry::Last(spot.look, self.path(spot.look, spot.spot, case), said(spot))))
            }
            Input::InspectedOn => Some((0, RecordEntry::InspectedOn(i64::try_from(number.to_integer()).ok()?))),
            Input::TotalCost => None,
        }
    }

    /// The places as found of a part that are there in a case.
    fn there(&self, part: PartId, case: &[u8]) -> Vec<Spot> {
        let there = |(of, at, variable): &(PartId, u32, VariableId)| {
            (*of == part && case[*variable as usize] == 1).then_some(Spot::Found(*at))
        };
        self.view.exists.iter().filter_map(there).collect()
    }

    fn sayable(&self, slot: SlotId) -> bool {
        let slot = &self.view.slots[slot as usize];
        self.book[slot.look.look].only_when.is_none()
    }

    fn entry(&self, slot: SlotId, reads: &[VariableId], case: &[u8]) -> Option<RecordEntry> {
        let at = &self.view.slots[slot as usize];
        let look = &self.book[at.look.look];
        let saying = match (&look.kind, at.variable) {
            (LookKind::SomeOf(_), _) => {
                let has = |(_, variable): &&(usize, VariableId)| reads.contains(variable) && case[*variable as usize] == 1;
                Saying::Exactly(at.choices.iter().filter(has).map(|(choice, _)| *choice).collect())
            }
            (LookKind::Written, _) => Saying::Text("seen".to_owned()),
            (LookKind::YesNo, None) => Saying::OneOf(vec![0]),
            (LookKind::OneOf(_), None) => Saying::OneOf(vec![0]),
            (_, Some(variable)) => {
                let cells = &self.view.variables[variable as usize].cells;
                stand_in(look, cells, case[variable as usize] as usize % cells.len(), self.book.money)?
            }
            (_, None) => stand_in(look, &crate::cells::Cells::of(look, &[]), 0, self.book.money)?,
        };
        Some(RecordEntry::Look(at.look.look, self.path(at.look.look, at.look.spot, case), saying))
    }

    /// A place as a record writes it: places as found are numbered from 1, those that are not there left out.
    pub fn path(&self, look: LookId, spot: Spot, case: &[u8]) -> RecordPath {
        self.place(self.book[look].part, spot, case)
    }

    /// The same for a place of a part.
    pub fn place(&self, part: PartId, spot: Spot, case: &[u8]) -> RecordPath {
        match (&self.book[part].places, spot) {
            (Places::Fixed(_), Spot::Fixed(at)) => RecordPath::Fixed(PlaceId(at)),
            (Places::AsFound, Spot::Found(_)) => {
                let at = self.there(part, case).iter().position(|there| *there == spot).unwrap_or(0);
                RecordPath::Found(at as u32 + 1)
            }
            _ => RecordPath::Single,
        }
    }
}
