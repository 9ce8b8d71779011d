//! Where the values of looks are cut: every value at which some comparison of the book can turn over.
//!
//! Both sides of a comparison are taken apart into straight lines of at most one look each. Two lines of one look
//! cross at one value, which is a cut. Two looks compared as they are get each other's cuts, and more than one sample
//! between two cuts. What is neither is told: the cases then are only some of those there are.

use std::collections::{BTreeMap, BTreeSet};

use num_traits::{One, Zero};
use purfle_lang::book::{ArithmeticSign, Book, Good, LookAt, LookId, Value};
use purfle_lang::number::Number;

use super::{samples, walk};

/// What can be read: a look of this record, or (second) of the one before.
pub type Read = (LookId, bool);

/// The cuts of every look that holds a number or a date.
#[derive(Debug, Default)]
pub struct Cuts {
    points: BTreeMap<Read, BTreeSet<Number>>,
    /// Looks that are compared with each other as they are.
    links: Vec<(Read, Read)>,
    /// Looks whose very value counts, not only the side of a cut it lies on.
    fluid: BTreeSet<Read>,
    /// Whether the samples stand for every value there is, for all but sums of money.
    pub complete: bool,
    /// Whether sums of money hang on a look's very value.
    pub fluid_cost: bool,
}

/// A straight line: `slope` times the look plus `offset`.
#[derive(Debug, Clone, Copy)]
struct Line {
    look: Option<(LookAt, bool)>,
    slope: Number,
    offset: Number,
}

/// More lines than this in one value are not followed.
const MOST_LINES: usize = 200;

impl Cuts {
    /// The cuts of a book for a record with that date.
    pub fn of(book: &Book, inspected_on: Option<i64>) -> Self {
        let mut cuts = Self { complete: true, ..Self::default() };
        let lines = Lines { book, inspected_on };
        for condition in walk::conditions(book) {
            walk::compared(condition, &mut |left, right| {
                if walk::has_total(left) || walk::has_total(right) {
                    [left, right].into_iter().for_each(|value| cuts.flow(book, value));
                } else {
                    cuts.compare(book, &lines, left, right);
                }
            });
        }
        for (at, look) in book.looks.iter().enumerate() {
            if let Some(Good::Range(value)) = &look.good
                && let Some(ends) = lines.of(value)
            {
                let own = LookId::from_index(at);
                ends.iter().filter(|line| line.look.is_none()).for_each(|line| cuts.cut((own, false), line.offset));
            }
        }
        for value in walk::amounts(book) {
            cuts.flow(book, value);
            walk::read_in(book, value, &mut |at| cuts.fluid_cost |= !samples::all_taken(&book[at.look].kind));
        }
        for (_, look) in book.aids.iter().filter_map(|aid| aid.not_beyond) {
            cuts.fluid.insert((look, false));
        }
        cuts.share();
        cuts
    }

    /// Those of this book and of another one about the same looks.
    pub fn with(mut self, other: Self) -> Self {
        for (read, points) in other.points {
            self.points.entry(read).or_default().extend(points);
        }
        self.links.extend(other.links);
        self.fluid.extend(other.fluid);
        self.complete &= other.complete;
        self.fluid_cost |= other.fluid_cost;
        self
    }

    /// The cuts of one look, least first.
    pub fn points(&self, read: Read) -> Vec<Number> {
        self.points.get(&read).into_iter().flatten().copied().collect()
    }

    /// Whether one look is compared with another look.
    pub fn linked(&self, read: Read) -> bool {
        self.links.iter().any(|(left, right)| *left == read || *right == read)
    }

    /// Whether any look is compared with another one.
    pub fn any_linked(&self) -> bool {
        !self.links.is_empty()
    }

    /// Whether its very value counts.
    pub fn fluid(&self, read: Read) -> bool {
        self.fluid.contains(&read)
    }

    fn cut(&mut self, read: Read, point: Number) {
        self.points.entry(read).or_default().insert(point);
    }

    fn flow(&mut self, book: &Book, value: &Value) {
        walk::read_in(book, value, &mut |at| {
            if book[at.look].dimension().is_some() {
                self.fluid.insert((at.look, false));
            }
        });
    }

    fn compare(&mut self, book: &Book, lines: &Lines<'_>, left: &Value, right: &Value) {
        let (Some(left_lines), Some(right_lines)) = (lines.of(left), lines.of(right)) else {
            self.complete = false;
            for value in [left, right] {
                walk::read_in(book, value, &mut |at| {
                    self.fluid.insert((at.look, false));
                });
            }
            return;
        };
        for one in &left_lines {
            for other in &right_lines {
                self.meet(*one, *other);
            }
        }
    }

