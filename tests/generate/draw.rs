//! One instrument as it truly is, drawn look by look as they are asked for.

use std::collections::HashMap;

use num_traits::ToPrimitive;
use purfle_lang::book::{
    Book, Comparison, Condition, Good, Look, LookAt, LookId, LookKind, PartId, PlaceAt, RecordPath, RowKey, TableId, TableKey,
    Test, Value,
};
use purfle_lang::number::Number;
use purfle_lang::unit::Unit;

use crate::dice::Dice;

/// The first day of the season, 2026-09-01, as a day number.
const SEASON: i64 = 20_697;

/// What a look truly shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown {
    /// One choice (yes or no: 0 is no, 1 is yes).
    Choice(usize),
    /// A set of choices.
    Choices(Vec<usize>),
    /// A number, in the look's own unit.
    Number(Number),
    /// A day, or none.
    Day(Option<i64>),
    /// A text with a number in it.
    Text(usize),
}

/// One instrument.
pub struct Truth<'a> {
    /// The rulebook that asks.
    pub book: &'a Book,
    /// Where chance comes from.
    pub dice: &'a mut Dice,
    /// The day of the inspection, as a day number.
    pub day: i64,
    shown: HashMap<(LookId, RecordPath), Shown>,
}

impl<'a> Truth<'a> {
    /// An instrument of which nothing is drawn yet.
    pub fn new(book: &'a Book, dice: &'a mut Dice) -> Self {
        let day = SEASON + dice.from(0, 60);
        Self { book, dice, day, shown: HashMap::new() }
    }

    /// Whether a part is there.
    pub fn has_part(&mut self, part: PartId) -> bool {
        let book = self.book;
        book[part].only_when.as_ref().is_none_or(|when| self.meets(when, (part, RecordPath::Single)))
    }

    /// Whether a place of a part that is there is there as well.
    pub fn has_place(&mut self, part: PartId, place: RecordPath) -> bool {
        let book = self.book;
        let RecordPath::Fixed(id) = place else { return true };
        book[part].fixed_places()[id.index()].only_when.as_ref().is_none_or(|when| self.meets(when, (part, place)))
    }

    /// Whether a look applies.
    pub fn applies(&mut self, look: LookId, place: RecordPath) -> bool {
        let book = self.book;
        let part = book[look].part;
        self.has_part(part)
            && self.has_place(part, place)
            && book[look].only_when.as_ref().is_none_or(|when| self.meets(when, (part, place)))
    }

    /// What a look shows.
    pub fn shows(&mut self, look: LookId, place: RecordPath) -> Shown {
        if let Some(shown) = self.shown.get(&(look, place)) {
            return shown.clone();
        }
        let shown = self.draw(look, place);
        self.shown.insert((look, place), shown.clone());
        shown
    }

    /// Whether what a look shows is good; so is what has no `good` and so cannot be bad.
    pub fn is_good(&mut self, look: LookId, place: RecordPath) -> bool {
        let book = self.book;
        let Some(good) = &book[look].good else { return true };
        match (good, self.shows(look, place)) {
            (Good::Choices(good), Shown::Choice(choice)) => good.contains(&choice),
            (Good::Choices(good), Shown::Choices(choices)) => *good == choices,
            (Good::NoDate, Shown::Day(day)) => day.is_none(),
            (Good::Range(value), Shown::Number(number)) => match (self.range(value, book[look].part, place), unit(&book[look])) {
                (Some((low, high)), unit) => unit.to_base(number).is_some_and(|number| low <= number && number <= high),
                (None, _) => false,
            },
            _ => false,
        }
    }

