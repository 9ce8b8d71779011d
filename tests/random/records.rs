//! Random records for a rulebook, and how they are written down when something comes out wrong.

use std::sync::Arc;

use purfle::record::{Entry, Record};
use purfle_lang::book::{Book, Look, LookId, LookKind, PartId, PlaceId, Places, RecordPath};
use purfle_lang::number::Number;
use purfle_lang::saying::{Saying, format};
use purfle_lang::unit::format_date;

use super::dice::Dice;

/// The day around which random dates lie: 2026-06-01.
const TODAY: i64 = 20_605;

/// A random record: little or much of it seen, and what was seen more or less clearly.
pub fn record(book: &Book, dice: &mut Dice) -> Record {
    let mut record = Record { id: "tried".to_owned(), ..Record::default() };
    let unseen = [0, 15, 40, 75][dice.below(4)];
    if dice.chance(70) {
        record.inspected_on = Some(TODAY + dice.from(-200, 200));
    }
    if book.aids.is_empty() && dice.chance(10) {
        record.quoted = Some(Number::from_integer(i128::from(dice.from(1, 30)) * 10));
    }
    for part in (0..book.parts.len()).map(PartId::from_index) {
        for path in places(book, part, &mut record, dice) {
            for look in &book[part].looks {
                // What is said of something that hangs on something else often cannot be.
                let hangs = book[*look].only_when.is_some() || book[part].only_when.is_some();
                let passed_over = dice.chance(unseen) || (hangs && dice.chance(60));
                if !passed_over {
                    let said = say(&book[*look], dice);
                    record.entries.push(Entry::Look(*look, path, Arc::new(said)));
                }
                if matches!(book[*look].kind, LookKind::Measured { .. })
                    && !matches!(path, RecordPath::Found(_))
                    && dice.chance(40)
                {
                    record.last.push((*look, path, Arc::new(say(&book[*look], dice))));
                }
            }
        }
    }
    record
}

/// The places of a part to say something of; what is said of the part as a whole goes into the record.
fn places(book: &Book, part: PartId, record: &mut Record, dice: &mut Dice) -> Vec<RecordPath> {
    match &book[part].places {
        Places::Single | Places::Fixed(_) if dice.chance(12) => record.entries.push(Entry::Good(part, None)),
        Places::Single | Places::Fixed(_) if dice.chance(2) => record.entries.push(Entry::Absent(part, None)),
        _ => {}
    }
    match &book[part].places {
        Places::Single => vec![RecordPath::Single],
        Places::Fixed(places) => {
            let paths: Vec<RecordPath> = (0..places.len()).map(|at| RecordPath::Fixed(PlaceId(at as u32))).collect();
            for path in &paths {
                match dice.below(100) {
                    0..=4 => record.entries.push(Entry::Good(part, Some(*path))),
                    5 => record.entries.push(Entry::Absent(part, Some(*path))),
                    _ => {}
                }
            }
            paths
        }
        Places::AsFound => {
            let many = match dice.below(10) {
                0..=3 => return Vec::new(),
                4 | 5 => {
                    record.entries.push(Entry::NoPlaces(part));
                    return Vec::new();
                }
                6..=8 => 1,
                _ => 2,
            };
            let paths: Vec<RecordPath> = (1..=many).map(RecordPath::Found).collect();
            record.entries.extend(paths.iter().map(|path| Entry::There(part, *path)));
            if dice.chance(25) {
                record.entries.push(Entry::MayBeMore(part));
            }
            paths
        }
    }
}

/// Something that can be said of a look.
fn say(look: &Look, dice: &mut Dice) -> Saying {
    match dice.below(100) {
        0..=3 => return Saying::CouldNotTell,
        4 => return Saying::DoesNotApply,
        _ => {}
    }
    match &look.kind {
        LookKind::YesNo => Saying::OneOf(vec![dice.below(2)]),
        LookKind::OneOf(choices) => {
            let all: Vec<usize> = (0..choices.len()).collect();
            let most = if dice.chance(20) { 2 } else { 1 };
            Saying::OneOf(dice.some(&all, most))
        }
        LookKind::SomeOf(choices) => Saying::Exactly((0..choices.len()).filter(|_| dice.chance(40)).collect()),
        LookKind::Measured { from, to, .. } => between(dice, *from, *to, 10),
        LookKind::Priced { from, to } => between(dice, *from, *to, 1),
        LookKind::Counted { from, to } => {
            between(dice, Number::from_integer(i128::from(*from)), Number::from_integer(i128::from(*to)), 1)
        }
        LookKind::Dated => match dice.below(4) {
            0 => Saying::NoDate,
            1 => Saying::DateBetween(Some(TODAY - dice.from(200, 400)), Some(TODAY - dice.from(0, 200))),
            2 => Saying::DateBetween(Some(TODAY - dice.from(0, 300)), None),
            _ => {
                let day = TODAY - dice.from(0, 500);
                Saying::DateBetween(Some(day), Some(day))
            }
        },
        LookKind::Written => Saying::Text("seen".to_owned()),
    }
}

/// A reading, a range, or one end of one, in whole parts of one `parts`-th.
fn between(dice: &mut Dice, from: Number, to: Number, parts: i64) -> Saying {
    let whole = |number: Number| (number * Number::from_integer(i128::from(parts))).to_integer() as i64;
    let mut number = || Number::new(i128::from(dice.from(whole(from), whole(to))), i128::from(parts));
    let (one, other) = (number(), number());
    let (low, high) = (one.min(other), one.max(other));
    match dice.below(10) {
        0 => Saying::Between { low: Some(low), high: Some(high), reading: false },
        1 => Saying::Between { low: Some(low), high: None, reading: false },
        2 => Saying::Between { low: None, high: Some(high), reading: false },
        _ => Saying::Between { low: Some(one), high: Some(one), reading: true },
    }
}

/// The record as one would write it.
pub fn words(book: &Book, record: &Record) -> String {
    let place = |part: PartId, path: &RecordPath| match path {
        RecordPath::Single => book[part].name.clone(),
        RecordPath::Fixed(place) => format!("{}.{}", book[part].name, book[part].fixed_places()[place.index()].name),
        RecordPath::Found(number) => format!("{}.{number}", book[part].name),
    };
    let said = |look: &LookId, path: &RecordPath, saying: &Saying| {
        format!("{}.{} is {}", place(book[*look].part, path), book[*look].name, format(&book[*look], saying, book.money))
    };
    let whole =
        |part: &PartId, path: &Option<RecordPath>| path.as_ref().map_or(book[*part].name.clone(), |path| place(*part, path));
    let mut words: Vec<String> = Vec::new();
    words.extend(record.inspected_on.map(|day| format!("inspected-on is {}", format_date(day))));
    words.extend(record.quoted.map(|sum| format!("quoted is {sum} USD")));
    words.extend(record.entries.iter().map(|entry| match entry {
        Entry::Look(look, path, saying) => said(look, path, saying),
        Entry::Good(part, path) => format!("{} is good", whole(part, path)),
        Entry::There(part, path) => format!("{} is there", place(*part, path)),
        Entry::Absent(part, path) => format!("{} does not apply", whole(part, path)),
        Entry::NoPlaces(part) => format!("no {}", book[*part].name),
        Entry::MayBeMore(part) => format!("{} may be more", book[*part].name),
        Entry::RestGood => "the rest is good".to_owned(),
    }));
    words.extend(record.last.iter().map(|(look, path, saying)| format!("last {}", said(look, path, saying))));
    words.join(",\n  ")
}
