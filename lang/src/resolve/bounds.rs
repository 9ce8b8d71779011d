//! Both ends of a value that only tables decide, worked out exactly: for one choice of every table key, or over all rows.

use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub, Zero};

use crate::book::{ArithmeticSign, Reckon, Row, RowKey, Table, TableKey, Value};
use crate::number::Number;

/// The tables and reckonings that a value may name.
#[derive(Clone, Copy)]
pub struct Named<'a> {
    /// Tables by their number.
    pub tables: &'a [Table],
    /// Reckonings by their number.
    pub reckons: &'a [Reckon],
}

/// One choice of every table key; `None` where the key's look does not apply.
pub type Choice = Vec<(TableKey, Option<usize>)>;

/// Which rows of a table count.
#[derive(Clone, Copy)]
enum Rows<'a> {
    /// The one for this choice.
    For(&'a Choice),
    /// All of them.
    All,
}

/// Why a value has no ends that could be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoEnds {
    /// It reads a look, the date or a total.
    NotConstant,
    /// A table has no row for this choice.
    NoRow,
    /// It divides by nought.
    DividedByNought,
    /// 128 bits do not hold it.
    TooLarge,
}

/// How deep reckonings may name one another; circles are reported elsewhere.
const DEEPEST: u32 = 64;

impl Named<'_> {
    /// The lower and the upper end of `value` for `choice`.
    pub fn ends(self, value: &Value, choice: &Choice) -> Result<(Number, Number), NoEnds> {
        self.ends_within(value, Rows::For(choice), DEEPEST)
    }

    /// The lowest and the highest end of `value` over all rows of the tables in it, each table taken by itself.
    pub fn widest(self, value: &Value) -> Result<(Number, Number), NoEnds> {
        self.ends_within(value, Rows::All, DEEPEST)
    }

    fn ends_within(self, value: &Value, rows: Rows<'_>, depth: u32) -> Result<(Number, Number), NoEnds> {
        let of = |value: &Value| self.ends_within(value, rows, depth);
        match value {
            Value::Number(number) => Ok((*number, *number)),
            Value::Range(low, high) => Ok((*low, *high)),
            Value::Table(table) => {
                let table = self.tables.get(table.index()).ok_or(NoEnds::NoRow)?;
                match rows {
                    Rows::For(choice) => of(&pick(table, choice).ok_or(NoEnds::NoRow)?.value),
                    Rows::All => table
                        .rows
                        .iter()
                        .try_fold(None, |known: Option<(Number, Number)>, row| {
                            let (low, high) = of(&row.value)?;
                            Ok(Some(known.map_or((low, high), |known| (known.0.min(low), known.1.max(high)))))
                        })?
                        .ok_or(NoEnds::NoRow),
                }
            }
            Value::Reckon(reckon) => {
                let depth = depth.checked_sub(1).ok_or(NoEnds::NotConstant)?;
                let reckon = self.reckons.get(reckon.index()).ok_or(NoEnds::NotConstant)?;
                self.ends_within(&reckon.value, rows, depth)
            }
            Value::Negative(inner) => of(inner).map(|(low, high)| (-high, -low)),
            Value::Lower(left, right) => {
                let (left, right) = (of(left)?, of(right)?);
                Ok((left.0.min(right.0), left.1.min(right.1)))
            }
            Value::Higher(left, right) => {
                let (left, right) = (of(left)?, of(right)?);
                Ok((left.0.max(right.0), left.1.max(right.1)))
            }
            Value::Arithmetic(sign, left, right) => combine(*sign, of(left)?, of(right)?),
            Value::Date(_)
            | Value::Look(_)
            | Value::Last(_)
            | Value::InspectedOn
            | Value::DaysFrom(..)
            | Value::Formula(..)
            | Value::TotalCost => Err(NoEnds::NotConstant),
        }
    }

    /// Every table key that decides `value`, each once.
    pub fn keys(self, value: &Value, into: &mut Vec<TableKey>) {
        self.keys_within(value, into, DEEPEST);
    }

    fn keys_within(self, value: &Value, into: &mut Vec<TableKey>, depth: u32) {
        match value {
            Value::Table(table) => {
                for key in self.tables.get(table.index()).map_or(&[][..], |table| &table.keys) {
                    if !into.contains(key) {
                        into.push(*key);
                    }
                }
            }
            Value::Reckon(reckon) => {
                if let (Some(reckon), Some(depth)) = (self.reckons.get(reckon.index()), depth.checked_sub(1)) {
                    self.keys_within(&reckon.value, into, depth);
                }
            }
            _ => for_operands(value, &mut |operand| self.keys_within(operand, into, depth)),
        }
    }
}