    fn draw(&mut self, look: LookId, place: RecordPath) -> Shown {
        let book = self.book;
        let about = &book[look];
        match &about.kind {
            LookKind::YesNo => match &about.good {
                Some(Good::Choices(good)) => Shown::Choice(self.mostly(good, 2)),
                _ => Shown::Choice(usize::from(self.dice.chance(80))),
            },
            LookKind::OneOf(choices) => match &about.good {
                Some(Good::Choices(good)) => Shown::Choice(self.mostly(good, choices.len())),
                _ => Shown::Choice(self.early(choices.len())),
            },
            LookKind::SomeOf(choices) => match &about.good {
                Some(Good::Choices(good)) if self.dice.chance(92) => Shown::Choices(good.clone()),
                _ => Shown::Choices((0..choices.len()).filter(|_| self.dice.chance(30)).collect()),
            },
            LookKind::Measured { .. } | LookKind::Counted { .. } | LookKind::Priced { .. } => {
                Shown::Number(self.number(about, place))
            }
            LookKind::Dated => Shown::Day(match about.good {
                Some(_) if self.dice.chance(92) => None,
                None if self.dice.chance(10) => None,
                _ => Some(self.day - self.dice.from(0, 900)),
            }),
            LookKind::Written => Shown::Text(self.dice.below(400)),
        }
    }

    /// A good choice, most of the time.
    fn mostly(&mut self, good: &[usize], count: usize) -> usize {
        match self.dice.pick(good) {
            Some(&choice) if self.dice.chance(94) => choice,
            _ => self.dice.below(count),
        }
    }

    /// A choice, the first ones more often than the last.
    fn early(&mut self, count: usize) -> usize {
        let end = 1 + self.dice.below(count);
        self.dice.below(end)
    }

    /// A number with as many decimals as anybody would write, in the look's own unit: most of the time a good one.
    fn number(&mut self, about: &Look, place: RecordPath) -> Number {
        let (from, to, give) = reach(about);
        let step = step_of(to - from, give);
        let low = (from / step).ceil().to_integer().to_i64().unwrap_or(0);
        let high = (to / step).floor().to_integer().to_i64().unwrap_or(0);
        let good = match &about.good {
            Some(Good::Range(value)) => self.range(value, about.part, place),
            _ => None,
        };
        let steps = match good {
            Some((good_low, good_high)) => {
                let in_unit = |number: Number| unit(about).from_base(number).unwrap_or(number) / step;
                let good_low = in_unit(good_low).ceil().to_integer().to_i64().unwrap_or(low);
                let good_high = in_unit(good_high).floor().to_integer().to_i64().unwrap_or(high).max(good_low);
                let slack = (good_high - good_low).max(5);
                let wider = match self.dice.below(100) {
                    0..84 => 0,
                    84..96 => slack,
                    _ => 4 * slack,
                };
                self.dice.from(good_low - wider, good_high + wider)
            }
            None => self.dice.from(low, low + (high - low) / 4),
        };
        Number::from_integer(i128::from(steps.clamp(low, high))) * step
    }

    /// Whether a condition is met. What asks for other findings or for places is taken as not met.
    fn meets(&mut self, condition: &Condition, here: (PartId, RecordPath)) -> bool {
        match condition {
            Condition::All(all) => all.iter().all(|inner| self.meets(inner, here)),
            Condition::Any(any) => any.iter().any(|inner| self.meets(inner, here)),
            Condition::AtLeast(least, of) => of.iter().filter(|inner| self.meets(inner, here)).count() >= *least as usize,
            Condition::Not(inner) => !self.meets(inner, here),
            Condition::Places { .. } | Condition::Found(..) => false,
            Condition::Test(test, _) => self.passes(test, here),
        }
    }

    fn passes(&mut self, test: &Test, here: (PartId, RecordPath)) -> bool {
        match test {
            Test::IsOneOf { look, choices, not } => match self.seen(*look, here) {
                Some(Shown::Choice(choice)) => choices.contains(&choice) != *not,
                _ => false,
            },
            Test::HasAny { look, choices } => match self.seen(*look, here) {
                Some(Shown::Choices(has)) => has.iter().any(|choice| choices.contains(choice)),
                _ => false,
            },
            Test::NoDate { look, not } => match self.seen(*look, here) {
                Some(Shown::Day(day)) => day.is_none() != *not,
                _ => false,
            },
            Test::PlaceIs { places, not, .. } => match here.1 {
                RecordPath::Fixed(place) => places.contains(&place) != *not,
                _ => false,
            },
            Test::Compare(comparison, left, right) => {
                let (Some((left, _)), Some((low, high))) = (self.value(left, here), self.value(right, here)) else {
                    return false;
                };
                match comparison {
                    Comparison::Above => left > high,
                    Comparison::AtMost => left <= high,
                    Comparison::Below => left < low,
                    Comparison::AtLeast => left >= low,
                }
            }
            Test::Between(value, low, high) => match (self.value(value, here), self.value(low, here), self.value(high, here)) {
                (Some((value, _)), Some((low, _)), Some((_, high))) => low <= value && value <= high,
                _ => false,
            },
            Test::TotalUrgency { .. } | Test::TotalTier { .. } => false,
        }
    }

