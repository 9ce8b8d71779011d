//! What a record says, told again on its slip: whose instrument it is, and what was seen on it.

use purfle_lang::saying::{look_field, place_suffix};
use std::fmt::Write;

use purfle_lang::book::{Book, LookKind, PartId, RecordPath};
use purfle_lang::saying::{self, Saying};

use super::layout::paragraph;
use super::text::{plain, shown};
use crate::record::{Entry, Record};
use crate::records::shortened;

/// What a record notes that is no finding: its contexts (whose instrument, which kind) and what was written in words.
/// The name of the field, the look's own name, and what it says.
pub fn noted(book: &Book, record: &Record, without_names: bool) -> Vec<(String, String, String)> {
    noted_looks(book, record, without_names)
        .map(|(field, part, said)| {
            let name = field.strip_prefix(&format!("{}.", book[part].name)).unwrap_or(&field).to_owned();
            (field, name, said)
        })
        .collect()
}

/// Field, part and saying of every context and of what was written in words.
fn noted_looks<'a>(
    book: &'a Book,
    record: &'a Record,
    without_names: bool,
) -> impl Iterator<Item = (String, PartId, String)> + 'a {
    record.entries.iter().filter_map(move |entry| {
        let Entry::Look(id, at, saying) = entry else { return None };
        let look = &book[*id];
        let kept = (matches!(look.kind, LookKind::Written) || book[look.part].context) && !(without_names && look.private);
        kept.then(|| (look_field(book, *id, *at), look.part, saying::format(look, saying, book.money)))
    })
}

/// Writes what a record notes and what was seen, each a paragraph.
pub fn write(out: &mut String, book: &Book, record: &Record, without_names: bool) {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for (field, part, said) in noted_looks(book, record, without_names) {
        let name = field.strip_prefix(&format!("{}.", book[part].name)).unwrap_or(&field).to_owned();
        add(&mut groups, plain(&book[part].words).into_owned(), format!("{name} {}", brief(&said)));
    }
    if !without_names {
        for (name, text) in &record.carried {
            add(&mut groups, "Besides".to_owned(), format!("{} {}", brief(name), brief(text)));
        }
    }
    if !groups.is_empty() {
        paragraph(out, "noted  ", &joined(&groups));
    }
    let seen = seen(book, record, without_names);
    if !seen.is_empty() {
        paragraph(out, "seen   ", &seen);
    }
}

/// What was seen, part by part, in the record's own words.
fn seen(book: &Book, record: &Record, without_names: bool) -> String {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    let mut good = Vec::new();
    let mut others = Vec::new();
    let named = |part: PartId, at: Option<RecordPath>| {
        let suffix = at.map(|at| place_suffix(book, part, at)).unwrap_or_default();
        format!("{}{suffix}", book[part].name)
    };
    for entry in &record.entries {
        match entry {
            Entry::Look(id, at, saying) => {
                let look = &book[*id];
                let told = matches!(look.kind, LookKind::Written) || book[look.part].context;
                if told || (without_names && look.private) || matches!(**saying, Saying::DoesNotApply) {
                    continue;
                }
                let said = saying::format(look, saying, book.money);
                add(&mut groups, named(look.part, Some(*at)), format!("{} {}", look.name, brief(&said)));
            }
            Entry::Good(part, at) => good.push(named(*part, *at)),
            Entry::RestGood => good.push("the rest".to_owned()),
            Entry::NoPlaces(part) => others.push(format!("no {}", book[*part].name)),
            Entry::MayBeMore(part) => others.push(format!("perhaps more {}", book[*part].name)),
            Entry::There(..) | Entry::Absent(..) => {}
        }
    }
    let mut text = joined(&groups);
    if !good.is_empty() {
        others.push(format!("good: {}", good.join(", ")));
    }
    for other in others {
        let space = if text.is_empty() { "" } else { "; " };
        let _ = write!(text, "{space}{other}");
    }
    text
}

/// A text of the record as a slip repeats it: on one line, and cut short where it is long.
fn brief(text: &str) -> String {
    shown(&shortened(text)).into_owned()
}

fn add(groups: &mut Vec<(String, Vec<String>)>, name: String, said: String) {
    match groups.iter_mut().find(|(known, _)| *known == name) {
        Some((_, all)) => all.push(said),
        None => groups.push((name, vec![said])),
    }
}

fn joined(groups: &[(String, Vec<String>)]) -> String {
    let all: Vec<String> = groups.iter().map(|(name, said)| format!("{name}: {}", said.join(", "))).collect();
    all.join("; ")
}
