//! Working out a value: exactly from single values, or as an enclosure from ranges of what can still be.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

use crate::book::{
    ArithmeticSign, Book, Comparison, Formula, LookAt, LookId, PartId, PlaceAt, RowKey, Table, TableId, TableKey, Value,
};
use crate::formula::{wood_moisture_over, wood_movement};
use crate::number::{Number, order};

/// A concrete place of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Spot {
    /// The part has no places.
    Single,
    /// A fixed place, by index.
    Fixed(u32),
    /// A place as found, by index from 0.
    Found(u32),
}

/// A look at a concrete place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct LookSpot {
    /// The look.
    pub look: LookId,
    /// The place.
    pub spot: Spot,
}

/// The places in hand: at most one for each part, the innermost last.
#[derive(Debug, Clone, Default, PartialEq, Eq, Hash)]
pub struct InHand(Vec<(PartId, Spot)>);

impl InHand {
    /// With no place in hand.
    pub fn nothing() -> Self {
        Self::default()
    }

    /// With `spot` of `part` in hand as well.
    pub fn with(&self, part: PartId, spot: Spot) -> Self {
        let mut places = self.0.clone();
        places.push((part, spot));
        Self(places)
    }

    /// The place of `part` in hand.
    pub fn spot(&self, part: PartId) -> Option<Spot> {
        self.0.iter().rev().find(|(p, _)| *p == part).map(|(_, spot)| *spot)
    }

    /// The concrete place of a look as a condition writes it. A place in hand that is missing counts as single;
    /// the resolver has made sure that there is one.
    pub fn look(&self, book: &Book, at: LookAt) -> LookSpot {
        let spot = match at.place {
            PlaceAt::Single => Spot::Single,
            PlaceAt::Fixed(place) => Spot::Fixed(place.0),
            PlaceAt::Here => self.spot(book[at.look].part).unwrap_or(Spot::Single),
        };
        LookSpot { look: at.look, spot }
    }
}

/// Something a value is worked out from that holds a number or a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Input {
    /// A look's value.
    Look(LookSpot),
    /// The look's value in the record before.
    Last(LookSpot),
    /// The record's date.
    InspectedOn,
    /// The total, in a counsel.
    TotalCost,
}

/// What an input can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reach {
    /// Least and greatest, if it can have a value.
    pub ends: Option<(Number, Number)>,
    /// Whether it can have no value at all.
    pub nothing: bool,
}

impl Reach {
    /// Surely without a value.
    pub const NOTHING: Self = Self { ends: None, nothing: true };

    /// Surely this value.
    pub fn point(value: Number) -> Self {
        Self { ends: Some((value, value)), nothing: false }
    }
}

/// Where a value gets what it is worked out from.
pub trait Inputs {
    /// What a number or date can be.
    fn number(&self, input: Input) -> Reach;

    /// The choices a table's key look can show; `None` among them where it can fail to apply.
    fn key(&self, look: LookSpot) -> Vec<Option<usize>>;
}

/// A value worked out: its lower and upper end (the same unless a range stands in it), each from the least
/// to the greatest it can be (the same when all inputs are single values).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Worked {
    /// The lower end.
    pub low: (Number, Number),
    /// The upper end.
    pub high: (Number, Number),
    /// Whether it can have no value at all.
    pub nothing: bool,
}

impl Worked {
    /// A single value.
    pub fn point(value: Number) -> Self {
        Self::ends(value, value)
    }

    fn ends(low: Number, high: Number) -> Self {
        Self { low: (low, low), high: (high, high), nothing: false }
    }

    fn join(self, other: Self) -> Self {
        let hull = |a: (Number, Number), b: (Number, Number)| (a.0.min(b.0), a.1.max(b.1));
        Self { low: hull(self.low, other.low), high: hull(self.high, other.high), nothing: self.nothing || other.nothing }
    }
}

