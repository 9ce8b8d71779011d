//! The names of a record's fields, and what each of them stands for.

use purfle_lang::book::{Book, LookId, PartId, PlaceId, Places, RecordPath};
use purfle_lang::nearest::nearest;
use purfle_lang::saying::{check_heading_unit, look_field};
use purfle_lang::unit::{Dimension, Unit};

use super::say::told;

/// The field that holds the inspection's own mark.
pub const RECORD: &str = "record";
/// The field that holds the instrument's lasting mark.
pub const TAG: &str = "tag";
/// The field that holds the day of the inspection.
pub const INSPECTED_ON: &str = "inspected-on";
/// The field that holds the shop's price.
pub const QUOTED: &str = "quoted";
/// The field that may say `good` of every part not mentioned. It has a space in it, so no part can be called so.
pub const THE_REST: &str = "the rest";

/// The fields that every rulebook has.
const FIXED: [&str; 5] = [RECORD, TAG, INSPECTED_ON, QUOTED, THE_REST];

/// The most places as found that one part of a record may have.
pub const MOST_PLACES: u32 = 100;

/// What a field stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Target {
    /// The inspection's own mark.
    Record,
    /// The instrument's lasting mark.
    Tag,
    /// The day of the inspection.
    InspectedOn,
    /// The shop's price.
    Quoted,
    /// Every part not mentioned.
    TheRest,
    /// A whole part, or one place of it.
    Part(PartId, Option<RecordPath>),
    /// A look at its place.
    Look(LookId, RecordPath),
    /// It names no part, and is carried along.
    Carried,
}

/// A field whose name is understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Field {
    /// What it stands for.
    pub target: Target,
    /// The unit in its name, as in `button.gap [in]`.
    pub unit: Option<Unit>,
}

impl Field {
    /// Understands a field's name; the error says what is wrong, what is allowed and what comes nearest.
    pub fn parse(book: &Book, text: &str) -> Result<Field, String> {
        let text = text.trim();
        let (path, unit_text) = split_unit(text);
        let target = parse_path(book, path)?;
        if target == Target::Carried {
            // A bracket in a heading that is nobody's is only part of its name.
            return Ok(Field { target, unit: None });
        }
        let unit = unit_text.map(|unit| parse_unit(book, target, unit)).transpose()?;
        Ok(Field { target, unit })
    }
}

/// Splits `button.gap [in]` into its path and its unit.
fn split_unit(text: &str) -> (&str, Option<&str>) {
    match text.strip_suffix(']').and_then(|head| head.rsplit_once('[')) {
        Some((path, unit)) if !path.trim().is_empty() => (path.trim_end(), Some(unit.trim())),
        _ => (text, None),
    }
}

fn parse_unit(book: &Book, target: Target, text: &str) -> Result<Unit, String> {
    let unit = Unit::parse(text);
    match (target, unit) {
        (Target::Look(look, _), Some(unit)) => {
            check_heading_unit(&book[look], unit, book.money).map_err(told)?;
            Ok(unit)
        }
        (Target::Quoted, Some(unit)) if unit == Unit::Money(book.money) => Ok(unit),
        (Target::Quoted, _) => Err(format!("[{text}] is not the rulebook's money; write [{}], or no unit", book.money)),
        (Target::Look(look, _), None) => {
            let spellings = Unit::SPELLINGS.iter().map(|(spelling, _)| *spelling);
            let near = nearest(text, spellings).map(|near| format!("; the nearest is [{near}]")).unwrap_or_default();
            let takes = match book.look_dimension(look) {
                Some(Dimension::MONEY) => book.money.to_string(),
                Some(dimension) => dimension.units().to_owned(),
                None => "no unit".to_owned(),
            };
            Err(format!("[{text}] is no unit; this field takes {takes}{near}"))
        }
        _ => Err(format!("[{text}] would be a unit, and this field has none; leave the bracket out")),
    }
}

fn parse_path(book: &Book, path: &str) -> Result<Target, String> {
    match path {
        RECORD => return Ok(Target::Record),
        TAG => return Ok(Target::Tag),
        INSPECTED_ON => return Ok(Target::InspectedOn),
        QUOTED => return Ok(Target::Quoted),
        THE_REST => return Ok(Target::TheRest),
        _ => {}
    }
    let (head, rest) = match path.split_once('.') {
        Some((head, rest)) => (head, Some(rest)),
        None => (path, None),
    };
    let Some(part) = book.find_part(head) else {
        return unknown(book, path, head);
    };
    let Some(rest) = rest else {
        return Ok(Target::Part(part, None));
    };
    match &book[part].places {
        Places::Single => look_at(book, part, RecordPath::Single, rest, path),
        Places::Fixed(_) => {
            let (place, look) = split_dot(rest);
            let at = fixed_place(book, part, place, path)?;
            place_or_look(book, part, at, look, path)
        }
        Places::AsFound => {
            let (place, look) = split_dot(rest);
            let at = found_place(book, part, place)?;
            place_or_look(book, part, at, look, path)
        }
    }
}

fn split_dot(text: &str) -> (&str, Option<&str>) {
    text.split_once('.').map_or((text, None), |(head, rest)| (head, Some(rest)))
}

fn place_or_look(book: &Book, part: PartId, at: RecordPath, look: Option<&str>, path: &str) -> Result<Target, String> {
    match look {
        None => Ok(Target::Part(part, Some(at))),
        Some(look) => look_at(book, part, at, look, path),
    }
}

