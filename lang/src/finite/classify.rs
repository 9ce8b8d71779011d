//! What kind of test a comparison is: one that cells carry exactly, one that a record's own constants cut anew, or
//! one over several measures that becomes a variable of its own.

use crate::book::{Book, Comparison, Value};
use crate::evaluate::{InHand, Input, Inputs, LookSpot, Reach, Worked, evaluate, inputs_of, step};
use crate::number::Number;

/// A comparison, sorted by what it takes to answer it.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// Decided by the choices that pick its tables' rows alone.
    Choices,
    /// One look against limits known beforehand: the limits, for every choice of the keys.
    Cuts(LookSpot, Vec<Number>),
    /// One look, straight, against something the record brings along (its date, the record before).
    Dynamic(LookSpot),
    /// One expression over several measures against limits known beforehand; true where the expression stands left.
    Expression(Vec<Number>, bool),
    /// Anything else: an answer of its own.
    Opaque,
}

/// A comparison with all it reads.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Numbers and dates.
    pub numbers: Vec<Input>,
    /// Looks that pick a table's row.
    pub keys: Vec<LookSpot>,
    /// What kind it is.
    pub kind: Kind,
}

/// How many choices a table's key look has, so that every row can be tried: yes or no has two.
pub fn key_size(book: &Book, look: LookSpot) -> usize {
    book[look.look].choices().len().max(2)
}

/// Inputs at fixed values, for trying out.
pub struct Fixed<'a> {
    /// The numbers; anything not listed has no value.
    pub numbers: &'a [(Input, Number)],
    /// The keys.
    pub keys: &'a [(LookSpot, Option<usize>)],
}

impl Inputs for Fixed<'_> {
    fn number(&self, input: Input) -> Reach {
        self.numbers.iter().find(|(i, _)| *i == input).map_or(Reach::NOTHING, |(_, number)| Reach::point(*number))
    }

    fn key(&self, look: LookSpot) -> Vec<Option<usize>> {
        vec![self.keys.iter().find(|(l, _)| *l == look).and_then(|(_, choice)| *choice)]
    }
}

/// Every combination of choices of the keys, with and without the key applying.
pub fn key_combinations(book: &Book, keys: &[LookSpot]) -> Vec<Vec<(LookSpot, Option<usize>)>> {
    let sizes: Vec<usize> = keys.iter().map(|&look| key_size(book, look) + 1).collect();
    let mut at = vec![0; keys.len()];
    let mut all = Vec::new();
    loop {
        all.push(keys.iter().zip(&at).map(|(&look, &i)| (look, usize::checked_sub(i, 1))).collect());
        if !step(&mut at, |i| sizes[i]) {
            return all;
        }
    }
}

/// The most combinations of choices that are tried out for one comparison.
const MOST_COMBINATIONS: usize = 4096;

/// Sorts the comparison of `left` with `right`.
pub fn read(book: &Book, comparison: Comparison, left: &Value, right: &Value, hand: &InHand) -> Reading {
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    inputs_of(book, left, hand, &mut numbers, &mut keys);
    inputs_of(book, right, hand, &mut numbers, &mut keys);
    let kind = kind(book, comparison, left, right, hand, &numbers, &keys);
    Reading { numbers, keys, kind }
}

fn kind(
    book: &Book,
    _comparison: Comparison,
    left: &Value,
    right: &Value,
    hand: &InHand,
    numbers: &[Input],
    keys: &[LookSpot],
) -> Kind {
    let combinations: usize = keys.iter().map(|&look| key_size(book, look) + 1).product();
    let looks: Vec<LookSpot> =
        numbers.iter().filter_map(|i| if let Input::Look(look) = i { Some(*look) } else { None }).collect();
    let brings = numbers.iter().any(|i| !matches!(i, Input::Look(_)));
    if combinations > MOST_COMBINATIONS || numbers.contains(&Input::TotalCost) {
        return Kind::Opaque;
    }
    match (looks.as_slice(), brings) {
        ([], false) => Kind::Choices,
        ([look], false) => match cuts(book, left, right, hand, *look, keys) {
            Some(cuts) => Kind::Cuts(*look, cuts),
            None => expression(book, left, right, hand, keys),
        },
        ([look], true) if keys.is_empty() && straight_in(book, left, right, hand, *look, numbers) => Kind::Dynamic(*look),
        (_, false) => expression(book, left, right, hand, keys),
        _ => Kind::Opaque,
    }
}

/// The limits at which `left` meets `right` as `look` grows, if both are straight in it for every choice of the keys.
fn cuts(book: &Book, left: &Value, right: &Value, hand: &InHand, look: LookSpot, keys: &[LookSpot]) -> Option<Vec<Number>> {
    let mut found = Vec::new();
    for combination in key_combinations(book, keys) {
        let sides = |x: i128| {
            let numbers = [(Input::Look(look), Number::from_integer(x))];
            let inputs = Fixed { numbers: &numbers, keys: &combination };
            (evaluate(book, left, hand, &inputs), evaluate(book, right, hand, &inputs))
        };
        if !(is_straight(book, left) && is_straight(book, right)) {
            return None;
        }
        let ((Some(l0), Some(r0)), (Some(l1), Some(r1))) = (sides(0), sides(1)) else {
            continue;
        };
        found.extend(crossings((l0, r0), (l1, r1)));
    }
    found.sort_unstable();
    found.dedup();
    Some(found)
}

