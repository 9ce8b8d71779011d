//! What each word is, for colouring it: by what it stands for where that is known, else by how it is written.

use purfle_lang::resolve::noted::{Note, Role, Target};
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Entry, Says};
use purfle_lang::unit::Unit;
use rustc_hash::FxHashSet;

use super::tokens::{Token, TokenKind, tokens};
use crate::analysis::Analysis;

/// What a word is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Colour {
    /// The word that begins an item or a clause.
    Keyword,
    /// A small word within a line: `is`, `above`, `and`.
    Operator,
    /// A text in quotes.
    Text,
    /// A comment.
    Comment,
    /// A number or a date.
    Number,
    /// A unit or a money.
    Unit,
    /// A rulebook.
    Rulebook,
    /// A part or context.
    Part,
    /// A place.
    Place,
    /// A look.
    Look,
    /// A choice, `yes`, `no` and `none`.
    Choice,
    /// A step, a hand or a tier.
    Rung,
    /// A table or a reckoning.
    Value,
    /// A bench step.
    Work,
    /// A finding.
    Finding,
    /// A way, a raise, a counsel or a repair fund.
    Other,
    /// A formula of the trade.
    Formula,
}

/// A coloured word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coloured {
    /// Where; never over the end of a line.
    pub span: Span,
    /// What it is.
    pub colour: Colour,
    /// Whether the thing is written there.
    pub writes: bool,
    /// Whether the thing was dropped.
    pub dropped: bool,
}

/// The coloured words of a text, in order.
pub fn colours(analysis: &Analysis, file: FileId) -> Vec<Coloured> {
    let text = analysis.text(file);
    let all = tokens(text, 0..text.len());
    let keywords = keywords(analysis, file);
    let notes = analysis.notes();
    let mut notes =
        notes[notes.partition_point(|note| note.span.file < file)..].iter().take_while(|note| note.span.file == file).peekable();
    let mut coloured = Vec::with_capacity(all.len());
    for (at, token) in all.iter().enumerate() {
        let span = Span::new(file, token.range.start, token.range.end);
        while notes.peek().is_some_and(|note| note.span.end <= span.start) {
            notes.next();
        }
        let note = notes.peek().filter(|note| note.span.start <= span.start && span.end <= note.span.end).copied();
        let colour = match note {
            Some(note) if token.kind != TokenKind::Comment => Some(named(note)),
            _ => None,
        };
        let colour = colour.or_else(|| plain(text, &all, at, &keywords));
        if let Some(colour) = colour {
            coloured.push(Coloured {
                span,
                colour,
                writes: note.is_some_and(|note| note.role == Role::Writes),
                dropped: note.is_some_and(|note| matches!(note.target, Target::Dropped(_))),
            });
        }
    }
    coloured
}

fn named(note: &Note) -> Colour {
    match note.target {
        Target::Rulebook(_) => Colour::Rulebook,
        Target::Step(_) | Target::Hand(_) | Target::Tier(_) => Colour::Rung,
        Target::Part(_) => Colour::Part,
        Target::Place(..) => Colour::Place,
        Target::Look(_) => Colour::Look,
        Target::Choice(..) => Colour::Choice,
        Target::Table(_) | Target::Reckon(_) => Colour::Value,
        Target::Work(_) => Colour::Work,
        Target::Finding(_) => Colour::Finding,
        Target::Way(..) | Target::Raise(_) | Target::Counsel(_) | Target::Aid(_) | Target::Dropped(_) => Colour::Other,
    }
}

/// Where the words begin that begin items and clauses, and the kind after `alter` and `without`.
fn keywords(analysis: &Analysis, file: FileId) -> FxHashSet<u32> {
    let mut starts = FxHashSet::default();
    for item in analysis.items(file) {
        gather(&item.entry, &mut starts);
    }
    starts
}

fn gather(entry: &Entry, into: &mut FxHashSet<u32>) {
    into.insert(entry.keyword.start);
    for clause in &entry.clauses {
        into.insert(clause.keyword.start);
        if let Says::Entry(inner) = &clause.says {
            gather(inner, into);
        }
    }
}

/// Words of a line that are no names.
const SMALL: [&str; 51] = [
    "a", "above", "all", "and", "any", "apart", "apply", "as", "at", "because", "becomes", "below", "beyond", "by", "charge",
    "days", "does", "each", "edition", "every", "found", "from", "give", "has", "higher", "if", "in", "is", "last", "least",
    "lower", "more", "most", "no", "not", "of", "on", "once", "one", "or", "per", "rest", "some", "take", "than", "the", "to",
    "up", "when", "with", "within",
];

/// A word that stands for nothing that is known.
fn plain(text: &str, all: &[Token], at: usize, keywords: &FxHashSet<u32>) -> Option<Colour> {
    let token = &all[at];
    match token.kind {
        TokenKind::Text => return Some(Colour::Text),
        TokenKind::Comment => return Some(Colour::Comment),
        TokenKind::Number => return Some(Colour::Number),
        TokenKind::Sign => return None,
        TokenKind::Word => {}
    }
    let written = token.of(text);
    if u32::try_from(token.range.start).is_ok_and(|start| keywords.contains(&start)) {
        return Some(Colour::Keyword);
    }
    let before = at.checked_sub(1).and_then(|before| all.get(before));
    let after_number = before.is_some_and(|before| before.kind == TokenKind::Number || before.of(text) == "in");
    if after_number && Unit::parse(written).is_some() {
        return Some(Colour::Unit);
    }
    if matches!(written, "yes" | "none" | "good" | "nothing") {
        return Some(Colour::Choice);
    }
    if written.starts_with("wood-") {
        return Some(Colour::Formula);
    }
    let after_keyword = before.is_some_and(|before| {
        u32::try_from(before.range.start).is_ok_and(|start| keywords.contains(&start))
            && matches!(before.of(text), "alter" | "without")
    });
    if after_keyword {
        return Some(Colour::Keyword);
    }
    let kind = matches!(
        written,
        "measured" | "counted" | "priced" | "dated" | "written" | "place" | "total" | "cost" | "urgency" | "tier"
    );
    (kind || SMALL.contains(&written)).then_some(Colour::Operator)
}
