//! Comparisons written out: what they read and where they cut, and their tables over the cells.

use super::classify::{Fixed, Kind, Reading, read};
use super::compile::{Compiler, Walk};
use super::node::{Answer, Atom, Node, VariableId};
use super::view::Dynamic;
use crate::book::{Comparison, PartId, Value};
use crate::evaluate::{InHand, Input, LookSpot, Worked, compare, evaluate};
use crate::number::Number;

/// The most tests over one look that a record's own constants may cut.
const MOST_DYNAMIC: usize = 3;

impl Compiler<'_> {
    pub(super) fn compare(&mut self, comparison: Comparison, left: &Value, right: &Value, hand: &InHand, not: bool) -> Node {
        let mut reading = read(self.book, comparison, left, right, hand);
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
            let node = self.table(comparison, left, right, hand, &reading, &present, not);
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

    #[allow(clippy::too_many_arguments)]
    fn table(
        &mut self,
        comparison: Comparison,
        left: &Value,
        right: &Value,
        hand: &InHand,
        reading: &Reading,
        present: &[LookSpot],
        not: bool,
    ) -> Node {
        let verdict = |left: Option<Worked>, right: Option<Worked>| {
            let verdict = compare(comparison, left, right);
            if verdict.met {
                Answer::Met
            } else if verdict.unmet {
                Answer::Opposite
            } else {
                Answer::Neither
            }
        };
        // The variable that carries the measure, and how many answers it takes.
        let measured: Option<(VariableId, usize)> = match &reading.kind {
            Kind::Choices => None,
            Kind::Cuts(look, _) => {
                let variable = self.look_variable(*look);
                Some((variable, self.view.variables[variable as usize].size))
            }
            Kind::Dynamic(look) => {
                let variable = self.look_variable(*look);
                let cells = self.view.variables[variable as usize].cells.len();
                let size = self.view.variables[variable as usize].size;
                let digit = self.dynamics.get(look).and_then(|known| {
                    known
                        .iter()
                        .position(|d| d.comparison == comparison && d.left == *left && d.right == *right && d.hand == *hand)
                });
                let divisor = cells * 3_usize.pow(digit.unwrap_or(0) as u32);
                let answers = (0..size).map(|at| digit_answer(at / divisor % 3)).collect();
                return self.atom(Atom { variables: vec![(variable, 1)], answers }, not);
            }
            Kind::Expression(..) => {
                let value = if matches!(reading.kind, Kind::Expression(_, true)) { left } else { right };
                let at = self.find_expression(value, &reading.numbers).unwrap_or(0);
                let variable = self.expressions[at].4;
                Some((variable, self.view.variables[variable as usize].size))
            }
            Kind::Opaque => {
                let found = self
                    .opaques
                    .iter()
                    .find(|(c, l, r, h, _)| *c == comparison && l == left && r == right && h == hand)
                    .map_or(0, |(.., variable)| *variable);
                return self.single(found, 3, digit_answer, not);
            }
        };
        let mut variables = Vec::new();
        let mut stride = 1_u32;
        for look in present {
            let variable = self.look_variable(*look);
            variables.push((variable, stride));
            stride *= self.view.variables[variable as usize].size as u32;
        }
        if let Some((variable, size)) = measured {
            variables.push((variable, stride));
            stride *= size as u32;
        }
        let mut answers = Vec::with_capacity(stride as usize);
        for at in 0..stride {
            let cell = |i: usize| {
                let (variable, stride) = variables[i];
                at / stride % self.view.variables[variable as usize].size as u32
            };
            let keys: Vec<(LookSpot, Option<usize>)> =
                present.iter().enumerate().map(|(i, &look)| (look, Some(cell(i) as usize))).collect();
            let answer = match (&reading.kind, measured) {
                (Kind::Cuts(look, _), Some((variable, _))) => {
                    let variable = &self.view.variables[variable as usize];
                    let sample = variable.cells.sample(cell(present.len()) as usize % variable.cells.len());
                    let numbers: Vec<(Input, Number)> = sample.map(|s| (Input::Look(*look), s)).into_iter().collect();
                    let inputs = Fixed { numbers: &numbers, keys: &keys };
                    verdict(evaluate(self.book, left, hand, &inputs), evaluate(self.book, right, hand, &inputs))
                }
                (Kind::Expression(_, left_measures), Some((variable, _))) => {
                    let sample = self.view.variables[variable as usize].cells.sample(cell(present.len()) as usize);
                    let measure = sample.map(Worked::point);
                    let limit = if *left_measures { right } else { left };
                    let limit = evaluate(self.book, limit, hand, &Fixed { numbers: &[], keys: &keys });
                    if *left_measures { verdict(measure, limit) } else { verdict(limit, measure) }
                }
                _ => {
                    let inputs = Fixed { numbers: &[], keys: &keys };
                    verdict(evaluate(self.book, left, hand, &inputs), evaluate(self.book, right, hand, &inputs))
                }
            };
            answers.push(answer);
        }
        self.atom(Atom { variables, answers }, not)
    }
}

fn digit_answer(digit: usize) -> Answer {
    match digit {
        0 => Answer::Met,
        1 => Answer::Opposite,
        _ => Answer::Neither,
    }
}
