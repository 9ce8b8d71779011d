//! Things as they are written: the lines of the merged tree that say what the book holds.

use purfle_lang::book::LookId;
use purfle_lang::span::Span;
use purfle_lang::syntax::tree::{Entry, Head, Kind};

use crate::analysis::Analysis;

/// The entry of the merged chain of that kind and name.
pub fn entry<'a>(analysis: &'a Analysis, kinds: &[Kind], name: &str) -> Option<&'a Entry> {
    let entries = &analysis.known()?.merged.entries;
    entries.iter().map(|entry| &**entry).find(|entry| kinds.contains(&entry.kind) && entry.name_text() == name)
}

/// What stands at a span, on one line and with single spaces.
pub fn one_line(analysis: &Analysis, span: Span) -> String {
    let mut written = String::new();
    for line in analysis.written(span).lines() {
        let line = line.split_once(" #").map_or(line, |(before, _)| before);
        for word in line.split_whitespace() {
            if !written.is_empty() {
                written.push(' ');
            }
            written.push_str(word);
        }
    }
    written
}

/// What a clause under a look says, without its word.
pub fn clause_of_look(analysis: &Analysis, look: LookId, word: &str) -> Option<String> {
    let book = analysis.shown()?;
    let look = book.looks.get(look.index())?;
    let part = entry(analysis, &[Kind::Part, Kind::Context], &book.parts.get(look.part.index())?.name)?;
    let entry = part.entries(Kind::Look).find(|entry| entry.name_text() == look.name)?;
    let clause = entry.first(word)?;
    let written = one_line(analysis, clause.span);
    Some(written.strip_prefix(word).unwrap_or(&written).trim().to_owned())
}

/// The rows of a table.
pub fn rows(analysis: &Analysis, table: &str) -> Vec<String> {
    let Some(table) = entry(analysis, &[Kind::Table], table) else { return Vec::new() };
    table.all("row").map(|row| one_line(analysis, row.span)).collect()
}

/// What a reckoning is worked out as.
pub fn reckoned_as(analysis: &Analysis, name: &str) -> Option<String> {
    match &entry(analysis, &[Kind::Reckon], name)?.head {
        Head::Reckon { value: Some(value) } => Some(one_line(analysis, value.span)),
        _ => None,
    }
}

/// The amount of a bench step.
pub fn amount(analysis: &Analysis, name: &str) -> Option<String> {
    match &entry(analysis, &[Kind::Work], name)?.head {
        Head::Work { amount: Some(amount), .. } => Some(one_line(analysis, amount.span)),
        _ => None,
    }
}

/// The `if` of an urgency line, with a space before it.
pub fn condition(analysis: &Analysis, line: Span) -> String {
    let written = one_line(analysis, line);
    written.find(" if ").map_or(String::new(), |at| written[at..].to_owned())
}