/// Works out `value`; none if it surely has no value (something it needs does not apply, it divides by nought,
/// its table has no row, or a number grows too large to hold).
pub fn evaluate(book: &Book, value: &Value, hand: &InHand, inputs: &impl Inputs) -> Option<Worked> {
    match value {
        Value::Number(number) => Some(Worked::ends(*number, *number)),
        Value::Range(low, high) => Some(Worked::ends(*low, *high)),
        Value::Date(day) => {
            let day = Number::from_integer(i128::from(*day));
            Some(Worked::ends(day, day))
        }
        Value::Look(at) => from_reach(inputs.number(Input::Look(hand.look(book, *at)))),
        Value::Last(at) => from_reach(inputs.number(Input::Last(hand.look(book, *at)))),
        Value::InspectedOn => from_reach(inputs.number(Input::InspectedOn)),
        Value::TotalCost => from_reach(inputs.number(Input::TotalCost)),
        Value::Table(table) => from_table(book, *table, hand, inputs),
        Value::Reckon(reckon) => evaluate(book, &book[*reckon].value, hand, inputs),
        Value::Arithmetic(sign, left, right) => {
            arithmetic(*sign, evaluate(book, left, hand, inputs)?, evaluate(book, right, hand, inputs)?)
        }
        Value::Negative(inner) => {
            let inner = evaluate(book, inner, hand, inputs)?;
            Some(Worked { low: (-inner.high.1, -inner.high.0), high: (-inner.low.1, -inner.low.0), nothing: inner.nothing })
        }
        Value::Lower(left, right) => {
            let (a, b) = (evaluate(book, left, hand, inputs)?, evaluate(book, right, hand, inputs)?);
            Some(pointwise(a, b, Number::min))
        }
        Value::Higher(left, right) => {
            let (a, b) = (evaluate(book, left, hand, inputs)?, evaluate(book, right, hand, inputs)?);
            Some(pointwise(a, b, Number::max))
        }
        Value::DaysFrom(from, to) => {
            let days = arithmetic(ArithmeticSign::Minus, evaluate(book, to, hand, inputs)?, evaluate(book, from, hand, inputs)?)?;
            let minutes = Number::from_integer(24 * 60);
            arithmetic(ArithmeticSign::Times, days, Worked::ends(minutes, minutes))
        }
        Value::Formula(formula, arguments) => {
            let worked: Option<Vec<Worked>> = arguments.iter().map(|a| evaluate(book, a, hand, inputs)).collect();
            apply(*formula, &worked?)
        }
    }
}

fn from_reach(reach: Reach) -> Option<Worked> {
    let ends = reach.ends?;
    Some(Worked { low: ends, high: ends, nothing: reach.nothing })
}

fn pointwise(a: Worked, b: Worked, pick: fn(Number, Number) -> Number) -> Worked {
    let both = |a: (Number, Number), b: (Number, Number)| (pick(a.0, b.0), pick(a.1, b.1));
    Worked { low: both(a.low, b.low), high: both(a.high, b.high), nothing: a.nothing || b.nothing }
}

fn arithmetic(sign: ArithmeticSign, a: Worked, b: Worked) -> Option<Worked> {
    let nothing = a.nothing || b.nothing;
    match sign {
        ArithmeticSign::Plus => Some(Worked {
            low: (a.low.0.checked_add(&b.low.0)?, a.low.1.checked_add(&b.low.1)?),
            high: (a.high.0.checked_add(&b.high.0)?, a.high.1.checked_add(&b.high.1)?),
            nothing,
        }),
        ArithmeticSign::Minus => Some(Worked {
            low: (a.low.0.checked_sub(&b.high.1)?, a.low.1.checked_sub(&b.high.0)?),
            high: (a.high.0.checked_sub(&b.low.1)?, a.high.1.checked_sub(&b.low.0)?),
            nothing,
        }),
        ArithmeticSign::Times => four_ways(a, b, nothing, |x, y| x.checked_mul(&y)),
        ArithmeticSign::By => {
            let ends = [b.low.0, b.low.1, b.high.0, b.high.1];
            if ends.iter().all(Number::is_zero) {
                return None;
            }
            let zero = Number::zero();
            let least = ends.iter().min()?;
            let greatest = ends.iter().max()?;
            if *least <= zero && *greatest >= zero {
                // Nought lies within what the divisor can be: the quotient has no bounds and may have no value.
                let far = Number::from_integer(i128::from(i64::MAX));
                return Some(Worked { low: (-far, far), high: (-far, far), nothing: true });
            }
            four_ways(a, b, nothing, |x, y| x.checked_div(&y))
        }
    }
}

