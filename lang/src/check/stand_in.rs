//! A value that stands for a cell, the way somebody would write it down: the roundest there is.

use num_traits::{CheckedMul, One, Zero};

use crate::book::{Look, LookKind};
use crate::cells::{Cell, Cells, date_range};
use crate::number::Number;
use crate::saying::Saying;
use crate::unit::{Currency, Unit};

/// The most digits after the point that a number has that stands for others.
const MOST_DIGITS: u32 = 6;

/// What a record says of a look so that it lies in just this cell, whatever its reading error; none where nobody can say it.
pub fn stand_in(look: &Look, cells: &Cells, cell: usize, money: Currency) -> Option<Saying> {
    match cells.get(cell)? {
        Cell::Choice(choice) => Some(Saying::OneOf(vec![choice])),
        Cell::NoDate => Some(Saying::NoDate),
        // No sum has a part of the smallest coin.
        Cell::Point(number) if matches!(look.kind, LookKind::Priced { .. }) && !money.takes(number) => None,
        Cell::Point(number) => Some(at(look, number, number, number)),
        Cell::Between(low, high) => match &look.kind {
            LookKind::Measured { unit, from, to, give_or_take } => {
                let error = give_or_take.unwrap_or_else(Number::zero);
                let (low, high) = inner(low, high, *from, *to);
                // An end of the look's range holds a reading error as well: what lies beyond is cut off.
                let least = if low < *from { low } else { low + error };
                let most = if high > *to { high } else { high - error };
                let number = roundest(least, most, *unit, MOST_DIGITS).or_else(|| roundest(low, high, *unit, MOST_DIGITS))?;
                Some(at(look, number, low, high))
            }
            LookKind::Priced { from, to } => {
                let (low, high) = inner(low, high, *from, *to);
                Some(at(look, roundest(low, high, Unit::None, money.minor_places())?, low, high))
            }
            LookKind::Dated => {
                // The day next to the limit says most; far from it lie days on which nothing was made.
                let (_, last) = date_range();
                let day = if high <= last { high.ceil() - Number::one() } else { low.floor() + Number::one() };
                Some(at(look, day, day, day))
            }
            _ => cells.sample(cell).map(|number| at(look, number, number, number)),
        },
    }
}

/// The limits of a cell of which a number has to lie strictly between, where the outermost cells hold the ends of the
/// look's range and nothing beyond them.
fn inner(low: Number, high: Number, from: Number, to: Number) -> (Number, Number) {
    let close = Number::new(1, 1_000_000);
    (if low < from { from - close } else { low }, if high > to { to + close } else { high })
}

/// A saying of this number that is sure to lie between the limits of its cell: a reading where its error leaves it
/// there, else a stated range.
fn at(look: &Look, number: Number, low: Number, high: Number) -> Saying {
    match &look.kind {
        LookKind::Dated => {
            let day = i64::try_from(number.to_integer()).unwrap_or_default();
            Saying::DateBetween(Some(day), Some(day))
        }
        LookKind::Measured { give_or_take: Some(error), from, to, .. } => {
            let (least, most) = ((number - error).max(*from), (number + error).min(*to));
            Saying::Between { low: Some(number), high: Some(number), reading: low < least && most < high }
        }
        _ => Saying::Between { low: Some(number), high: Some(number), reading: true },
    }
}

