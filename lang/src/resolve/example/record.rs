//! The record of an example.

use super::path::{self, Named, part_name};
use super::written::{Entry, Path, Says, path_span, path_text};
use super::{Lookup, bad_value};
use crate::book::{Look, LookId, LookKind, PartId, RecordEntry, RecordPath};
use crate::diagnostic::Diagnostic;
use crate::resolve::names::Repeats;
use crate::resolve::noted::Target;
use crate::saying::{self, Saying};
use crate::span::{Span, Spanned};

/// The entries that are sound, in the order written.
pub(super) fn record(lookup: Lookup, written: &[Spanned<Entry>]) -> Vec<RecordEntry> {
    let mut seen = Seen::default();
    for entry in written {
        if let Some(read) = lookup.sink.keep(read(lookup, entry)) {
            lookup.sink.extend(seen.take(lookup, read, entry.span));
        }
    }
    lookup.sink.extend(seen.gaps(lookup));
    seen.entries.into_iter().map(|(entry, _)| entry).collect()
}

fn read(lookup: Lookup, entry: &Spanned<Entry>) -> Result<RecordEntry, Diagnostic> {
    let money = lookup.book.money;
    match &entry.value {
        Entry::RestGood => Ok(RecordEntry::RestGood),
        Entry::Quoted(text) => saying::parse_price(&text.value, money)
            .map(RecordEntry::Quoted)
            .map_err(|bad| bad_value("quoted", text, &bad, |nearest| Some(nearest.to_owned()))),
        Entry::InspectedOn(text) => saying::parse_day(&text.value)
            .map(RecordEntry::InspectedOn)
            .map_err(|bad| bad_value("inspected-on", text, &bad, |nearest| Some(nearest.to_owned()))),
        Entry::No(name) => {
            let part = lookup.names.part(name)?;
            as_found(lookup, part, name.span, "no").map(|()| RecordEntry::NoPlaces(part))
        }
        Entry::Said { last: false, path, .. } if path_text(path) == "rest" && lookup.names.part(&path[0]).is_err() => {
            let span = path_span(path);
            Err(Diagnostic::error("unknown-name", span, "No part is called `rest`.")
                .label("not known")
                .help("Write `the rest`, for what is not written down.")
                .fix("Write `the rest`", false, span, "the rest"))
        }
        Entry::Said { last: false, path, says } => match path::named(lookup, path)? {
            Named::Look(look, _, place) => Ok(RecordEntry::Look(look, place, said(lookup, look, path, says)?)),
            Named::Part(part, place) => of_part(lookup, part, place, path, says),
        },
        Entry::Said { last: true, path, says } => {
            let (look, _, place) = path::look(lookup, path)?;
            match said(lookup, look, path, says)? {
                Saying::CouldNotTell | Saying::DoesNotApply => {
                    let says = "What the record before does not say is left out here.";
                    Err(Diagnostic::error("bad-value", entry.span, says).help("Take this entry out."))
                }
                saying => Ok(RecordEntry::Last(look, place, saying)),
            }
        }
    }
}

/// What is said of a look.
fn said(lookup: Lookup, look: LookId, path: &Path, says: &Says) -> Result<Saying, Diagnostic> {
    let text = path_text(path);
    // A look with errors of its own was told of already; anything may be said of it.
    if lookup.troubled.looks.contains(&look) {
        return Ok(Saying::CouldNotTell);
    }
    let id = look;
    let Some(look) = lookup.book.looks.get(id.index()) else { return Ok(Saying::CouldNotTell) };
    match says {
        Says::NotTold => Ok(Saying::CouldNotTell),
        Says::DoesNotApply => Ok(Saying::DoesNotApply),
        Says::Alone if matches!(look.kind, LookKind::YesNo) => Ok(Saying::OneOf(vec![1])),
        Says::Alone => {
            Err(Diagnostic::error("bad-value", path_span(path), format!("`{text}` stands alone, and is no yes-or-no look."))
                .label("is what?")
                .help(format!("Write `{text} is …` with {}.", saying::allowed(look, lookup.book.money))))
        }
        Says::MayBeMore => Err(Diagnostic::error(
            "wrong-kind",
            path_span(path),
            format!("`{text}` is a look, and of which there may be more is a part."),
        )
        .help("Write the name of a part whose places are as found.")),
        Says::Is(value) => {
            choices_noted(lookup, id, look, value);
            let plain = match look.kind {
                LookKind::Written => unquoted(&value.value),
                _ => value.value.split_whitespace().collect::<Vec<_>>().join(" "),
            };
            let as_written = |nearest: &str| match nearest {
                "?" | "-" => None,
                nearest if look.choices().is_empty() => Some(nearest.to_owned()),
                nearest => Some(choices_as_written(look.choices().iter().map(|choice| choice.name.as_str()), nearest)),
            };
            saying::parse(look, &plain, None, lookup.book.money).map_err(|bad| {
                let diagnostic = bad_value(&text, value, &bad, as_written);
                match bad.nearest.as_deref() {
                    Some("?") => diagnostic.fix(
                        format!("Write `{text} not told`"),
                        false,
                        path_span(path).to(value.span),
                        format!("{text} not told"),
                    ),
                    Some("-") => diagnostic.fix(
                        format!("Write `{text} does not apply`"),
                        false,
                        path_span(path).to(value.span),
                        format!("{text} does not apply"),
                    ),
                    _ => diagnostic,
                }
            })
        }
    }
}