/// Calls `each` for every value that `value` is directly worked out from.
pub fn for_operands(value: &Value, each: &mut dyn FnMut(&Value)) {
    match value {
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => {
            each(left);
            each(right);
        }
        Value::Negative(inner) => each(inner),
        Value::Formula(_, inner) => inner.iter().for_each(each),
        _ => {}
    }
}

/// The row that counts for a choice: the one with the fewest `any` of those that fit.
pub fn pick<'a>(table: &'a Table, choice: &Choice) -> Option<&'a Row> {
    table.rows.iter().filter(|row| fits(table, row, choice)).min_by_key(|row| anys(row))
}

/// Whether every key of the row allows the choice.
pub fn fits(table: &Table, row: &Row, choice: &Choice) -> bool {
    table.keys.iter().zip(&row.keys).all(|(key, wanted)| match wanted {
        RowKey::Any => true,
        RowKey::Is(index) => choice.iter().any(|(chosen, at)| chosen == key && *at == Some(*index)),
    })
}

/// How many of the row's keys are `any`.
pub fn anys(row: &Row) -> usize {
    row.keys.iter().filter(|key| **key == RowKey::Any).count()
}

fn combine(sign: ArithmeticSign, left: (Number, Number), right: (Number, Number)) -> Result<(Number, Number), NoEnds> {
    let apply = |a: Number, b: Number| match sign {
        ArithmeticSign::Plus => a.checked_add(&b).ok_or(NoEnds::TooLarge),
        ArithmeticSign::Minus => a.checked_sub(&b).ok_or(NoEnds::TooLarge),
        ArithmeticSign::Times => a.checked_mul(&b).ok_or(NoEnds::TooLarge),
        ArithmeticSign::By => a.checked_div(&b).ok_or(NoEnds::TooLarge),
    };
    match sign {
        ArithmeticSign::Plus => Ok((apply(left.0, right.0)?, apply(left.1, right.1)?)),
        ArithmeticSign::Minus => Ok((apply(left.0, right.1)?, apply(left.1, right.0)?)),
        ArithmeticSign::By if right.0 <= Number::zero() && right.1 >= Number::zero() => Err(NoEnds::DividedByNought),
        ArithmeticSign::Times | ArithmeticSign::By => {
            let corners = [apply(left.0, right.0)?, apply(left.0, right.1)?, apply(left.1, right.0)?, apply(left.1, right.1)?];
            let low = corners.iter().copied().fold(corners[0], Ord::min);
            let high = corners.iter().copied().fold(corners[0], Ord::max);
            Ok((low, high))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(value: i128) -> Box<Value> {
        Box::new(Value::Number(Number::from_integer(value)))
    }

    #[test]
    fn arithmetic_is_of_both_ends() {
        let named = Named { tables: &[], reckons: &[] };
        let range = || Box::new(Value::Range(Number::from_integer(2), Number::from_integer(6)));
        let ends = |sign, left, right| {
            named
                .ends(&Value::Arithmetic(sign, left, right), &Vec::new())
                .map(|(low, high)| (low.to_integer(), high.to_integer()))
        };
        assert_eq!(ends(ArithmeticSign::Times, range(), number(2)), Ok((4, 12)));
        assert_eq!(ends(ArithmeticSign::Minus, range(), number(1)), Ok((1, 5)));
        assert_eq!(ends(ArithmeticSign::Times, range(), number(-1)), Ok((-6, -2)));
        assert_eq!(ends(ArithmeticSign::By, number(12), range()), Ok((2, 6)));
        assert_eq!(ends(ArithmeticSign::By, number(12), number(0)), Err(NoEnds::DividedByNought));
        let huge = || Box::new(Value::Number(Number::from_integer(i128::MAX)));
        assert_eq!(ends(ArithmeticSign::Times, huge(), huge()), Err(NoEnds::TooLarge));
    }
}