/// Combines the ends of two values by an operation that is monotone in each, whatever the signs.
fn four_ways(a: Worked, b: Worked, nothing: bool, op: impl Fn(Number, Number) -> Option<Number>) -> Option<Worked> {
    let interval = |x: (Number, Number), y: (Number, Number)| -> Option<(Number, Number)> {
        if x.0 == x.1 && y.0 == y.1 {
            return op(x.0, y.0).map(|only| (only, only));
        }
        let all = [op(x.0, y.0)?, op(x.0, y.1)?, op(x.1, y.0)?, op(x.1, y.1)?];
        Some((*all.iter().min()?, *all.iter().max()?))
    };
    if a.low == a.high && b.low == b.high {
        let ends = interval(a.low, b.low)?;
        return Some(Worked { low: ends, high: ends, nothing });
    }
    let pairs = [interval(a.low, b.low)?, interval(a.low, b.high)?, interval(a.high, b.low)?, interval(a.high, b.high)?];
    let low = (pairs.iter().map(|p| p.0).min()?, pairs.iter().map(|p| p.1).min()?);
    let high = (pairs.iter().map(|p| p.0).max()?, pairs.iter().map(|p| p.1).max()?);
    Some(Worked { low, high, nothing })
}

fn apply(formula: Formula, arguments: &[Worked]) -> Option<Worked> {
    let nothing = arguments.iter().any(|a| a.nothing);
    match (formula, arguments) {
        (Formula::WoodMoisture, [humidity, temperature]) => {
            let over = wood_moisture_over((humidity.low.0, humidity.high.1), (temperature.low.0, temperature.high.1))?;
            let ends = (over.least, over.greatest);
            Some(Worked { low: ends, high: ends, nothing: nothing || over.beyond })
        }
        (Formula::WoodMovement, [width, coefficient, from, to]) => {
            let change = arithmetic(ArithmeticSign::Minus, *to, *from)?;
            let per = arithmetic(ArithmeticSign::Times, *width, *coefficient)?;
            let worked = arithmetic(ArithmeticSign::Times, per, change)?;
            let single = arguments.iter().all(|a| a.low.0 == a.low.1 && a.high == a.low);
            if single {
                let exact = wood_movement(width.low.0, coefficient.low.0, from.low.0, to.low.0)?;
                return Some(Worked { nothing, ..Worked::ends(exact, exact) });
            }
            Some(Worked { nothing: worked.nothing || nothing, ..worked })
        }
        _ => None,
    }
}

fn from_table(book: &Book, table: TableId, hand: &InHand, inputs: &impl Inputs) -> Option<Worked> {
    let table = &book[table];
    let mut columns: Vec<Vec<Option<usize>>> = Vec::with_capacity(table.keys.len());
    for key in &table.keys {
        columns.push(match key {
            TableKey::Look(at) => inputs.key(hand.look(book, *at)),
            TableKey::Place(part) => vec![match hand.spot(*part) {
                Some(Spot::Fixed(place)) => Some(place as usize),
                _ => None,
            }],
        });
    }
    let mut result: Option<Worked> = None;
    let mut nothing = false;
    let mut at = vec![0; columns.len()];
    loop {
        let keys: Option<Vec<Option<usize>>> = at.iter().zip(&columns).map(|(&i, column)| column.get(i).copied()).collect();
        let row = keys.and_then(|keys| table.row(&keys)).and_then(|value| evaluate(book, value, hand, inputs));
        match (row, &mut result) {
            (Some(row), Some(so_far)) => *so_far = so_far.join(row),
            (Some(row), None) => result = Some(row),
            (None, _) => nothing = true,
        }
        if !step(&mut at, |i| columns[i].len()) {
            break;
        }
    }
    result.map(|worked| Worked { nothing: worked.nothing || nothing, ..worked })
}

