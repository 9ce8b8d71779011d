//! The sheet as columns of a table: one row an instrument, one column an answer.

use num_traits::ToPrimitive;
use purfle_lang::book::{Book, Look, LookKind};
use purfle_lang::number::Number;
use purfle_lang::saying::allowed;
use purfle_lang::unit::Unit;

use super::Scope;
use super::view::{FOUND_PLACES, Sheet, SheetLook, SheetPart, SheetPlace};
use crate::records::{INSPECTED_ON, QUOTED, RECORD, TAG, THE_REST};

/// One column.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// What stands over it, its unit included: `button.gap [mm]`.
    pub heading: String,
    /// The words of the part.
    pub part: String,
    /// The words of the place; empty where the part has one.
    pub place: String,
    /// What is asked.
    pub question: String,
    /// What may be written, in words.
    pub allowed: String,
    /// Quick tests, nearest first.
    pub how: Vec<String>,
    /// Cautions, nearest first.
    pub care: Vec<String>,
    /// When it is asked, where that hangs on something else.
    pub only: Vec<String>,
    /// What it takes.
    pub takes: Takes,
}

/// What a column takes.
#[derive(Debug, Clone, PartialEq)]
pub enum Takes {
    /// A mark or words.
    Text,
    /// A day.
    Day,
    /// One of these, or several in a cell.
    Choices(Vec<String>),
    /// One of these and nothing else.
    Only(Vec<String>),
    /// A number between these, in the unit of the heading.
    Number(f64, f64),
}

/// Could not tell, and does not apply: what every look takes.
const MARKS: [&str; 2] = ["?", "-"];

/// What a whole part takes in a cell.
const WHOLE: [&str; 3] = ["good", "?", "-"];

/// The same for a part with as many places as are found.
const WHOLE_AS_FOUND: [&str; 5] = ["none", "may be more", "good", "?", "-"];

/// The columns of a record of everything that may apply, in the order hands move over an instrument.
pub fn columns(scope: &Scope<'_>) -> Vec<Column> {
    let book = scope.book();
    let sheet = Sheet::new(scope);
    let mut columns = vec![
        fixed(RECORD, "The inspection's own mark, such as AR-017. No two rows may have the same.", "a mark", Takes::Text),
        fixed(TAG, "The instrument's lasting mark; its earlier inspections are found by it.", "a mark, or nothing", Takes::Text),
        fixed(INSPECTED_ON, "The day of the inspection.", "a date such as 2026-11-20", Takes::Day),
    ];
    for part in sheet.contexts.iter().chain(&sheet.parts) {
        add_part(&mut columns, book, part);
    }
    let most = f64::from(i32::MAX);
    columns.push(fixed(
        &format!("{QUOTED} [{}]", book.money),
        "The shop's own price, once it has seen the instrument.",
        &format!("a sum such as 240 {}", book.money),
        Takes::Number(0.0, most),
    ));
    columns.push(fixed(
        THE_REST,
        "Was everything looked at, and is all that is left empty good? Then write good. Leave it empty if not.",
        "good, or nothing",
        Takes::Only(vec!["good".to_owned()]),
    ));
    columns
}

fn fixed(heading: &str, question: &str, allowed: &str, takes: Takes) -> Column {
    Column {
        heading: heading.to_owned(),
        part: String::new(),
        place: String::new(),
        question: question.to_owned(),
        allowed: allowed.to_owned(),
        how: Vec::new(),
        care: Vec::new(),
        only: Vec::new(),
        takes,
    }
}

fn add_part(columns: &mut Vec<Column>, book: &Book, part: &SheetPart) {
    if part.as_found || (part.number > 0 && part.has_good) {
        let (question, choices) = match part.as_found {
            true => (
                "Were all of them looked for? Write none if there are none, may be more if some may be hidden.",
                &WHOLE_AS_FOUND[..],
            ),
            false => ("Is all of it good? Then write good here and leave its other columns empty.", &WHOLE[..]),
        };
        let choices: Vec<String> = choices.iter().map(|choice| (*choice).to_owned()).collect();
        let mut whole = fixed(&part.name, question, &choices.join(", "), Takes::Only(choices));
        whole.part.clone_from(&part.words);
        whole.how.extend(part.how.clone());
        whole.care.extend(part.care.clone());
        whole.only.extend(part.only.clone());
        columns.push(whole);
    }
    if part.as_found {
        for number in 1..=FOUND_PLACES {
            for look in &part.looks {
                add_look(columns, book, part, None, &format!("{}.{number}", part.name), &format!("number {number}"), look);
            }
        }
    } else if part.places.is_empty() {
        for look in &part.looks {
            add_look(columns, book, part, None, &part.name, "", look);
        }
    } else {
        for place in &part.places {
            for look in &part.looks {
                add_look(columns, book, part, Some(place), &format!("{}.{}", part.name, place.name), &place.words, look);
            }
        }
    }
}

fn add_look(
    columns: &mut Vec<Column>,
    book: &Book,
    part: &SheetPart,
    at: Option<&SheetPlace>,
    stem: &str,
    place: &str,
    asked: &SheetLook,
) {
    let Some(look) = book.find_part(&part.name).and_then(|part| book.find_look(part, &asked.name)) else { return };
    let look = &book[look];
    let unit = match &look.kind {
        LookKind::Measured { unit, .. } if *unit != Unit::None => format!(" [{unit}]"),
        LookKind::Priced { .. } => format!(" [{}]", book.money),
        _ => String::new(),
    };
    let nearest_first = |look: &Option<String>, place: Option<&Option<String>>, part: &Option<String>| {
        look.iter().chain(place.into_iter().flatten()).chain(part).cloned().collect()
    };
    columns.push(Column {
        heading: format!("{stem}.{}{unit}", asked.name),
        part: part.words.clone(),
        place: place.to_owned(),
        question: asked.question.clone(),
        allowed: allowed(look, book.money),
        how: nearest_first(&asked.how, at.map(|at| &at.how), &part.how),
        care: nearest_first(&asked.care, at.map(|at| &at.care), &part.care),
        only: nearest_first(&asked.only, at.map(|at| &at.only), &part.only),
        takes: takes(look),
    });
}

fn takes(look: &Look) -> Takes {
    let listed = |own: &mut dyn Iterator<Item = &str>| Takes::Choices(own.chain(MARKS).map(str::to_owned).collect());
    let names = || look.choices().iter().map(|choice| choice.name.as_str());
    let float = |number: Option<Number>| number.and_then(|number| number.to_f64());
    match &look.kind {
        LookKind::YesNo => listed(&mut ["yes", "no"].into_iter()),
        LookKind::OneOf(_) => listed(&mut names()),
        LookKind::SomeOf(_) => listed(&mut names().chain(["none"])),
        LookKind::Measured { unit, from, to, .. } => match (float(unit.from_base(*from)), float(unit.from_base(*to))) {
            (Some(low), Some(high)) => Takes::Number(low, high),
            _ => Takes::Text,
        },
        LookKind::Counted { from, to } => Takes::Number(*from as f64, *to as f64),
        LookKind::Priced { from, to } => match (float(Some(*from)), float(Some(*to))) {
            (Some(low), Some(high)) => Takes::Number(low, high),
            _ => Takes::Text,
        },
        LookKind::Dated => Takes::Day,
        LookKind::Written => Takes::Text,
    }
}
