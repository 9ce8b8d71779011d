//! Comparisons written out: what they read and where they cut, and their tables over the cells.

use super::classify::{Fixed, Kind, Reading};
use super::compile::{Compiler, Walk};
use super::node::{Answer, Atom, Node, VariableId};
use super::view::Dynamic;
use super::written_out::{Asked, Compared};
use crate::book::{Book, Comparison, PartId, Value};
use crate::evaluate::{InHand, Input, LookSpot, Verdict, Worked, compare, evaluate, inputs_of};
use crate::number::Number;

/// The most tests over one look that a record's own constants may cut.
const MOST_DYNAMIC: usize = 3;

impl Compiler<'_> {
    pub(super) fn compare(&mut self, comparison: Comparison, left: &Value, right: &Value, hand: &InHand, not: bool) -> Node {
        let compared = |hand: &InHand| Compared { comparison, left: left.clone(), right: right.clone(), hand: hand.clone() };
        let mut reading = self.written_out.reading(self.book, compared(hand));
        let hand = &self.used(hand, &reading);
        let mut gate = Vec::new();
        for input in &reading.numbers {
            if let Input::Look(look) = input {
                gate.push(self.look_applies(*look));
            }
        }
        if let Kind::Dynamic(look) = reading.kind {
            let dynamic = Dynamic { comparison, left: left.clone(), right: right.clone(), hand: hand.clone() };
            let known = self.dynamics.entry(look).or_default();
            if !known.contains(&dynamic) {
                if known.len() < MOST_DYNAMIC {
                    known.push(dynamic);
                } else {
                    reading.kind = Kind::Opaque;
                }
            }
        }
        self.learn(comparison, left, right, hand, &reading);
        let keys: Vec<(LookSpot, Node)> = match reading.kind {
            Kind::Opaque | Kind::Dynamic(_) => Vec::new(),
            _ => reading.keys.iter().map(|&look| (look, self.look_applies(look))).collect(),
        };
        if self.walk == Walk::Learn {
            for (look, _) in &keys {
                self.look_variable(*look);
            }
            return Node::Met(0);
        }
        // A key look that may fail to apply splits the test: once with its choices, once with the rows of `any`.
        let doubtful: Vec<usize> = (0..keys.len()).filter(|&i| keys[i].1 != Node::Constant(true)).collect();
        let mut alternatives = Vec::new();
        for absent in 0..1_u32 << doubtful.len().min(16) {
            let is_absent = |i: usize| doubtful.iter().position(|&d| d == i).is_some_and(|bit| absent >> bit & 1 == 1);
            let guard: Vec<Node> = keys
                .iter()
                .enumerate()
                .map(|(i, (_, applies))| if is_absent(i) { Node::unmet(applies.clone()) } else { applies.clone() })
                .collect();
            let present: Vec<LookSpot> = (0..keys.len()).filter(|&i| !is_absent(i)).map(|i| keys[i].0).collect();
            let node = self.table(compared(hand), &reading, &present, not);
            alternatives.push(Node::all(guard.into_iter().chain([node])));
        }
        Node::all(gate.into_iter().chain([Node::any(alternatives)]))
    }

    /// The places in hand that a comparison reads, so that one comparison read in two ways is one.
    fn used(&self, hand: &InHand, reading: &Reading) -> InHand {
        let looks = reading.numbers.iter().filter_map(|input| match input {
            Input::Look(look) | Input::Last(look) => Some(look.look),
            Input::InspectedOn | Input::TotalCost => None,
        });
        let parts = looks.chain(reading.keys.iter().map(|key| key.look)).map(|look| self.book[look].part);
        let parts: std::collections::BTreeSet<PartId> = parts.collect();
        let in_hand = parts.into_iter().filter_map(|part| hand.spot(part).map(|spot| (part, spot)));
        in_hand.fold(InHand::nothing(), |hand, (part, spot)| hand.with(part, spot))
    }

    /// First walk: remembers what the comparison reads and where it cuts.
    fn learn(&mut self, comparison: Comparison, left: &Value, right: &Value, hand: &InHand, reading: &Reading) {
        if self.walk == Walk::Build {
            return;
        }
        match &reading.kind {
            Kind::Choices => {}
            Kind::Cuts(look, cuts) => {
                self.look_variable(*look);
                self.cuts.entry(*look).or_default().extend(cuts);
            }
            Kind::Dynamic(look) => {
                self.look_variable(*look);
            }
            Kind::Expression(cuts, left_measures) => {
                let value = if *left_measures { left } else { right };
                match self.find_expression(value, &reading.numbers) {
                    Some(at) => self.expressions[at].3.extend(cuts),
                    None => self.expressions.push((value.clone(), hand.clone(), reading.numbers.clone(), cuts.clone(), 0)),
                }
            }
            Kind::Opaque => {
                let wanted = (comparison, left.clone(), right.clone(), hand.clone(), 0);
                if !self.opaques.contains(&wanted) {
                    self.opaques.push(wanted);
                }
            }
        }
    }

    fn find_expression(&self, value: &Value, numbers: &[Input]) -> Option<usize> {
        self.expressions.iter().position(|(v, _, n, _, _)| v == value && n == numbers)
    }

    fn table(&mut self, compared: Compared, reading: &Reading, present: &[LookSpot], not: bool) -> Node {
        let Compared { comparison, left, right, hand } = &compared;
        // The variable that carries the measure.
        let measured: Option<VariableId> = match &reading.kind {
            Kind::Choices => None,
            Kind::Cuts(look, _) => Some(self.look_variable(*look)),
            Kind::Dynamic(look) => {
                let variable = self.look_variable(*look);
                let cells = self.view.variables[variable as usize].cells.len();
                let size = self.view.variables[variable as usize].size;
                let digit = self.dynamics.get(look).and_then(|known| {
                    known
                        .iter()
                        .position(|d| d.comparison == *comparison && d.left == *left && d.right == *right && d.hand == *hand)
                });
                let divisor = cells * 3_usize.pow(digit.unwrap_or(0) as u32);
                let answers = (0..size).map(|at| digit_answer(at / divisor % 3)).collect();
                return self.atom(Atom { variables: vec![(variable, 1)], answers }, not);
            }
            Kind::Expression(_, left_measures) => {
                let value = if *left_measures { left } else { right };
                let at = self.find_expression(value, &reading.numbers).unwrap_or(0);
                Some(self.expressions[at].4)
            }
            Kind::Opaque => {
                let found = self
                    .opaques
                    .iter()
                    .find(|(c, l, r, h, _)| c == comparison && l == left && r == right && h == hand)
                    .map_or(0, |(.., variable)| *variable);
                return self.single(found, 3, digit_answer, not);
            }
        };
        let rows: Vec<VariableId> = present.iter().map(|look| self.look_variable(*look)).collect();
        let size = |variable: VariableId| self.view.variables[variable as usize].size;
        let mut stride = 1_u32;
        let variables = rows.iter().copied().chain(measured).map(|variable| {
            let own = stride;
            stride *= size(variable) as u32;
            (variable, own)
        });
        let variables = variables.collect();
        let asked = Asked {
            keys: present.iter().copied().zip(rows.iter().map(|row| size(*row))).collect(),
            measured: measured.map(|variable| (size(variable), self.view.variables[variable as usize].cells.clone())),
            compared,
        };
        let book = self.book;
        let answers = self.written_out.answers(asked, |asked| answers(book, &reading.kind, asked));
        self.atom(Atom { variables, answers }, not)
    }
}