/// Moves a counter with one digit for each column on by one; false when it has come round.
pub fn step(at: &mut [usize], size: impl Fn(usize) -> usize) -> bool {
    for (i, digit) in at.iter_mut().enumerate() {
        *digit += 1;
        if *digit < size(i) {
            return true;
        }
        *digit = 0;
    }
    false
}

impl Table {
    /// The value of the row that counts for these keys (`None`: does not apply): of the rows that fit, the one
    /// with the fewest `any`.
    pub fn row(&self, keys: &[Option<usize>]) -> Option<&Value> {
        let fits = |row_keys: &[RowKey]| {
            row_keys.iter().zip(keys).all(|(row_key, key)| match row_key {
                RowKey::Any => true,
                RowKey::Is(choice) => *key == Some(*choice),
            })
        };
        let anys = |row_keys: &[RowKey]| row_keys.iter().filter(|k| **k == RowKey::Any).count();
        self.rows.iter().filter(|row| fits(&row.keys)).min_by_key(|row| anys(&row.keys)).map(|row| &row.value)
    }
}

/// What a comparison can come out as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Verdict {
    /// It can be met.
    pub met: bool,
    /// Its opposite can be met.
    pub unmet: bool,
    /// It can have no value, and meet neither.
    pub neither: bool,
}

impl Verdict {
    /// Surely neither.
    pub const NEITHER: Self = Self { met: false, unmet: false, neither: true };
}

/// Compares two values. Against a range, `above` and `at most` look at the right side's upper end and the left
/// side's lower, `below` and `at least` at the right side's lower end and the left side's upper.
pub fn compare(comparison: Comparison, left: Option<Worked>, right: Option<Worked>) -> Verdict {
    let (Some(left), Some(right)) = (left, right) else {
        return Verdict::NEITHER;
    };
    let (a, b) = match comparison {
        Comparison::Above | Comparison::AtMost => (left.low, right.high),
        Comparison::Below | Comparison::AtLeast => (left.high, right.low),
    };
    let (met, unmet) = match comparison {
        Comparison::Above => (order(a.1, b.0).is_gt(), order(a.0, b.1).is_le()),
        Comparison::Below => (order(a.0, b.1).is_lt(), order(a.1, b.0).is_ge()),
        Comparison::AtLeast => (order(a.1, b.0).is_ge(), order(a.0, b.1).is_lt()),
        Comparison::AtMost => (order(a.0, b.1).is_le(), order(a.1, b.0).is_gt()),
    };
    Verdict { met, unmet, neither: left.nothing || right.nothing }
}

/// Everything `value` is worked out from, in order and without repeats: numbers and dates, and the looks that
/// choose its tables' rows. `hand` as in [`evaluate`].
pub fn inputs_of(book: &Book, value: &Value, hand: &InHand, numbers: &mut Vec<Input>, keys: &mut Vec<LookSpot>) {
    let mut number = |input: Input| {
        if !numbers.contains(&input) {
            numbers.push(input);
        }
    };
    match value {
        Value::Number(_) | Value::Range(..) | Value::Date(_) => {}
        Value::Look(at) => number(Input::Look(hand.look(book, *at))),
        Value::Last(at) => number(Input::Last(hand.look(book, *at))),
        Value::InspectedOn => number(Input::InspectedOn),
        Value::TotalCost => number(Input::TotalCost),
        Value::Table(table) => {
            for key in &book[*table].keys {
                if let TableKey::Look(at) = key {
                    let look = hand.look(book, *at);
                    if !keys.contains(&look) {
                        keys.push(look);
                    }
                }
            }
            for row in &book[*table].rows {
                inputs_of(book, &row.value, hand, numbers, keys);
            }
        }
        Value::Reckon(reckon) => inputs_of(book, &book[*reckon].value, hand, numbers, keys),
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => {
            inputs_of(book, left, hand, numbers, keys);
            inputs_of(book, right, hand, numbers, keys);
        }
        Value::Negative(inner) => inputs_of(book, inner, hand, numbers, keys),
        Value::Formula(_, arguments) => {
            for argument in arguments {
                inputs_of(book, argument, hand, numbers, keys);
            }
        }
    }
}