/// Notes the choices that a value as written names: words, or texts in quotes.
fn choices_noted(lookup: Lookup, id: LookId, look: &Look, value: &Spanned<String>) {
    let choices = look.choices();
    if choices.is_empty() || value.span.range().len() != value.value.len() {
        return;
    }
    let mut quoted = false;
    let stretches = value.value.split(|character: char| {
        quoted ^= character == '"';
        character == '"' || (!quoted && (character.is_whitespace() || character == ','))
    });
    let mut at = value.span.start as usize;
    for stretch in stretches {
        if let Some(index) = choices.iter().position(|choice| choice.name == stretch || choice.words == stretch) {
            lookup.names.notes.uses(Span::new(value.span.file, at, at + stretch.len()), Target::choice(id, index));
        }
        at += stretch.len() + 1;
    }
}

/// Choices as a rulebook writes them: what is not a name in quotes, and `and` where commas would end the entry.
fn choices_as_written<'n>(names: impl Iterator<Item = &'n str>, text: &str) -> String {
    let is_name =
        |name: &str| name.starts_with(|c: char| c.is_alphabetic()) && name.chars().all(|c| c.is_alphanumeric() || c == '-');
    let mut text = text.to_owned();
    // The longest first, for one may be part of another.
    let mut odd: Vec<&str> = names.filter(|name| !is_name(name)).collect();
    odd.sort_by_key(|name| std::cmp::Reverse(name.len()));
    for name in odd {
        if !text.contains(&format!("\"{name}\"")) {
            text = text.replace(name, &format!("\"{name}\""));
        }
    }
    text.replace(", ", " and ")
}

/// The words between quotes; several texts side by side are joined by a space. Text without quotes stays as it is.
fn unquoted(text: &str) -> String {
    if !text.trim_start().starts_with('"') {
        return text.to_owned();
    }
    let (mut words, mut inside, mut escaped) = (Vec::new(), false, false);
    for character in text.chars() {
        match (inside, escaped, character) {
            (false, _, '"') => {
                words.push(String::new());
                inside = true;
            }
            (false, ..) => {}
            (true, false, '\\') => escaped = true,
            (true, false, '"') => inside = false,
            (true, _, character) => {
                if let Some(last) = words.last_mut() {
                    last.push(if escaped && character == 'n' { '\n' } else { character });
                }
                escaped = false;
            }
        }
    }
    words.join(" ")
}

/// What is said of a whole part, or of one place of it.
fn of_part(lookup: Lookup, part: PartId, place: Option<RecordPath>, path: &Path, says: &Says) -> Result<RecordEntry, Diagnostic> {
    let text = path_text(path);
    match says {
        Says::Is(value) if value.value.trim() == "good" => Ok(RecordEntry::Good(part, place)),
        Says::Is(value) if value.value.trim() == "none" && place.is_none() => {
            as_found(lookup, part, path_span(path), "none").map(|()| RecordEntry::NoPlaces(part))
        }
        Says::DoesNotApply => Ok(RecordEntry::Absent(part, place)),
        Says::MayBeMore if place.is_none() => {
            as_found(lookup, part, path_span(path), "more").map(|()| RecordEntry::MayBeMore(part))
        }
        Says::Alone | Says::Is(_) | Says::NotTold | Says::MayBeMore => {
            let span = match says {
                Says::Is(value) => path_span(path).to(value.span),
                _ => path_span(path),
            };
            let what = if place.is_some() { "one place of a part" } else { "a whole part" };
            let help = format!("Write `{text} is good` or `{text} does not apply`, or name one of its looks.");
            Err(Diagnostic::error(
                "bad-value",
                span,
                format!("`{text}` is {what}, and of it only that it is good, or does not apply, may be said."),
            )
            .help(help))
        }
    }
}

