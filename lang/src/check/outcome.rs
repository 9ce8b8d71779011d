//! What surely comes of a record that shows a claim.

use super::world::World;
use crate::book::{RecordEntry, RecordPath};
use crate::evaluate::{Input, LookSpot, Spot};
use crate::finite::node::{CellSet, Node, VariableId};
use crate::finite::view::Stands;
use crate::number::Number;
use crate::saying::Saying;
use crate::search::{Question, Region, Verdict};

impl World<'_> {
    /// What a record finds and that it finds nothing else, a clause each; none where no instrument can be
    /// as it says, or where that hangs on more than the record says.
    pub fn comes_to(&self, record: &[RecordEntry]) -> Option<Vec<String>> {
        let mut left = self.space.wholes().to_vec();
        let mut applies: Vec<&Node> = Vec::new();
        for entry in record {
            match entry {
                RecordEntry::Look(look, path, saying) => {
                    let part = self.book[*look].part;
                    let spot = match path {
                        RecordPath::Single => Spot::Single,
                        RecordPath::Fixed(place) => Spot::Fixed(place.0),
                        RecordPath::Found(number) => Spot::Found(number - 1),
                    };
                    for (of, at, variable) in self.view.exists.iter().filter(|(of, ..)| *of == part) {
                        let there = record.iter().any(|entry| {
                            matches!(entry, RecordEntry::Look(look, RecordPath::Found(number), _)
                                if self.book[*look].part == *of && number - 1 == *at)
                        });
                        left[*variable as usize] &= if there { 2 } else { 1 };
                    }
                    let slot = &self.view.slots[*self.view.slot_of.get(&LookSpot { look: *look, spot })? as usize];
                    applies.push(&slot.applies);
                    for (choice, variable) in &slot.choices {
                        if let Saying::Exactly(said) = saying {
                            left[*variable as usize] &= if said.contains(choice) { 2 } else { 1 };
                        }
                    }
                    if let Some(variable) = slot.variable {
                        left[variable as usize] &= self.cells_said(variable, saying);
                    }
                }
                RecordEntry::NoPlaces(part) => {
                    for (_, _, variable) in self.view.exists.iter().filter(|(of, ..)| of == part) {
                        left[*variable as usize] &= 1;
                    }
                }
                _ => return None,
            }
        }
        for (variable, left) in left.iter_mut().enumerate() {
            *left &= self.without_more(variable as VariableId);
        }
        let mut region = Region::everywhere();
        left.iter().enumerate().for_each(|(variable, cells)| region.narrow(variable as VariableId, *cells));
        let question = || {
            let question = Question::new(&self.space).speaking_of(self.conditions()).within(&region);
            applies.iter().fold(question, |question, node| question.meeting(node))
        };
        let Verdict::Found(case) = question().answer() else { return None };
        let surely = |standing: &usize| {
            // What does not hold in one of them need not be asked.
            self.conditions().met(&self.holds[*standing], &case)
                && matches!(question().avoiding_conditions([&self.holds[*standing]]).answer(), Verdict::None(_))
        };
        let mut clauses: Vec<String> =
            (0..self.standings.len()).filter(surely).map(|standing| self.finds(standing, &case)).collect();
        clauses.push("finds nothing else".to_owned());
        Some(clauses)
    }

    /// The cells of a variable where the record has no date, and there is none before it: what is compared with either
    /// has no value.
    fn without_more(&self, variable: VariableId) -> CellSet {
        let known = &self.view.variables[variable as usize];
        let brings = |at: u8| {
            let mut case = vec![0; self.view.variables.len()];
            case[variable as usize] = at;
            self.worked_from(variable, &case).iter().any(|input| matches!(input, Input::Last(_) | Input::InspectedOn))
        };
        match &known.stands {
            Stands::Look(_, dynamics) if !dynamics.is_empty() => {
                let nothing = 3_usize.pow(dynamics.len() as u32) - 1;
                let cells = known.cells.len();
                (0..cells).fold(0, |set, cell| set | 1 << (nothing * cells + cell))
            }
            Stands::Opaque(..) | Stands::Expression(..) if brings(0) => 1 << (known.size - 1),
            _ => CellSet::MAX,
        }
    }

    /// The cells of a look's variable that a saying leaves.
    fn cells_said(&self, variable: VariableId, saying: &Saying) -> CellSet {
        let known = &self.view.variables[variable as usize];
        let cells = &known.cells;
        let allowed = |cell: usize| match saying {
            Saying::OneOf(choices) => choices.contains(&cell),
            Saying::Between { low: Some(low), high: Some(high), reading } => {
                let error = self.slot(variable).filter(|_| *reading).map_or(Number::from_integer(0), |slot| {
                    match self.book[self.view.slots[slot as usize].look.look].kind {
                        crate::book::LookKind::Measured { give_or_take: Some(error), .. } => error,
                        _ => Number::from_integer(0),
                    }
                });
                cells.within(*low - error, *high + error).contains(&cell)
            }
            _ => true,
        };
        (0..known.size).filter(|cell| allowed(cell % cells.len())).fold(0, |set, cell| set | 1 << cell)
    }
}