fn look_at(book: &Book, part: PartId, at: RecordPath, look: &str, path: &str) -> Result<Target, String> {
    if let Some(found) = book.find_look(part, look) {
        return Ok(Target::Look(found, at));
    }
    let part_name = &book[part].name;
    let looks: Vec<&str> = book[part].looks.iter().map(|&id| book[id].name.as_str()).collect();
    let near = nearest(look, looks.iter().copied());
    let stem = path.strip_suffix(look).unwrap_or(path);
    let near = near.map(|near| format!("; the nearest is `{stem}{near}`")).unwrap_or_default();
    Err(format!("`{part_name}` has no look `{look}`; its looks are {}{near}", listed(&looks)))
}

fn fixed_place(book: &Book, part: PartId, place: &str, path: &str) -> Result<RecordPath, String> {
    let places = book[part].fixed_places();
    if let Some(at) = places.iter().position(|known| known.name == place) {
        return Ok(RecordPath::Fixed(PlaceId(u32::try_from(at).unwrap_or(u32::MAX))));
    }
    let part_name = &book[part].name;
    let names: Vec<&str> = places.iter().map(|known| known.name.as_str()).collect();
    if book.find_look(part, place).is_some() {
        let first = names.first().copied().unwrap_or_default();
        return Err(format!(
            "`{part_name}` is looked at place by place: write `{part_name}.{first}.{place}`; its places are {}",
            listed(&names)
        ));
    }
    let near = nearest(place, names.iter().copied());
    let rest = path.split('.').skip(2).collect::<Vec<_>>().join(".");
    let tail = if rest.is_empty() { String::new() } else { format!(".{rest}") };
    let near = near.map(|near| format!("; the nearest is `{part_name}.{near}{tail}`")).unwrap_or_default();
    Err(format!("`{part_name}` has no place `{place}`; its places are {}{near}", listed(&names)))
}

fn found_place(book: &Book, part: PartId, place: &str) -> Result<RecordPath, String> {
    let part_name = &book[part].name;
    match place.parse::<u32>() {
        Ok(number) if (1..=MOST_PLACES).contains(&number) && !place.starts_with(['0', '+']) => Ok(RecordPath::Found(number)),
        _ if book.find_look(part, place).is_some() => {
            Err(format!("each `{part_name}` has a number of its own: write `{part_name}.1.{place}` for the first one"))
        }
        _ => Err(format!(
            "`{place}` is no place of `{part_name}`, which are numbered as found: `{part_name}.1`, `{part_name}.2`, up to {MOST_PLACES}"
        )),
    }
}

/// A name that is nobody's: carried along, unless it nearly is somebody's.
fn unknown(book: &Book, path: &str, head: &str) -> Result<Target, String> {
    let nearly_fixed = FIXED.into_iter().find(|name| nearly(path, name));
    let nearly_part = || book.parts.iter().map(|part| part.name.as_str()).find(|name| nearly(head, name));
    let Some(meant) = nearly_fixed.map(str::to_owned).or_else(|| look_in_words(book, path)).or_else(|| {
        nearly_part().map(|part| match path.split_once('.') {
            Some((_, rest)) => format!("{part}.{rest}"),
            None => part.to_owned(),
        })
    }) else {
        return Ok(Target::Carried);
    };
    Err(format!("`{path}` names no part, and nearly names `{meant}`; write that, or give the field a name of its own"))
}

/// The look whose path is written with other marks between its words: `Button gap`, `peg_E_turns`.
fn look_in_words(book: &Book, path: &str) -> Option<String> {
    let plain = |text: &str| text.to_lowercase().replace(['_', ' ', '.', '/', ':'], "-");
    let wanted = plain(path);
    let of_part = |part: PartId| {
        let places: Vec<RecordPath> = match &book[part].places {
            Places::Single => vec![RecordPath::Single],
            Places::Fixed(places) => (0..).take(places.len()).map(|at| RecordPath::Fixed(PlaceId(at))).collect(),
            Places::AsFound => vec![RecordPath::Found(1)],
        };
        let fields = places.into_iter().flat_map(|at| book[part].looks.iter().map(move |&look| look_field(book, look, at)));
        fields.into_iter().find(|field| plain(field) == wanted)
    };
    let begins = |name: &str| wanted.strip_prefix(name).is_some_and(|rest| rest.starts_with('-'));
    let parts = (0..).zip(&book.parts).filter(|(_, part)| begins(&plain(&part.name)));
    parts.filter_map(|(at, _)| of_part(PartId(at))).next()
}

/// Whether a name is so near to another that it was surely meant for it: the same but for capitals, underscores and
/// spaces; its plural; or one letter off in a word of five or more.
fn nearly(word: &str, name: &str) -> bool {
    let plain = |text: &str| text.to_lowercase().replace(['_', ' '], "-");
    let (word, name) = (plain(word), plain(name));
    if word == name || word.strip_suffix('s') == Some(name.as_str()) || name.strip_suffix('s') == Some(word.as_str()) {
        return true;
    }
    let shorter = word.chars().count().min(name.chars().count());
    shorter >= 5 && strsim::osa_distance(&word, &name) <= if shorter >= 9 { 2 } else { 1 }
}

/// `a, b, c`, cut after a dozen.
pub fn listed(names: &[&str]) -> String {
    const SHOWN: usize = 12;
    let shown = names.iter().take(SHOWN).copied().collect::<Vec<_>>().join(", ");
    if names.len() > SHOWN { format!("{shown} and {} more", names.len() - SHOWN) } else { shown }
}