/// An error unless the places of the part are as found.
fn as_found(lookup: Lookup, part: PartId, span: Span, word: &str) -> Result<(), Diagnostic> {
    if path::repeats(lookup, part) == Repeats::AsFound {
        return Ok(());
    }
    let name = part_name(lookup, part);
    let help = if word == "no" {
        format!("Write `{name} does not apply`, if the instrument has none.")
    } else {
        "Take this entry out.".to_owned()
    };
    Err(Diagnostic::error(
        "no-places",
        span,
        format!("The places of `{name}` are not as found, so it cannot be said how many there are."),
    )
    .help(help))
}

/// The entries so far, each with where it stands.
#[derive(Default)]
struct Seen {
    entries: Vec<(RecordEntry, Span)>,
}

impl Seen {
    /// Takes an entry; what was said already is told, and the first stays.
    fn take(&mut self, lookup: Lookup, entry: RecordEntry, span: Span) -> Option<Diagnostic> {
        let earlier = self.entries.iter().find_map(|(other, first)| clash(lookup, &entry, other).map(|clash| (clash, *first)));
        let Some((clash, first)) = earlier else {
            self.entries.push((entry, span));
            return None;
        };
        let diagnostic = match clash {
            Clash::Twice => Diagnostic::error("entry-twice", span, "This is said twice in one record.").label("once more"),
            Clash::Part(part) => {
                let name = part_name(lookup, part);
                let says = format!("The record says that there is no `{name}`, and says something of one.");
                Diagnostic::error("entry-twice", span, says).label("which of the two?")
            }
        };
        Some(diagnostic.help("Take one of the two out.").place(first, "said here first"))
    }

    /// Errors for places as found that are not numbered from 1 without a gap.
    fn gaps(&self, lookup: Lookup) -> Vec<Diagnostic> {
        let mut found: Vec<(PartId, u32, Span)> = self
            .entries
            .iter()
            .filter_map(|(entry, span)| found_place(lookup, entry).map(|(part, number)| (part, number, *span)))
            .collect();
        found.sort_by_key(|&(part, number, _)| (part, number));
        found.dedup_by_key(|&mut (part, number, _)| (part, number));
        let mut diagnostics = Vec::new();
        for part in found.chunk_by(|one, other| one.0 == other.0) {
            if let Some((expected, &(part, number, span))) = (1..).zip(part).find(|(expected, (_, number, _))| expected != number)
            {
                let name = part_name(lookup, part);
                diagnostics.push(
                    Diagnostic::error(
                        "number-skipped",
                        span,
                        format!("`{name}.{number}` is in the record, and `{name}.{expected}` is not."),
                    )
                    .help(format!("Number each `{name}` from 1 without a gap.")),
                );
            }
        }
        diagnostics
    }
}

/// How two entries do not go together.
enum Clash {
    /// They say something of the same.
    Twice,
    /// One says that there are no places of the part, the other names one.
    Part(PartId),
}

fn clash(lookup: Lookup, one: &RecordEntry, other: &RecordEntry) -> Option<Clash> {
    use RecordEntry::{Absent, Good, InspectedOn, Last, Look, MayBeMore, NoPlaces, Quoted, RestGood};
    let twice = match (one, other) {
        (Look(look, at, _), Look(other, place, _)) | (Last(look, at, _), Last(other, place, _)) => look == other && at == place,
        (Good(part, at), Good(other, place)) | (Absent(part, at), Absent(other, place)) => part == other && at == place,
        (MayBeMore(part), MayBeMore(other)) | (NoPlaces(part), NoPlaces(other)) => part == other,
        (RestGood, RestGood) | (Quoted(_), Quoted(_)) | (InspectedOn(_), InspectedOn(_)) => true,
        _ => false,
    };
    if twice {
        return Some(Clash::Twice);
    }
    let (none, other) = match (one, other) {
        (NoPlaces(part), other) | (other, NoPlaces(part)) => (*part, other),
        _ => return None,
    };
    let speaks_of = match other {
        MayBeMore(part) => Some(*part),
        other => found_place(lookup, other).map(|(part, _)| part),
    };
    (speaks_of == Some(none)).then_some(Clash::Part(none))
}

/// The place as found of which an entry says something.
fn found_place(lookup: Lookup, entry: &RecordEntry) -> Option<(PartId, u32)> {
    match entry {
        RecordEntry::Look(look, RecordPath::Found(number), _) => {
            lookup.book.looks.get(look.index()).map(|look| (look.part, *number))
        }
        RecordEntry::Good(part, Some(RecordPath::Found(number))) | RecordEntry::Absent(part, Some(RecordPath::Found(number))) => {
            Some((*part, *number))
        }
        _ => None,
    }
}
