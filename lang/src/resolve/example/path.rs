//! What a path of a record names: a part, a place of it, or a look at its place.

use super::Lookup;
use super::written::{Name, Path, path_span, path_text};
use crate::book::{LookId, PartId, RecordPath};
use crate::diagnostic::Diagnostic;
use crate::resolve::names::Repeats;
use crate::span::Spanned;

/// The most places as found that one record has of a part.
pub(super) const MOST_FOUND: u32 = 100;

/// What a path names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Named {
    /// A part, or one place of it.
    Part(PartId, Option<RecordPath>),
    /// A look at its place.
    Look(LookId, PartId, RecordPath),
}

/// Looks a path up.
pub(super) fn named(lookup: Lookup, path: &Path) -> Result<Named, Diagnostic> {
    let Some(part_name) = path.first() else {
        return Err(too_long(path));
    };
    let part = lookup.names.part(part_name)?;
    let repeats = repeats(lookup, part);
    match (repeats, &path[1..]) {
        (_, []) => Ok(Named::Part(part, None)),
        (Repeats::Single, [look]) => Ok(Named::Look(lookup.names.look(part, look)?, part, RecordPath::Single)),
        (Repeats::Fixed | Repeats::AsFound, [place]) => Ok(Named::Part(part, Some(place_of(lookup, part, place)?))),
        (Repeats::Fixed | Repeats::AsFound, [place, look]) => {
            // Both may be wrong, and each is worth saying once.
            match (place_of(lookup, part, place), lookup.names.look(part, look)) {
                (Ok(place), Ok(look)) => Ok(Named::Look(look, part, place)),
                (Err(one), Err(other)) => {
                    lookup.sink.push(one);
                    Err(other)
                }
                (Err(one), _) | (_, Err(one)) => Err(one),
            }
        }
        (Repeats::Single, [place, look, ..]) if path.len() == 3 => {
            let plain = format!("{}.{}", part_name.value, look.value);
            Err(Diagnostic::error(
                "no-places",
                place.span,
                format!("`{}` has no places, and `{}` stands where one would.", part_name.value, place.value),
            )
            .help(format!("Write `{plain}`."))
            .fix(format!("Write `{plain}`"), false, path_span(path), plain))
        }
        _ => Err(too_long(path)),
    }
}

/// Looks up a path that must be a look.
pub(super) fn look(lookup: Lookup, path: &Path) -> Result<(LookId, PartId, RecordPath), Diagnostic> {
    match named(lookup, path)? {
        Named::Look(look, part, place) => Ok((look, part, place)),
        Named::Part(part, _) => {
            let text = path_text(path);
            let looks: Vec<String> = lookup
                .names
                .inside
                .get(part.index())
                .into_iter()
                .flat_map(|inside| inside.looks.names())
                .take(6)
                .map(|look| format!("`{text}.{look}`"))
                .collect();
            Err(Diagnostic::error("wrong-kind", path_span(path), format!("`{text}` is no look, and one stands here."))
                .help(format!("Write one of its looks, such as {}.", looks.join(", "))))
        }
    }
}

/// A place of a part, by its name or, where places are as found, by its number.
pub(super) fn place_of(lookup: Lookup, part: PartId, place: &Name) -> Result<RecordPath, Diagnostic> {
    let Some(inside) = lookup.names.inside.get(part.index()) else {
        return Err(Diagnostic::error("no-places", place.span, "This part has no places."));
    };
    let missing_place = |example: &str| {
        let full = format!("{}.{example}.{}", inside.name, place.value);
        Diagnostic::error(
            "no-place-in-hand",
            place.span,
            format!("`{}` is a look of `{}`, which has more than one place.", place.value, inside.name),
        )
        .label("at which place?")
        .help(format!("Write the place before it, such as `{full}`."))
    };
    let is_look = inside.looks.get(&place.value).is_some();
    match inside.repeats {
        Repeats::AsFound => match place.value.parse::<u32>() {
            Ok(number) if (1..=MOST_FOUND).contains(&number) && !place.value.starts_with(['0', '+']) => {
                Ok(RecordPath::Found(number))
            }
            _ if is_look => Err(missing_place("1")),
            _ => Err(Diagnostic::error(
                "unknown-name",
                place.span,
                format!("The places of `{}` are as found, and have numbers.", inside.name),
            )
            .help(format!("Write a number from 1 to {MOST_FOUND}, such as `{}.1`.", inside.name))),
        },
        Repeats::Fixed if is_look && inside.places.get(&place.value).is_none() => {
            Err(missing_place(inside.places.names().next().unwrap_or("PLACE")))
        }
        Repeats::Fixed | Repeats::Single => lookup.names.place(part, place).map(RecordPath::Fixed),
    }
}

/// How a part repeats.
pub(super) fn repeats(lookup: Lookup, part: PartId) -> Repeats {
    lookup.names.inside.get(part.index()).map_or(Repeats::Single, |inside| inside.repeats)
}

/// The name of a part.
pub(super) fn part_name<'a>(lookup: Lookup<'a>, part: PartId) -> &'a str {
    lookup.names.inside.get(part.index()).map_or("", |inside| inside.name.as_str())
}

fn too_long(path: &[Spanned<String>]) -> Diagnostic {
    let says = "A record names a part, `part.look`, or `part.PLACE.look` where the part has places.";
    Diagnostic::error("unknown-name", path_span(path), says).help("Leave out what is too much.")
}
