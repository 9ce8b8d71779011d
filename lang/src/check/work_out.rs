//! Numbers and dates from which what a case says of worked-out values comes out: somebody could have measured them.

use num_traits::{One, Zero};

use super::world::World;
use crate::book::{Comparison, LookKind, Value};
use crate::cells::{Cell, Cells};
use crate::evaluate::{InHand, Input, LookSpot, compare, evaluate, inputs_of};
use crate::finite::classify::{Fixed, key_size};
use crate::finite::node::VariableId;
use crate::finite::view::{Dynamic, SlotId, Stands};
use crate::number::Number;
use crate::unit::parse_date;

/// The most combinations of values that are tried.
const MOST_TRIED: usize = 50_000;

/// The day a record is made on, where a claim needs one.
const A_DAY: &str = "2026-03-02";

/// Days before that day which are tried for a date.
const DAYS_BEFORE: [i128; 12] = [0, 1, 7, 30, 90, 180, 300, 366, 400, 800, 1_500, 4_000];

/// Days after that day which are tried for the record's own date.
const DAYS_AFTER: [i128; 8] = [0, 1, 30, 180, 366, 800, 1_500, 4_000];

/// What a worked-out variable must come to.
enum Wanted<'w> {
    /// A value in this cell; none where it has no value.
    Cell(&'w Value, &'w InHand, &'w Cells, usize),
    /// A comparison that is met (0), whose opposite is (1), or neither (2).
    Answer(Comparison, &'w Value, &'w Value, &'w InHand, usize),
}

impl World<'_> {
    /// Values of what the worked-out variables among these read, so that each has its cell of the case; none where none
    /// were found. A look that is `settled` has to stay in its cell.
    pub fn work_out(
        &self,
        variables: &[VariableId],
        case: &[u8],
        settled: &dyn Fn(SlotId) -> bool,
    ) -> Option<Vec<(Input, Number)>> {
        let wanted: Vec<Wanted> = variables.iter().flat_map(|variable| self.wanted(*variable, case)).collect();
        let (mut inputs, mut keys) = (Vec::new(), Vec::new());
        for wanted in &wanted {
            match wanted {
                Wanted::Cell(value, hand, ..) => inputs_of(self.book, value, hand, &mut inputs, &mut keys),
                Wanted::Answer(_, left, right, hand, _) => {
                    inputs_of(self.book, left, hand, &mut inputs, &mut keys);
                    inputs_of(self.book, right, hand, &mut inputs, &mut keys);
                }
            }
        }
        inputs.sort_unstable();
        inputs.dedup();
        let keys: Vec<(LookSpot, Option<usize>)> = keys.into_iter().map(|key| (key, self.choice(key, case))).collect();
        let candidates: Vec<Vec<Number>> =
            inputs.iter().map(|input| self.candidates(*input, case, settled)).collect::<Option<_>>()?;
        let all: usize = candidates.iter().map(Vec::len).product();
        for at in 0..all.min(MOST_TRIED) {
            let mut rest = at;
            let numbers: Vec<(Input, Number)> = inputs
                .iter()
                .zip(&candidates)
                .map(|(input, candidates)| {
                    let number = candidates[rest % candidates.len()];
                    rest /= candidates.len();
                    (*input, number)
                })
                .collect();
            let fixed = Fixed { numbers: &numbers, keys: &keys };
            if wanted.iter().all(|wanted| self.comes_out(wanted, &fixed)) {
                return Some(numbers);
            }
        }
        None
    }

    /// What a worked-out value reads.
    pub fn worked_from(&self, variable: VariableId, case: &[u8]) -> Vec<Input> {
        let (mut inputs, mut keys) = (Vec::new(), Vec::new());
        for wanted in self.wanted(variable, case) {
            match wanted {
                Wanted::Cell(value, hand, ..) => inputs_of(self.book, value, hand, &mut inputs, &mut keys),
                Wanted::Answer(_, left, right, hand, _) => {
                    inputs_of(self.book, left, hand, &mut inputs, &mut keys);
                    inputs_of(self.book, right, hand, &mut inputs, &mut keys);
                }
            }
        }
        inputs
    }

    fn wanted(&self, variable: VariableId, case: &[u8]) -> Vec<Wanted<'_>> {
        let known = &self.view.variables[variable as usize];
        let cell = case[variable as usize] as usize;
        match &known.stands {
            Stands::Expression(value, hand) => vec![Wanted::Cell(value, hand, &known.cells, cell)],
            Stands::Opaque(comparison, left, right, hand) => vec![Wanted::Answer(*comparison, left, right, hand, cell)],
            Stands::Look(_, dynamics) => {
                let mut rest = cell / known.cells.len();
                let mut wanted = Vec::new();
                for Dynamic { comparison, left, right, hand } in dynamics {
                    wanted.push(Wanted::Answer(*comparison, left, right, hand, rest % 3));
                    rest /= 3;
                }
                wanted
            }
            Stands::Choice(..) | Stands::Exists(..) | Stands::TotalUrgency | Stands::TotalTier => Vec::new(),
        }
    }

    fn comes_out(&self, wanted: &Wanted<'_>, inputs: &Fixed<'_>) -> bool {
        match wanted {
            Wanted::Cell(value, hand, cells, cell) => match evaluate(self.book, value, hand, inputs) {
                Some(worked) => cells.within(worked.low.0, worked.high.1) == (*cell..*cell + 1),
                None => *cell == cells.len(),
            },
            Wanted::Answer(comparison, left, right, hand, digit) => {
                let (left, right) = (evaluate(self.book, left, hand, inputs), evaluate(self.book, right, hand, inputs));
                let verdict = compare(*comparison, left, right);
                (if verdict.met {
                    0
                } else if verdict.unmet {
                    1
                } else {
                    2
                }) == *digit
            }
        }
    }

    /// The looks that pick a row from which these come out as in the case, without which they would not.
    pub fn keys(&self, variables: &[VariableId], case: &[u8], numbers: &[(Input, Number)]) -> Vec<SlotId> {
        let wanted: Vec<Wanted> = variables.iter().flat_map(|variable| self.wanted(*variable, case)).collect();
        let mut keys = self.keys_of(&wanted);
        let out = |keys: &[(LookSpot, Option<usize>)]| {
            let fixed = Fixed { numbers, keys };
            wanted.iter().all(|wanted| self.comes_out(wanted, &fixed))
        };
        let seen: Vec<(LookSpot, Option<usize>)> = keys.iter().map(|key| (*key, self.choice(*key, case))).collect();
        keys.retain(|key| {
            let others = (0..key_size(self.book, *key)).map(Some).chain([None]);
            !others.into_iter().all(|choice| {
                let tried: Vec<_> = seen.iter().map(|(other, was)| (*other, if other == key { choice } else { *was })).collect();
                out(&tried)
            })
        });
        keys.iter().filter_map(|key| self.view.slot_of.get(key).copied()).collect()
    }

    fn keys_of(&self, wanted: &[Wanted<'_>]) -> Vec<LookSpot> {
        let (mut inputs, mut keys) = (Vec::new(), Vec::new());
        for wanted in wanted {
            match wanted {
                Wanted::Cell(value, hand, ..) => inputs_of(self.book, value, hand, &mut inputs, &mut keys),
                Wanted::Answer(_, left, right, hand, _) => {
                    inputs_of(self.book, left, hand, &mut inputs, &mut keys);
                    inputs_of(self.book, right, hand, &mut inputs, &mut keys);
                }
            }
        }
        keys.sort_unstable();
        keys.dedup();
        keys
    }

    fn choice(&self, key: LookSpot, case: &[u8]) -> Option<usize> {
        let slot = &self.view.slots[*self.view.slot_of.get(&key)? as usize];
        let applies = self.conditions().met(&slot.applies, case);
        if !applies {
            return None;
        }
        // What nothing else reads is written as its first choice.
        Some(
            slot.variable
                .map_or(0, |variable| case[variable as usize] as usize % self.view.variables[variable as usize].cells.len()),
        )
    }

    /// Values worth trying; none for what no record says.
    fn candidates(&self, input: Input, case: &[u8], settled: &dyn Fn(SlotId) -> bool) -> Option<Vec<Number>> {
        let day = Number::from_integer(i128::from(parse_date(A_DAY).unwrap_or_default()));
        let (spot, last) = match input {
            Input::Look(spot) => (spot, false),
            Input::Last(spot) => (spot, true),
            Input::InspectedOn => {
                return Some(DAYS_AFTER.iter().map(|days| day + Number::from_integer(*days)).collect());
            }
            Input::TotalCost => return None,
        };
        let look = &self.book[spot.look];
        let slot = *self.view.slot_of.get(&spot)?;
        let variable = self.view.slots[slot as usize].variable;
        let own = variable.filter(|_| !last && settled(slot)).and_then(|variable| {
            let cells = &self.view.variables[variable as usize].cells;
            cells.get(case[variable as usize] as usize % cells.len())
        });
        let (from, to) = match look.kind {
            LookKind::Measured { from, to, .. } | LookKind::Priced { from, to } => (from, to),
            LookKind::Counted { from, to } => (Number::from_integer(from.into()), Number::from_integer(to.into())),
            LookKind::Dated => {
                let mut days: Vec<Number> = DAYS_BEFORE.iter().map(|days| day - Number::from_integer(*days)).collect();
                match own {
                    Some(Cell::Point(number)) => days = vec![number],
                    Some(Cell::Between(low, high)) => {
                        days.extend([low.floor() + Number::one(), high.ceil() - Number::one()]);
                        days.retain(|day| low < *day && *day < high);
                    }
                    Some(Cell::NoDate | Cell::Choice(_)) => return None,
                    None => {}
                }
                return Some(days);
            }
            _ => return None,
        };
        let (low, high) = match own {
            Some(Cell::Point(number)) => return Some(vec![number]),
            Some(Cell::Between(low, high)) => (low.max(from), high.min(to)),
            _ => (from, to),
        };
        let whole = matches!(look.kind, LookKind::Counted { .. });
        let share = |part: i128| low + (high - low) * Number::new(part, 16);
        let mut candidates: Vec<Number> =
            [8, 4, 12, 2, 14, 1, 15].map(share).into_iter().map(|number| if whole { number.round() } else { number }).collect();
        if own.is_none() {
            candidates.extend([from, to]);
        }
        candidates.retain(|number| !(*number - low).is_zero() || own.is_none());
        Some(candidates)
    }
}
