//! Something that a parent says, changed in the house's own rules: the `alter` with what there is to be changed.

use purfle_lang::resolve::noted::Target;
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Doing, Entry, Head, Kind, Says};
use purfle_lang::tidy::tidy;

use super::witness::at_end;
use super::{Action, ActionKind};
use crate::analysis::Analysis;
use crate::ide::definition::same;
use crate::ide::describe::title;
use crate::ide::edits::FileEdits;
use crate::ide::source::one_line;

/// For the name at a byte: an `alter` of what it stands for, in this rulebook where a parent writes it, and in every house
/// rulebook that builds on this one.
pub fn alter(analysis: &Analysis, file: FileId, offset: u32, houses: &[&Analysis]) -> Vec<Action> {
    let Some(note) = analysis.note_at(file, offset) else { return Vec::new() };
    let Some(definition) = analysis.definition(note.target) else { return Vec::new() };
    let mut actions = Vec::new();
    if definition.file != FileId::OWN {
        actions.extend(in_house(analysis, note.target, definition));
    }
    for house in houses.iter().filter(|house| house.paths.first() != analysis.paths.first()) {
        let Some(target) = same(analysis, definition, house) else { continue };
        let Some(definition) = house.definition(target) else { continue };
        if definition.file != FileId::OWN {
            actions.extend(in_house(house, target, definition));
        }
    }
    actions
}

/// The `alter` in one house's rulebook; none where it alters the thing already.
fn in_house(house: &Analysis, target: Target, definition: Span) -> Option<Action> {
    let written = skeleton(house, target, definition)?;
    let rulebook = house.rulebook(FileId::OWN);
    Some(Action {
        title: format!("Alter `{}` in {rulebook}", title(house, target)?),
        kind: ActionKind::Alter,
        about: None,
        preferred: false,
        edits: vec![FileEdits {
            path: house.paths.first().cloned().unwrap_or_default(),
            edits: vec![at_end(house.text(FileId::OWN), &tidy(&written))],
        }],
    })
}

/// The words that clauses of which kind begin with that a house most often changes.
const CHANGED: [&str; 8] = ["urgency", "row", "how", "good", "tell", "when", "by", "pays"];

fn skeleton(house: &Analysis, target: Target, definition: Span) -> Option<String> {
    let merged = &house.known()?.merged;
    let kind = kind_of(house, target)?;
    let (owner, entry) = merged.entries.iter().find_map(|entry| {
        if entry.name_span() == definition {
            return Some((None, &**entry));
        }
        let inner = entry.entries(kind).find(|inner| merged.origin(inner).span == definition)?;
        Some((Some(entry.name_text()), inner))
    })?;
    let owner = owner.filter(|_| matches!(kind, Kind::Look | Kind::Place));
    let path = owner.map_or(entry.name_text().to_owned(), |owner| format!("{owner}.{}", entry.name_text()));
    let altered = |kind: Kind, name: &str| {
        house.items(FileId::OWN).iter().any(|item| {
            let own = item.entry.owner.as_ref().map(|owner| owner.value.as_str());
            item.doing != Doing::Writes && item.entry.kind == kind && item.entry.name_text() == name && own == owner
        })
    };
    if altered(entry.kind, entry.name_text()) {
        return None;
    }
    let mut text = format!("alter {} {path}{} because \"why\"\n", entry.kind.word(), head(house, entry));
    let first = entry.clauses.iter().find(|clause| CHANGED.contains(&clause.word)).map(|clause| clause.word);
    for clause in first.into_iter().flat_map(|word| entry.all(word)) {
        if !matches!(clause.says, Says::Entry(_)) {
            text.push_str(&format!("  {}\n", one_line(house, clause.span)));
        }
    }
    Some(text)
}

/// What stands after the name and may be written again.
fn head(house: &Analysis, entry: &Entry) -> String {
    let written = match &entry.head {
        Head::Work { amount: Some(amount), .. } => one_line(house, amount.span),
        Head::Reckon { value: Some(value) } => format!("as {}", one_line(house, value.span)),
        Head::Hand { rate: Some(rate) } => format!("{} per h", one_line(house, rate.span())),
        Head::Step { .. } | Head::Tier { .. } => {
            let from = entry.words.as_ref().map_or(entry.name_span().end, |words| words.span.end);
            one_line(house, Span { start: from.min(entry.line.end), ..entry.line })
        }
        _ => String::new(),
    };
    if written.is_empty() { written } else { format!(" {written}") }
}

/// The kind of entry that writes such a thing; none for what is not altered by itself.
fn kind_of(house: &Analysis, target: Target) -> Option<Kind> {
    Some(match target {
        Target::Step(_) => Kind::Step,
        Target::Hand(_) => Kind::Hand,
        Target::Tier(_) => Kind::Tier,
        Target::Part(id) => {
            let context = house.shown()?.parts.get(id.index())?.context;
            if context { Kind::Context } else { Kind::Part }
        }
        Target::Place(..) => Kind::Place,
        Target::Look(_) => Kind::Look,
        Target::Table(_) => Kind::Table,
        Target::Reckon(_) => Kind::Reckon,
        Target::Work(_) => Kind::Work,
        Target::Finding(_) => Kind::Finding,
        Target::Raise(_) => Kind::Raise,
        Target::Counsel(_) => Kind::Counsel,
        Target::Aid(_) => Kind::Aid,
        Target::Rulebook(_) | Target::Choice(..) | Target::Way(..) | Target::Dropped(_) => return None,
    })
}