/// The number strictly between two limits (base unit) that has the fewest digits in `unit`, the nearest to the middle
/// of those; none where each has more than `most` after the point.
fn roundest(low: Number, high: Number, unit: Unit, most: u32) -> Option<Number> {
    let (low, high) = (unit.from_base(low)?, unit.from_base(high)?);
    if low >= high {
        return None;
    }
    let middle = (low + high) / Number::from_integer(2);
    for digits in 0..=most {
        let scale = Number::from_integer(10_i128.pow(digits));
        let step = scale.recip();
        let near = middle.checked_mul(&scale)?.round() * step;
        let candidates = [near, near - step, near + step];
        if let Some(number) = candidates.into_iter().find(|number| low < *number && *number < high) {
            return unit.to_base(number);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::PartId;

    fn n(value: i128) -> Number {
        Number::from_integer(value)
    }

    #[test]
    fn the_fewest_digits_win() {
        assert_eq!(roundest(n(0), n(8), Unit::None, MOST_DIGITS), Some(n(4)));
        assert_eq!(roundest(Number::new(1, 5), Number::new(7, 2), Unit::None, MOST_DIGITS), Some(n(2)));
        assert_eq!(roundest(Number::new(31, 100), Number::new(39, 100), Unit::None, MOST_DIGITS), Some(Number::new(35, 100)));
        assert_eq!(roundest(n(2), n(2), Unit::None, MOST_DIGITS), None);
    }

    fn usd() -> Currency {
        Currency::parse("USD").unwrap_or_else(|| panic!("a currency"))
    }

    fn look(kind: LookKind) -> Look {
        Look::plain("gap", PartId(0), "", kind)
    }

    /// Each cell of a look cut there gets a saying that leaves this cell and no other.
    fn each_cell_stands(look: &Look, cuts: &[Number]) {
        let cells = Cells::of(look, cuts);
        for cell in 0..cells.len() {
            let left = match (stand_in(look, &cells, cell, usd()), &look.kind) {
                (Some(Saying::NoDate), _) => cells.iter().position(|cell| cell == Cell::NoDate).map(|at| at..at + 1),
                (Some(Saying::DateBetween(Some(low), Some(high))), _) => Some(cells.within(n(low.into()), n(high.into()))),
                (
                    Some(Saying::Between { low: Some(low), high: Some(high), reading }),
                    LookKind::Measured { from, to, give_or_take, .. },
                ) => {
                    assert!(*from <= low && high <= *to, "{low} is no value of the look");
                    let error = give_or_take.filter(|_| reading).unwrap_or_else(Number::zero);
                    Some(cells.within((low - error).max(*from), (high + error).min(*to)))
                }
                (Some(Saying::Between { low: Some(low), high: Some(high), .. }), _) => Some(cells.within(low, high)),
                _ => None,
            };
            assert_eq!(left, Some(cell..cell + 1), "{:?}", cells.get(cell));
        }
    }

    #[test]
    fn what_is_said_leaves_one_cell_whatever_the_reading_error() {
        let fifth = Number::new(1, 5);
        for give_or_take in [None, Some(fifth), Some(n(1))] {
            let mm = look(LookKind::Measured { unit: Unit::Mm, from: n(0), to: n(8), give_or_take });
            each_cell_stands(&mm, &[]);
            each_cell_stands(&mm, &[n(2), n(5)]);
            each_cell_stands(&mm, &[n(0), fifth]);
            each_cell_stands(&mm, &[n(0), n(8)]);
            each_cell_stands(&mm, &[Number::new(1, 10), Number::new(3, 10), Number::new(79, 10)]);
        }
    }

    #[test]
    fn temperatures_sums_counts_and_dates_stand_for_their_cells() {
        // From 10 to 104 degF, cut at the freezing point, 50 degF and 20 degC.
        let cold = look(LookKind::Measured {
            unit: Unit::DegF,
            from: Number::new(-110, 9),
            to: n(40),
            give_or_take: Some(Number::new(10, 9)),
        });
        each_cell_stands(&cold, &[n(0), n(10), n(20)]);
        let price = look(LookKind::Priced { from: n(0), to: n(1000) });
        each_cell_stands(&price, &[n(0), Number::new(1, 2), n(400), n(1000)]);
        let few = look(LookKind::Counted { from: 0, to: 12 });
        each_cell_stands(&few, &[n(3)]);
        let many = look(LookKind::Counted { from: 0, to: 90 });
        each_cell_stands(&many, &[n(0), n(3), Number::new(7, 2), n(90)]);
        let dated = look(LookKind::Dated);
        each_cell_stands(&dated, &[n(20_000), n(20_001), n(20_500)]);
        each_cell_stands(&dated, &[]);
    }

    #[test]
    fn a_day_lies_beside_its_limit() {
        let dated = look(LookKind::Dated);
        let cells = Cells::of(&dated, &[n(20_000)]);
        assert_eq!(stand_in(&dated, &cells, 1, usd()), Some(Saying::DateBetween(Some(19_999), Some(19_999))));
        assert_eq!(stand_in(&dated, &cells, 3, usd()), Some(Saying::DateBetween(Some(20_001), Some(20_001))));
    }

    #[test]
    fn a_sum_has_no_part_of_the_smallest_coin() {
        let price = look(LookKind::Priced { from: n(0), to: n(10) });
        let cent = |cents: i128| Number::new(cents, 100);
        let said = |from: Number, to: Number, cell: usize| stand_in(&price, &Cells::of(&price, &[from, to]), cell, usd());
        let exactly = |sum: Number| Some(Saying::Between { low: Some(sum), high: Some(sum), reading: true });
        assert_eq!(said(cent(200), cent(202), 2), exactly(cent(201)));
        assert_eq!(said(cent(200), cent(201), 2), None, "between two cents there is none");
        assert_eq!(said(Number::new(4001, 2000), cent(201), 1), None, "nor is there half a one");
    }
}
