//! Cells: the stretches and choices of a look inside which nothing a rulebook says can change.
//!
//! Every limit that a condition compares a look with is a cell of its own, and so is every open stretch
//! between two limits. A record's value is a set of cells; each cell has a sample value that stands for all of it.

use std::ops::Range;

use num_traits::One;

use crate::book::{Look, LookKind};
use crate::number::Number;
use crate::unit::parse_date;

/// One cell of a look.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cell {
    /// A choice, by index; yes or no: 0 is no, 1 is yes.
    Choice(usize),
    /// A dated look without a date.
    NoDate,
    /// One number or date exactly.
    Point(Number),
    /// All numbers between these two, ends not included.
    Between(Number, Number),
}

/// The cells of one look, in order; for numbers and dates from the least to the greatest, `none` first.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Cells {
    cells: Vec<Cell>,
    bounds: (Number, Number),
    whole: bool,
}

/// Counted looks with no more values than this get a cell for each.
const MOST_COUNTED: i64 = 24;

impl Cells {
    /// The cells of `look`, cut at `cuts` (in any order). Text has one cell.
    pub fn of(look: &Look, cuts: &[Number]) -> Self {
        let choices = |count: usize| {
            let none = Number::from_integer(0);
            Self { cells: (0..count).map(Cell::Choice).collect(), bounds: (none, none), whole: false }
        };
        match &look.kind {
            LookKind::YesNo => choices(2),
            LookKind::OneOf(named) => choices(named.len()),
            LookKind::SomeOf(_) | LookKind::Written => choices(1),
            LookKind::Measured { from, to, .. } | LookKind::Priced { from, to } => {
                Self { cells: stretches(*from, *to, cuts, false), bounds: (*from, *to), whole: false }
            }
            LookKind::Counted { from, to } => {
                let number = |n: i64| Number::from_integer(i128::from(n));
                let cells = if to - from <= MOST_COUNTED {
                    (*from..=*to).map(|n| Cell::Point(number(n))).collect()
                } else {
                    stretches(number(*from), number(*to), cuts, true)
                };
                Self { cells, bounds: (number(*from), number(*to)), whole: true }
            }
            LookKind::Dated => {
                let (first, last) = date_range();
                let mut cells = vec![Cell::NoDate];
                cells.extend(stretches(first, last, cuts, true));
                Self { cells, bounds: (first, last), whole: true }
            }
        }
    }

    /// The cells of a worked-out value without bounds of its own, cut at `cuts`.
    pub fn of_value(cuts: &[Number]) -> Self {
        let far = Number::from_integer(i128::from(i64::MAX));
        Self { cells: stretches(-far, far, cuts, false), bounds: (-far, far), whole: false }
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.cells.len()
    }

    /// Whether there are none; a look always has one.
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }

    /// The cell at `index`.
    pub fn get(&self, index: usize) -> Option<Cell> {
        self.cells.get(index).copied()
    }

    /// All of them, in order.
    pub fn iter(&self) -> impl Iterator<Item = Cell> + '_ {
        self.cells.iter().copied()
    }

    /// A number or date that stands for the cell; none for choices and `none`.
    pub fn sample(&self, index: usize) -> Option<Number> {
        match self.get(index)? {
            Cell::Choice(_) | Cell::NoDate => None,
            Cell::Point(number) => Some(number),
            Cell::Between(low, _) if self.whole => Some(low.floor() + Number::one()),
            Cell::Between(low, high) => {
                let (from, to) = self.bounds;
                Some((low.max(from) + high.min(to)) / Number::from_integer(2))
            }
        }
    }

    /// The cells that hold a number from `low` to `high`, ends included.
    pub fn within(&self, low: Number, high: Number) -> Range<usize> {
        let holds = |cell: &Cell| match cell {
            Cell::Choice(_) | Cell::NoDate => false,
            Cell::Point(number) => low <= *number && *number <= high,
            Cell::Between(from, to) => {
                if self.whole {
                    // A whole number must lie in both.
                    let first = (from.floor() + Number::one()).max(low.ceil());
                    first < *to && first <= high
                } else {
                    *from < high && low < *to
                }
            }
        };
        let Some(start) = self.cells.iter().position(holds) else {
            return 0..0;
        };
        let end = self.cells.iter().rposition(holds).map_or(start, |last| last + 1);
        start..end
    }
}

/// The first and last day a date may be.
pub fn date_range() -> (Number, Number) {
    let day = |text: &str, or: i64| Number::from_integer(i128::from(parse_date(text).unwrap_or(or)));
    (day("1000-01-01", -354_285), day("9999-12-31", 2_932_896))
}

fn stretches(from: Number, to: Number, cuts: &[Number], whole: bool) -> Vec<Cell> {
    let within = |cut: &Number| from <= *cut && *cut <= to;
    let mut points: Vec<Number> = cuts.iter().copied().filter(within).collect();
    if whole {
        // A limit between two whole numbers parts them just as well as the next one up would.
        points = points.iter().map(Number::ceil).filter(within).collect();
    }
    points.sort_unstable();
    points.dedup();
    // The ends of the range are not limits: the outermost stretches reach past them, so that they hold them.
    let (below, above) = (from - Number::one(), to + Number::one());
    let mut cells = Vec::with_capacity(points.len() * 2 + 1);
    let mut last = below;
    let has_room = |low: Number, high: Number| {
        let (low, high) = (low.max(below), high.min(above));
        if whole {
            low.floor() + Number::one() < high
        } else {
            low < high && !(low == below && high == from) && !(low == to && high == above)
        }
    };
    for point in points {
        if has_room(last, point) {
            cells.push(Cell::Between(last, point));
        }
        cells.push(Cell::Point(point));
        last = point;
    }
    if has_room(last, above) {
        cells.push(Cell::Between(last, above));
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;

    fn n(value: i128) -> Number {
        Number::from_integer(value)
    }

    #[test]
    fn a_limit_is_a_cell_and_so_is_each_stretch() {
        let cells = stretches(n(0), n(8), &[n(2), n(5)], false);
        assert_eq!(cells.len(), 5);
        let at_the_end = stretches(n(0), n(8), &[n(0), n(8)], false);
        assert_eq!(at_the_end.len(), 3);
        assert_eq!(
            stretches(n(0), n(3), &[n(1), n(2)], true),
            [Cell::Between(n(-1), n(1)), Cell::Point(n(1)), Cell::Point(n(2)), Cell::Between(n(2), n(4)),]
        );
    }

    #[test]
    fn a_range_picks_the_cells_it_touches() {
        let cells = Cells { cells: stretches(n(0), n(8), &[n(2), n(5)], false), bounds: (n(0), n(8)), whole: false };
        assert_eq!(cells.within(n(0), n(0)), 0..1);
        assert_eq!(cells.within(n(2), n(2)), 1..2);
        assert_eq!(cells.within(n(2), n(3)), 1..3);
        assert_eq!(cells.within(n(0), n(8)), 0..5);
        assert_eq!(cells.sample(0), Some(n(1)));
        assert_eq!(cells.sample(4), Some(Number::new(13, 2)));
    }
}