/// The answer of a comparison for each combination of its cells, the first key fastest and the measure slowest.
fn answers(book: &Book, kind: &Kind, Asked { compared, keys, measured }: &Asked) -> Vec<Answer> {
    let Compared { comparison, left, right, hand } = compared;
    let rows = keys.iter().map(|(_, size)| size).product();
    let row = |number: usize| -> Vec<(LookSpot, Option<usize>)> {
        let mut rest = number;
        let choice = |(look, size): &(LookSpot, usize)| {
            let choice = rest % size;
            rest /= size;
            (*look, Some(choice))
        };
        keys.iter().map(choice).collect()
    };
    let rows: Vec<Vec<(LookSpot, Option<usize>)>> = (0..rows).map(row).collect();
    let samples: Vec<Option<Number>> = match measured {
        Some((size, cells)) => (0..*size).map(|cell| cells.sample(cell % cells.len())).collect(),
        None => vec![None],
    };
    // A side is worked out for each row of its tables, and where it reads the measure for each cell as well.
    let side = |value: &Value, is_left: bool| -> Vec<Option<Worked>> {
        let work = |numbers: &[(Input, Number)]| {
            let each = |keys: &Vec<(LookSpot, Option<usize>)>| evaluate(book, value, hand, &Fixed { numbers, keys });
            rows.iter().map(each).collect::<Vec<_>>()
        };
        match kind {
            Kind::Expression(_, left_measures) if *left_measures == is_left => {
                samples.iter().flat_map(|sample| rows.iter().map(|_| sample.map(Worked::point))).collect()
            }
            Kind::Cuts(look, _) if reads_a_number(book, value, hand) => {
                let numbers = |sample: &Option<Number>| sample.map(|sample| (Input::Look(*look), sample));
                samples.iter().flat_map(|sample| work(numbers(sample).as_slice())).collect()
            }
            _ => work(&[]).repeat(samples.len()),
        }
    };
    let (left, right) = (side(left, true), side(right, false));
    left.into_iter().zip(right).map(|(left, right)| verdict(compare(*comparison, left, right))).collect()
}

fn reads_a_number(book: &Book, value: &Value, hand: &InHand) -> bool {
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    inputs_of(book, value, hand, &mut numbers, &mut keys);
    !numbers.is_empty()
}

fn verdict(Verdict { met, unmet, .. }: Verdict) -> Answer {
    match (met, unmet) {
        (true, _) => Answer::Met,
        (false, true) => Answer::Opposite,
        (false, false) => Answer::Neither,
    }
}

fn digit_answer(digit: usize) -> Answer {
    match digit {
        0 => Answer::Met,
        1 => Answer::Opposite,
        _ => Answer::Neither,
    }
}
