//! What a record says of a look, and what values worked out from it can be.

use purfle_lang::book::{Book, Good, LookId, LookKind, PartId, Places, RecordPath, Value};
use purfle_lang::evaluate::{InHand, Input, Inputs, LookSpot, Reach, Spot, evaluate};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::facts::good;
use crate::judge::extent::{Extent, extent_of, whole_extent};
use crate::judge::found_places;
use crate::outcome::At;
use crate::record::{Entry, Record};

/// A record with the book it was read by.
#[derive(Clone, Copy)]
pub struct Known<'a> {
    /// The book.
    pub book: &'a Book,
    /// The record.
    pub record: &'a Record,
}

/// How it comes that something is known of a look, or is not.
#[derive(Debug, Clone, PartialEq)]
pub enum Told<'a> {
    /// It was written down: the entry's number, and what it says.
    Written(usize, &'a Saying),
    /// Its part, its place or all the rest is good: the entry's number.
    Good(usize),
    /// Its part or place is written down as not applying: the entry's number.
    Absent(usize),
    /// Nobody looked.
    NotLookedAt,
}

impl<'a> Known<'a> {
    /// How it comes what is known of a look.
    pub fn told(self, look: LookId, path: RecordPath) -> Told<'a> {
        let part = self.book[look].part;
        let entries = || self.record.entries.iter().enumerate();
        for (at, entry) in entries() {
            if let Entry::Look(of, place, saying) = entry
                && (*of, *place) == (look, path)
            {
                return Told::Written(at, saying);
            }
        }
        let here = |place: &Option<RecordPath>| place.is_none_or(|place| place == path);
        let absent = entries().find(|(_, entry)| matches!(entry, Entry::Absent(of, place) if *of == part && here(place)));
        if let Some((at, _)) = absent {
            return Told::Absent(at);
        }
        if self.book[look].good.is_none() || self.record.left_out.contains(&(look, path)) || !good(self.record, part, path) {
            return Told::NotLookedAt;
        }
        // What is said of the place itself is nearer than what is said of all the rest.
        let said = entries().filter_map(|(at, entry)| match entry {
            Entry::Good(of, Some(place)) if *of == part && *place == path => Some((0, at)),
            Entry::Good(of, None) if *of == part => Some((1, at)),
            Entry::RestGood => Some((2, at)),
            _ => None,
        });
        said.min().map_or(Told::NotLookedAt, |(_, at)| Told::Good(at))
    }

    /// What is said of it: as written, or what is good of it. None where nothing is.
    pub fn saying(self, look: LookId, path: RecordPath) -> Option<Saying> {
        match self.told(look, path) {
            Told::Written(_, Saying::CouldNotTell) | Told::Absent(_) | Told::NotLookedAt => None,
            Told::Written(_, saying) => Some(saying.clone()),
            Told::Good(_) => self.good_saying(look, path),
        }
    }

    /// What is good of a look, as a record would say it.
    fn good_saying(self, look: LookId, path: RecordPath) -> Option<Saying> {
        let kind = &self.book[look].kind;
        match self.book[look].good.as_ref()? {
            Good::Choices(choices) if matches!(kind, LookKind::SomeOf(_)) => Some(Saying::Exactly(choices.clone())),
            Good::Choices(choices) => Some(Saying::OneOf(choices.clone())),
            Good::NoDate => Some(Saying::NoDate),
            Good::Range(value) => {
                let part = self.book[look].part;
                let hand = self.spot(part, path).map_or_else(InHand::nothing, |spot| InHand::nothing().with(part, spot));
                let (low, high) = self.ends(value, &hand)?;
                Some(Saying::Between { low: Some(low), high: Some(high), reading: false })
            }
        }
    }

    /// The least and the greatest that a value can be, as far as it has one.
    pub fn ends(self, value: &Value, hand: &InHand) -> Option<(Number, Number)> {
        let worked = evaluate(self.book, value, hand, &self)?;
        Some((worked.low.0, worked.high.1))
    }

    /// What the number or date of a look can still be: widened by its reading error, within what the look takes.
    pub fn extent(self, look: LookId, path: RecordPath) -> Option<Extent> {
        let kind = &self.book[look].kind;
        match self.saying(look, path) {
            Some(saying) => extent_of(kind, &saying),
            None => Some(whole_extent(kind)).filter(|whole| whole.ends.is_some()),
        }
    }

    /// The number or the stretch that was written down, not widened.
    pub fn stretch(self, look: LookId, path: RecordPath) -> Option<(Number, Number)> {
        let (from, to) = whole_extent(&self.book[look].kind).ends?;
        let day = |day: i64| Number::from_integer(day.into());
        match self.saying(look, path)? {
            Saying::Between { low, high, .. } => Some((low.unwrap_or(from), high.unwrap_or(to))),
            Saying::DateBetween(low, high) => Some((low.map_or(from, day), high.map_or(to, day))),
            _ => None,
        }
    }

    /// The place of a path, as a layout counts them.
    pub fn spot(self, part: PartId, path: RecordPath) -> Option<Spot> {
        match path {
            RecordPath::Single => Some(Spot::Single),
            RecordPath::Fixed(place) => Some(Spot::Fixed(place.0)),
            RecordPath::Found(_) => {
                let mut found = found_places(self.book, self.record).into_iter().filter(|(of, _)| *of == part);
                let at = found.position(|(_, number)| RecordPath::Found(number) == path)?;
                u32::try_from(at).ok().map(Spot::Found)
            }
        }
    }

    /// The path of a place, as the record has it; none for one that nobody has written down.
    pub fn path(self, part: PartId, spot: Spot) -> Option<RecordPath> {
        match spot {
            Spot::Single => matches!(self.book[part].places, Places::Single).then_some(RecordPath::Single),
            Spot::Fixed(place) => Some(RecordPath::Fixed(purfle_lang::book::PlaceId(place))),
            Spot::Found(at) => {
                let mut found = found_places(self.book, self.record).into_iter().filter(|(of, _)| *of == part);
                found.nth(at as usize).map(|(_, number)| RecordPath::Found(number))
            }
        }
    }

    /// What the same look of the record before can be.
    fn last(self, look: LookSpot) -> Option<Extent> {
        let path = self.path(self.book[look.look].part, look.spot)?;
        let saying = self.record.last.iter().find(|(of, at, _)| (*of, *at) == (look.look, path)).map(|(.., saying)| saying)?;
        extent_of(&self.book[look.look].kind, saying)
    }
}

