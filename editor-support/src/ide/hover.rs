//! What is shown of the thing under the pointer: a name, a word of the language, a unit, a formula.

use purfle_lang::pages::page;
use purfle_lang::resolve::noted::Target;
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Clause, Doing, Entry, Head, Kind, Says};
use purfle_lang::unit::{Dimension, Unit};

use super::completion::completion;
use super::cursor::Cursor;
use super::describe::{describe, formula};
use super::markup::{code, plain};
use super::tokens::{Token, TokenKind, tokens};
use super::{reference, source};
use crate::analysis::Analysis;

/// What is shown, and of what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hover {
    /// What it is about.
    pub span: Span,
    /// Markdown.
    pub text: String,
}

/// What there is to show at a byte. Figures are shown where they were worked out before.
pub fn hover(analysis: &Analysis, file: FileId, offset: u32) -> Option<Hover> {
    if let Some(note) = analysis.note_at(file, offset) {
        return Some(Hover { span: note.span, text: describe(analysis, note.target)? });
    }
    let cursor = Cursor::new(analysis, file, offset);
    let all = tokens(cursor.text, cursor.line.clone());
    let at = all.iter().position(|token| token.range.contains(&cursor.offset) || token.range.end == cursor.offset)?;
    let token = &all[at];
    if token.kind == TokenKind::Comment {
        return quieting(&cursor, file, token);
    }
    if token.kind != TokenKind::Word {
        return None;
    }
    let span = Span::new(file, token.range.start, token.range.end);
    if let Some(target) = meant(analysis, &cursor, file, token) {
        return Some(Hover { span, text: describe(analysis, target)? });
    }
    let text = keyword(analysis, &cursor, token)
        .or_else(|| unit(&cursor, &all, at))
        .or_else(|| word(token.of(cursor.text)))
        .or_else(|| in_clause(&cursor, token.of(cursor.text)))?;
    Some(Hover { span, text })
}

/// What a name stands for in a clause that cannot be read: what would be proposed there under that name.
fn meant(analysis: &Analysis, cursor: &Cursor, file: FileId, token: &Token) -> Option<Target> {
    let clause = cursor.clause.filter(|clause| clause.says == Says::Broken)?;
    if clause.keyword.range() == token.range {
        return None;
    }
    let written = token.of(cursor.text);
    let last = written.rsplit('.').next().unwrap_or(written);
    let proposed = completion(analysis, file, u32::try_from(token.range.end).ok()?);
    let called = |name: &str| proposed.iter().find(|proposal| proposal.label == name).and_then(|proposal| proposal.about);
    called(written).or_else(|| called(last))
}

/// What kind of warning a comment quiets.
fn quieting(cursor: &Cursor, file: FileId, comment: &Token) -> Option<Hover> {
    let words = tokens(cursor.text, comment.range.start + 1..comment.range.end);
    let [quiet, slug, ..] = words.as_slice() else { return None };
    let page = page(slug.of(cursor.text)).filter(|_| quiet.of(cursor.text) == "quiet")?;
    let first: Vec<&str> = page.split("\n\n").filter(|paragraph| !paragraph.starts_with('#')).take(2).collect();
    Some(Hover { span: Span::new(file, slug.range.start, slug.range.end), text: first.join("\n\n") })
}

/// A small word of a clause, such as `odds`: what is said of the clause, where that speaks of the word.
fn in_clause(cursor: &Cursor, written: &str) -> Option<String> {
    let clause = cursor.clause?;
    let said = cursor.entries.iter().rev().find_map(|entry| reference::of_clause(entry.kind, clause.word))?;
    let spoken = said.split(|char: char| !char.is_alphanumeric()).any(|word| word == written);
    spoken.then(|| headed(clause.word, said))
}

/// The word of the item or clause.
fn keyword(analysis: &Analysis, cursor: &Cursor, token: &Token) -> Option<String> {
    let written = token.of(cursor.text);
    if let Some(item) = cursor.item
        && item.doing != Doing::Writes
        && item.entry.keyword.start as usize == token.range.start
    {
        return reference::of_change(written).map(|said| headed(written, said));
    }
    let entry = cursor.entry()?;
    if entry.keyword.range() == token.range {
        let holder = cursor.entries.iter().rev().nth(1).map_or(entry.kind, |holder| holder.kind);
        let said =
            if holder == entry.kind { reference::of_item(entry.kind) } else { reference::of_clause(holder, entry.kind.word()) };
        return said.or_else(|| reference::of_item(entry.kind)).map(|said| headed(entry.kind.word(), said));
    }
    // The kind that an `alter` or a `without` names.
    if cursor.changes() && cursor.clause.is_none() && written == entry.kind.word() {
        return reference::of_item(entry.kind).map(|said| headed(written, said));
    }
    let clause = cursor.clause?;
    let first = clause.keyword.range();
    // What stands right behind it and names nothing belongs to it: `builds on`, `left becomes`, `cost on sight`.
    let second = cursor.text.get(first.end..token.range.start).is_some_and(|between| between.trim().is_empty());
    if first != token.range && !second {
        return None;
    }
    if let Some(row) = row(analysis, entry, clause) {
        return Some(row);
    }
    let kinds = cursor.entries.iter().rev().map(|entry| entry.kind);
    let said = kinds.into_iter().find_map(|kind: Kind| reference::of_clause(kind, clause.word))?;
    Some(headed(clause.word, said))
}