    fn meet(&mut self, one: Line, other: Line) {
        let read = |(at, last): (LookAt, bool)| (at.look, last);
        match (one.look, other.look) {
            (None, None) => {}
            (Some(look), None) => self.cut(read(look), (other.offset - one.offset) / one.slope),
            (None, Some(look)) => self.cut(read(look), (one.offset - other.offset) / other.slope),
            (Some(a), Some(b)) if a == b => {
                if one.slope != other.slope {
                    self.cut(read(a), (other.offset - one.offset) / (one.slope - other.slope));
                }
            }
            (Some(a), Some(b)) => {
                self.complete &= one.slope == other.slope && one.offset == other.offset;
                self.links.push((read(a), read(b)));
            }
        }
    }

    /// Gives looks that are compared with each other the same cuts.
    fn share(&mut self) {
        for _ in 0..self.links.len() {
            for (left, right) in self.links.clone() {
                let both: BTreeSet<Number> = self.points(left).into_iter().chain(self.points(right)).collect();
                self.points.insert(left, both.clone());
                self.points.insert(right, both);
            }
        }
    }
}

/// Takes values apart into lines.
struct Lines<'a> {
    book: &'a Book,
    inspected_on: Option<i64>,
}

impl Lines<'_> {
    /// The lines that a value, either end of it, can follow; none if it is not made of straight lines.
    fn of(&self, value: &Value) -> Option<Vec<Line>> {
        let constant = |offset: Number| Line { look: None, slope: Number::zero(), offset };
        let day = |day: i64| constant(Number::from_integer(i128::from(day)));
        let look = |at: LookAt, last: bool| Line { look: Some((at, last)), slope: Number::one(), offset: Number::zero() };
        let lines = match value {
            Value::Number(number) => vec![constant(*number)],
            Value::Range(low, high) => vec![constant(*low), constant(*high)],
            Value::Date(date) => vec![day(*date)],
            Value::Look(at) => vec![look(*at, false)],
            Value::Last(at) => vec![look(*at, true)],
            Value::InspectedOn => self.inspected_on.map(day).into_iter().collect(),
            Value::Table(table) => {
                let mut lines = Vec::new();
                for row in &self.book[*table].rows {
                    lines.extend(self.of(&row.value)?);
                }
                lines
            }
            Value::Reckon(reckon) => self.of(&self.book[*reckon].value)?,
            Value::Negative(inner) => self.of(inner)?.into_iter().map(|line| scaled(line, -Number::one())).collect(),
            Value::Lower(left, right) | Value::Higher(left, right) => {
                let mut lines = self.of(left)?;
                lines.extend(self.of(right)?);
                lines
            }
            Value::DaysFrom(from, to) => {
                let minutes = Number::from_integer(24 * 60);
                let days = self.pairs(to, from, |to, from| sum(to, scaled(from, -Number::one())))?;
                days.into_iter().map(|line| scaled(line, minutes)).collect()
            }
            Value::Arithmetic(ArithmeticSign::Plus, left, right) => self.pairs(left, right, sum)?,
            Value::Arithmetic(ArithmeticSign::Minus, left, right) => {
                self.pairs(left, right, |left, right| sum(left, scaled(right, -Number::one())))?
            }
            Value::Arithmetic(ArithmeticSign::Times, left, right) => {
                self.pairs(left, right, |left, right| match (left.look, right.look) {
                    (_, None) => Some(scaled(left, right.offset)),
                    (None, _) => Some(scaled(right, left.offset)),
                    _ => None,
                })?
            }
            Value::Arithmetic(ArithmeticSign::By, left, right) => {
                let divisors = self.of(right)?;
                let mut lines = Vec::new();
                for line in self.of(left)? {
                    for divisor in &divisors {
                        if divisor.look.is_some() {
                            return None;
                        }
                        if !divisor.offset.is_zero() {
                            lines.push(scaled(line, divisor.offset.recip()));
                        }
                    }
                }
                lines
            }
            Value::Formula(..) | Value::TotalCost => return None,
        };
        (lines.len() <= MOST_LINES).then_some(lines)
    }

    fn pairs(&self, left: &Value, right: &Value, join: impl Fn(Line, Line) -> Option<Line>) -> Option<Vec<Line>> {
        let (left, right) = (self.of(left)?, self.of(right)?);
        left.iter().flat_map(|one| right.iter().map(|other| join(*one, *other))).collect()
    }
}

fn scaled(line: Line, by: Number) -> Line {
    let look = if by.is_zero() { None } else { line.look };
    Line { look, slope: line.slope * by, offset: line.offset * by }
}

fn sum(left: Line, right: Line) -> Option<Line> {
    let (look, slope) = match (left.look, right.look) {
        (Some(a), Some(b)) if a == b => (Some(a), left.slope + right.slope),
        (Some(_), Some(_)) => return None,
        (look, other) => (look.or(other), left.slope + right.slope),
    };
    let look = if slope.is_zero() { None } else { look };
    Some(Line { look, slope, offset: left.offset + right.offset })
}