impl Inputs for Known<'_> {
    fn number(&self, input: Input) -> Reach {
        let reach = |extent: Option<Extent>| extent.map_or(Reach::NOTHING, |e| Reach { ends: e.ends, nothing: e.nothing });
        match input {
            Input::Look(look) => match self.path(self.book[look.look].part, look.spot) {
                Some(path) => reach(self.extent(look.look, path)),
                None => reach(Some(whole_extent(&self.book[look.look].kind))),
            },
            Input::Last(look) => reach(self.last(look)),
            Input::InspectedOn => {
                self.record.inspected_on.map_or(Reach::NOTHING, |day| Reach::point(Number::from_integer(day.into())))
            }
            Input::TotalCost => Reach::NOTHING,
        }
    }

    fn key(&self, look: LookSpot) -> Vec<Option<usize>> {
        let said = self.path(self.book[look.look].part, look.spot).and_then(|path| self.saying(look.look, path));
        match said {
            Some(Saying::OneOf(choices)) => choices.into_iter().map(Some).collect(),
            Some(Saying::DoesNotApply) => vec![None],
            _ => (0..self.book[look.look].choices().len().max(2)).map(Some).collect(),
        }
    }
}

/// The same with one look at a value of one's own.
pub struct Supposed<'a> {
    /// What is known otherwise.
    pub known: Known<'a>,
    /// The look.
    pub look: LookSpot,
    /// Its number.
    pub number: Number,
}

impl Inputs for Supposed<'_> {
    fn number(&self, input: Input) -> Reach {
        if input == Input::Look(self.look) { Reach::point(self.number) } else { self.known.number(input) }
    }

    fn key(&self, look: LookSpot) -> Vec<Option<usize>> {
        self.known.key(look)
    }
}

/// The path that an outcome's place stands for; none where nobody has written the place down.
pub fn path_of(at: At) -> Option<RecordPath> {
    match at {
        At::Part => Some(RecordPath::Single),
        At::Place(path) => Some(path),
        At::Unnamed => None,
    }
}