/// Where either end of one side meets either end of the other, from both sides worked out at 0 and at 1.
pub fn crossings(at_0: (Worked, Worked), at_1: (Worked, Worked)) -> Vec<Number> {
    let mut found = Vec::new();
    let ends = |w: Worked| [w.low.0, w.low.1, w.high.0, w.high.1];
    for (left_0, left_1) in ends(at_0.0).into_iter().zip(ends(at_1.0)) {
        for (right_0, right_1) in ends(at_0.1).into_iter().zip(ends(at_1.1)) {
            let (from, to) = (left_0 - right_0, left_1 - right_1);
            let slope = to - from;
            if slope != Number::from_integer(0) {
                found.push(-from / slope);
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// Whether the value is a straight line in whatever one look it reads: sums, and products and quotients by
/// something that reads no number.
fn is_straight(book: &Book, value: &Value) -> bool {
    use crate::book::ArithmeticSign::{By, Minus, Plus, Times};
    match value {
        Value::Number(_)
        | Value::Range(..)
        | Value::Date(_)
        | Value::Look(_)
        | Value::Last(_)
        | Value::InspectedOn
        | Value::TotalCost => true,
        Value::Table(table) => book[*table].rows.iter().all(|row| reads_no_number(book, &row.value)),
        Value::Reckon(reckon) => is_straight(book, &book[*reckon].value),
        Value::Negative(inner) => is_straight(book, inner),
        Value::Arithmetic(Plus | Minus, a, b) | Value::DaysFrom(a, b) => is_straight(book, a) && is_straight(book, b),
        Value::Arithmetic(Times, a, b) => {
            (reads_no_number(book, a) && is_straight(book, b)) || (is_straight(book, a) && reads_no_number(book, b))
        }
        Value::Arithmetic(By, a, b) => is_straight(book, a) && reads_no_number(book, b),
        Value::Lower(..) | Value::Higher(..) | Value::Formula(..) => reads_no_number(book, value),
    }
}

fn reads_no_number(book: &Book, value: &Value) -> bool {
    let (mut numbers, mut keys) = (Vec::new(), Vec::new());
    inputs_of(book, value, &InHand::nothing(), &mut numbers, &mut keys);
    numbers.is_empty()
}

fn straight_in(book: &Book, left: &Value, right: &Value, _hand: &InHand, _look: LookSpot, _numbers: &[Input]) -> bool {
    is_straight(book, left) && is_straight(book, right)
}

/// One side reads measures, the other only choices, and neither the measuring side's tables nor ranges come in.
fn expression(book: &Book, left: &Value, right: &Value, hand: &InHand, _keys: &[LookSpot]) -> Kind {
    let reads = |value: &Value| {
        let (mut numbers, mut keys) = (Vec::new(), Vec::new());
        inputs_of(book, value, hand, &mut numbers, &mut keys);
        (numbers, keys)
    };
    let ((left_numbers, left_keys), (right_numbers, right_keys)) = (reads(left), reads(right));
    let (limit, limit_keys, left_measures) = match (left_numbers.is_empty(), right_numbers.is_empty()) {
        (false, true) if left_keys.is_empty() && !has_range(book, left) => (right, right_keys, true),
        (true, false) if right_keys.is_empty() && !has_range(book, right) => (left, left_keys, false),
        _ => return Kind::Opaque,
    };
    let mut cuts = Vec::new();
    for combination in key_combinations(book, &limit_keys) {
        if let Some(worked) = evaluate(book, limit, hand, &Fixed { numbers: &[], keys: &combination }) {
            cuts.extend([worked.low.0, worked.high.0]);
        }
    }
    cuts.sort_unstable();
    cuts.dedup();
    Kind::Expression(cuts, left_measures)
}

/// Whether a value may be a range.
pub fn has_range(book: &Book, value: &Value) -> bool {
    match value {
        Value::Range(..) => true,
        Value::Table(table) => book[*table].rows.iter().any(|row| has_range(book, &row.value)),
        Value::Reckon(reckon) => has_range(book, &book[*reckon].value),
        Value::Negative(a) => has_range(book, a),
        Value::Arithmetic(_, a, b) | Value::Lower(a, b) | Value::Higher(a, b) | Value::DaysFrom(a, b) => {
            has_range(book, a) || has_range(book, b)
        }
        Value::Formula(_, arguments) => arguments.iter().any(|a| has_range(book, a)),
        Value::Number(_) | Value::Date(_) | Value::Look(_) | Value::Last(_) | Value::InspectedOn | Value::TotalCost => false,
    }
}
