//! The smallest record that shows a claim: what is written down decides it, whatever was not looked at.

use super::stand_in::stand_in;
use super::world::World;
use crate::book::{LookId, LookKind, PartId, PlaceId, Places, RecordEntry, RecordPath};
use crate::evaluate::Spot;
use crate::finite::node::{CellSet, Node, VariableId};
use crate::finite::view::{SlotId, Stands};
use crate::saying::Saying;
use crate::search::{Question, Region, Verdict};

/// Something that is written down or left out as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Unit {
    /// What is said of a look at a place.
    Look(SlotId),
    /// How many places a part with places as found has.
    Places(PartId),
}

impl World<'_> {
    /// A record in which the claim is certain, as short as can be, put together from a case in which it is met; none
    /// where the claim hangs on something that looks alone do not say.
    pub fn record(&self, case: &[u8], claim: &Node) -> Option<Vec<RecordEntry>> {
        let reads = self.reads(claim);
        let mut units: Vec<Unit> = Vec::new();
        for &variable in &reads {
            let unit = match &self.view.variables[variable as usize].stands {
                Stands::Exists(part, _) => Unit::Places(*part),
                Stands::Look(..) | Stands::Choice(..) if !self.derived(variable) => Unit::Look(self.slot(variable)?),
                _ => return None,
            };
            if !units.contains(&unit) {
                units.push(unit);
            }
        }
        // What does not apply in the case cannot be written down, and decides nothing.
        units.retain(|unit| match unit {
            Unit::Look(slot) => self.conditions().met(&self.view.slots[*slot as usize].applies, case),
            Unit::Places(_) => true,
        });
        // What decides what applies is left out last to first: saying more of a part often says it as well.
        units.sort_by_key(|unit| match unit {
            Unit::Look(slot) => (1, self.context_first(*slot), *slot),
            Unit::Places(part) => (0, false, part.0),
        });
        if !self.certain(&units, &reads, case, claim) {
            return None;
        }
        let mut at = 0;
        while at < units.len() {
            let mut fewer = units.clone();
            fewer.remove(at);
            if self.whole(&fewer) && self.certain(&fewer, &reads, case, claim) {
                units = fewer;
            } else {
                at += 1;
            }
        }
        Some(self.written(&units, &reads, case))
    }

    fn context_first(&self, slot: SlotId) -> bool {
        !self.book[self.book[self.view.slots[slot as usize].look.look].part].context
    }

    /// Whether looks at places as found stand only where their number is written down as well.
    fn whole(&self, units: &[Unit]) -> bool {
        units.iter().all(|unit| match unit {
            Unit::Look(slot) => {
                let look = self.view.slots[*slot as usize].look;
                !matches!(look.spot, Spot::Found(_)) || units.contains(&Unit::Places(self.book[look.look].part))
            }
            Unit::Places(_) => true,
        })
    }

    /// Whether the claim is met in every case that a record of these units leaves.
    fn certain(&self, units: &[Unit], reads: &[VariableId], case: &[u8], claim: &Node) -> bool {
        let mut region = Region::everywhere();
        let mut applies = Vec::new();
        for &variable in reads {
            if units.iter().any(|unit| self.is_of(*unit, variable)) {
                region.narrow(variable, 1 << case[variable as usize] as CellSet);
            }
        }
        for unit in units {
            if let Unit::Look(slot) = unit {
                applies.push(&self.view.slots[*slot as usize].applies);
            }
        }
        let question = Question::new(&self.space).speaking_of(self.conditions()).within(&region);
        let question = applies.into_iter().fold(question, |question, node| question.meeting(node));
        matches!(question.avoiding_conditions([claim]).answer(), Verdict::None(_))
    }

    fn is_of(&self, unit: Unit, variable: VariableId) -> bool {
        match (unit, &self.view.variables[variable as usize].stands) {
            (Unit::Places(part), Stands::Exists(of, _)) => part == *of,
            (Unit::Look(slot), Stands::Look(..) | Stands::Choice(..)) => self.slot(variable) == Some(slot),
            _ => false,
        }
    }

    fn written(&self, units: &[Unit], reads: &[VariableId], case: &[u8]) -> Vec<RecordEntry> {
        let mut entries = Vec::new();
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
                if !looks.iter().any(of)
                    && let Some(slot) = (0..self.view.slots.len() as SlotId).find(|slot| of(slot) && self.sayable(*slot))
                {
                    looks.push(slot);
                }
            }
        }
        for slot in looks {
            if let Some(entry) = self.entry(slot, reads, case) {
                entries.push((slot, entry));
            }
        }
        entries.sort_by_key(|(slot, _)| *slot);
        entries.into_iter().map(|(_, entry)| entry).collect()
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
                stand_in(look, cells, case[variable as usize] as usize % cells.len())?
            }
            (_, None) => stand_in(look, &crate::cells::Cells::of(look, &[]), 0)?,
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
