//! What a value is in a case: its lower and upper end, the same unless a range stands in it.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};
use purfle_lang::book::{ArithmeticSign, Formula, Row, RowKey, TableId, TableKey, TierId, Value};
use purfle_lang::formula::{wood_moisture, wood_movement};
use purfle_lang::number::{Number, round_scaled};

use super::case::{Case, View};
use super::samples::Answer;
use super::scene::Spot;

impl Case<'_> {
    /// Both ends of a value; none if it cannot be worked out.
    pub fn ends(&self, value: &Value, view: View<'_>) -> Option<(Number, Number)> {
        let number = |number: Number| Some((number, number));
        let day = |day: i64| number(Number::from_integer(i128::from(day)));
        let shown = |answer: Answer| match answer {
            Answer::Number(shown) => number(shown),
            _ => None,
        };
        match value {
            Value::Number(constant) => number(*constant),
            Value::Range(low, high) => Some((*low, *high)),
            Value::Date(date) => day(*date),
            Value::Look(at) => shown(self.shown(*at, false, view)?),
            Value::Last(at) => shown(self.shown(*at, true, view)?),
            Value::InspectedOn => day(self.inspected_on?),
            Value::Table(table) => self.ends(&self.row(*table, view)?.value, view),
            Value::Reckon(reckon) => self.ends(&self.book[*reckon].value, view),
            Value::Negative(inner) => self.ends(inner, view).map(|(low, high)| (-high, -low)),
            Value::Lower(left, right) => {
                let (left, right) = (self.ends(left, view)?, self.ends(right, view)?);
                Some((left.0.min(right.0), left.1.min(right.1)))
            }
            Value::Higher(left, right) => {
                let (left, right) = (self.ends(left, view)?, self.ends(right, view)?);
                Some((left.0.max(right.0), left.1.max(right.1)))
            }
            Value::DaysFrom(from, to) => {
                let (from, to) = (self.ends(from, view)?, self.ends(to, view)?);
                let minutes = Number::from_integer(24 * 60);
                Some(((to.0 - from.1) * minutes, (to.1 - from.0) * minutes))
            }
            Value::Arithmetic(sign, left, right) => reckon(*sign, self.ends(left, view)?, self.ends(right, view)?),
            Value::Formula(formula, values) => {
                let values: Option<Vec<(Number, Number)>> = values.iter().map(|value| self.ends(value, view)).collect();
                let values = values?;
                let worked = match (formula, &values[..]) {
                    (Formula::WoodMoisture, [humidity, temperature]) => wood_moisture(humidity.0, temperature.0),
                    (Formula::WoodMovement, [width, coefficient, from, to]) => {
                        wood_movement(width.0, coefficient.0, from.0, to.0)
                    }
                    _ => None,
                };
                number(worked?)
            }
            Value::TotalCost => number(view.totals?.cost),
        }
    }

    /// The row of a table that counts: of those that fit, the one with the fewest `any`.
    fn row(&self, table: TableId, view: View<'_>) -> Option<&Row> {
        let table = &self.book[table];
        let keys: Vec<Option<usize>> = table
            .keys
            .iter()
            .map(|key| match key {
                TableKey::Look(at) => match self.shown(*at, false, view)? {
                    Answer::Choice(choice) => Some(choice),
                    _ => None,
                },
                TableKey::Place(part) => match self.scene.spots[part.index()][view.place_of(*part)?] {
                    Spot::Fixed(place) => Some(place as usize),
                    _ => None,
                },
            })
            .collect();
        let fits = |row: &&Row| {
            row.keys.iter().zip(&keys).all(|(key, shown)| match key {
                RowKey::Any => true,
                RowKey::Is(wanted) => *shown == Some(*wanted),
            })
        };
        table.rows.iter().filter(fits).min_by_key(|row| row.keys.iter().filter(|key| **key == RowKey::Any).count())
    }

    /// A sum as it is printed: rounded to the currency's minor unit, half to even.
    pub fn printed(&self, sum: Number) -> Number {
        let places = self.book.money.minor_places();
        Number::new(round_scaled(sum, places), 10_i128.pow(places))
    }

    /// The tier of a sum as it is printed.
    pub fn tier(&self, sum: Number) -> TierId {
        self.book.tier_of(self.printed(sum))
    }
}

fn reckon(sign: ArithmeticSign, left: (Number, Number), right: (Number, Number)) -> Option<(Number, Number)> {
    let join = |one: &Number, other: &Number| match sign {
        ArithmeticSign::Plus => one.checked_add(other),
        ArithmeticSign::Minus => one.checked_sub(other),
        ArithmeticSign::Times => one.checked_mul(other),
        ArithmeticSign::By => one.checked_div(other),
    };
    if sign == ArithmeticSign::By && right.0 <= Number::zero() && right.1 >= Number::zero() {
        return None;
    }
    let mut ends = Vec::new();
    for one in [left.0, left.1] {
        for other in [right.0, right.1] {
            ends.push(join(&one, &other)?);
        }
    }
    Some((*ends.iter().min()?, *ends.iter().max()?))
}