/// When a row of a table is the one that counts.
fn row(analysis: &Analysis, table: &Entry, clause: &Clause) -> Option<String> {
    let Says::Row(row) = &clause.says else { return None };
    let merged = source::entry(analysis, &[Kind::Table], table.name_text())?;
    let Head::Table { by } = &merged.head else { return None };
    let others = |at: usize| {
        let rows = merged.clauses.iter().filter_map(|clause| match &clause.says {
            Says::Row(row) => row.keys.get(at),
            _ => None,
        });
        rows.filter(|key| key.value != "any").map(|key| key.value.as_str()).collect::<Vec<_>>()
    };
    let cases: Vec<String> = row
        .keys
        .iter()
        .zip(by)
        .enumerate()
        .map(|(at, (key, path))| match key.value.as_str() {
            "any" => {
                let mut named = others(at);
                named.dedup();
                if named.is_empty() {
                    format!("{} is anything", code(&path.text()))
                } else {
                    format!("{} is none of {}", code(&path.text()), plain(&named.join(", ")))
                }
            }
            key => format!("{} is {}", code(&path.text()), plain(key)),
        })
        .collect();
    let value = source::one_line(analysis, row.value.span);
    let fewest = if row.keys.iter().any(|key| key.value == "any") { ", unless a row with fewer `any` fits" } else { "" };
    Some(format!("**row of {}**\n\n{} where {}{fewest}", plain(table.name_text()), code(&value), cases.join(" and ")))
}

fn headed(word: &str, said: &str) -> String {
    format!("**{}**\n\n{said}", plain(word))
}

/// A unit after a number, or in the kind of answer of a look.
fn unit(cursor: &Cursor, all: &[Token], at: usize) -> Option<String> {
    let written = all[at].of(cursor.text);
    let before = at.checked_sub(1).and_then(|before| all.get(before))?;
    let follows = before.kind == TokenKind::Number || matches!(before.of(cursor.text), "in" | "per");
    let unit = Unit::parse(written).filter(|_| follows)?;
    let dimension = unit.dimension();
    let note = match unit {
        Unit::Inch => ", 25.4 mm exactly",
        Unit::Months | Unit::Years => ", on the calendar: never a number of days",
        Unit::DegC | Unit::DegF => ", compared with another, never added",
        Unit::Money(_) => ", the rulebook's own money: never converted",
        _ => "",
    };
    let units = if dimension == Dimension::MONEY { String::new() } else { format!("\n\nWritten in {}", dimension.units()) };
    Some(format!("**{}**\n\n{dimension}{note}{units}", plain(written)))
}

/// A word of a condition or a value.
fn word(written: &str) -> Option<String> {
    const KNOWN: [&str; 25] = [
        "is",
        "has",
        "any",
        "no",
        "every",
        "at",
        "least",
        "most",
        "found",
        "and",
        "or",
        "not",
        "place",
        "last",
        "days",
        "lower",
        "higher",
        "above",
        "below",
        "from",
        "total",
        "inspected-on",
        "one",
        "with",
        "none",
    ];
    if written.starts_with("wood-") {
        return formula(written).map(|said| headed(written, &said));
    }
    if written == "because" {
        return reference::of_change("alter").map(|said| headed(written, said));
    }
    let asked = match written {
        "above" | "below" => format!("is {written}"),
        "least" | "most" => "at least".to_owned(),
        "at" | "from" => "is above".to_owned(),
        "one" => "is".to_owned(),
        "with" | "every" => "any PART with C".to_owned(),
        "days" => "days from".to_owned(),
        "total" => return headed("total", "Totals are known last of all: only the `when` of a counsel may ask for them.").into(),
        _ => written.to_owned(),
    };
    if !KNOWN.contains(&written) {
        return None;
    }
    let said = reference::of_word(&asked)?;
    Some(format!("{}\n\n{said}", code(written)))
}