    fn seen(&mut self, at: LookAt, here: (PartId, RecordPath)) -> Option<Shown> {
        let place = match at.place {
            PlaceAt::Single => RecordPath::Single,
            PlaceAt::Here => here.1,
            PlaceAt::Fixed(place) => RecordPath::Fixed(place),
        };
        self.applies(at.look, place).then(|| self.shows(at.look, place))
    }

    fn range(&mut self, value: &Value, part: PartId, place: RecordPath) -> Option<(Number, Number)> {
        self.value(value, (part, place))
    }

    /// A value in base units; only what may stand under `good` and `only when`.
    fn value(&mut self, value: &Value, here: (PartId, RecordPath)) -> Option<(Number, Number)> {
        let book = self.book;
        match value {
            Value::Number(number) => Some((*number, *number)),
            Value::Range(low, high) => Some((*low, *high)),
            Value::Look(at) => match self.seen(*at, here)? {
                Shown::Number(number) => unit(&book[at.look]).to_base(number).map(|number| (number, number)),
                _ => None,
            },
            Value::Table(table) => self.row(*table, here),
            _ => None,
        }
    }

    fn row(&mut self, table: TableId, here: (PartId, RecordPath)) -> Option<(Number, Number)> {
        let book = self.book;
        let keys: Vec<Option<usize>> = book[table]
            .keys
            .iter()
            .map(|key| match key {
                TableKey::Look(at) => match self.seen(*at, here) {
                    Some(Shown::Choice(choice)) => Some(choice),
                    _ => None,
                },
                TableKey::Place(_) => match here.1 {
                    RecordPath::Fixed(place) => Some(place.index()),
                    _ => None,
                },
            })
            .collect();
        let fits = |key: &RowKey, has: &Option<usize>| match key {
            RowKey::Any => true,
            RowKey::Is(index) => *has == Some(*index),
        };
        let loose = |keys: &[RowKey]| keys.iter().filter(|key| **key == RowKey::Any).count();
        let row = book[table]
            .rows
            .iter()
            .filter(|row| row.keys.iter().zip(&keys).all(|(key, has)| fits(key, has)))
            .min_by_key(|row| loose(&row.keys))?;
        self.value(&row.value, here)
    }
}

/// The unit a look's bare number is in.
fn unit(look: &Look) -> Unit {
    match look.kind {
        LookKind::Measured { unit, .. } => unit,
        _ => Unit::None,
    }
}

/// Least, greatest and reading error of a look that holds a number, in its own unit.
fn reach(look: &Look) -> (Number, Number, Option<Number>) {
    match &look.kind {
        LookKind::Measured { unit, from, to, give_or_take } => {
            let own = |number: Number| unit.from_base(number).unwrap_or(number);
            (own(*from), own(*to), give_or_take.map(|give| give / unit.factor()))
        }
        LookKind::Counted { from, to } => {
            (Number::from_integer(i128::from(*from)), Number::from_integer(i128::from(*to)), Some(Number::from_integer(1)))
        }
        LookKind::Priced { from, to } => (*from, *to, None),
        _ => (Number::from_integer(0), Number::from_integer(0), None),
    }
}

/// The power of ten that a reading is written to: that of its reading error, or of a hundredth of its range.
fn step_of(range: Number, give: Option<Number>) -> Number {
    let about = give.unwrap_or(range / Number::from_integer(100));
    let mut step = Number::new(1, 1000);
    let ten = Number::from_integer(10);
    while step * ten <= about {
        step *= ten;
    }
    step
}
