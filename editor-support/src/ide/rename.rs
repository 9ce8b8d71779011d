//! A name changed everywhere, or the reason why it cannot be.

use purfle_lang::diagnostic::Edit;
use purfle_lang::resolve::noted::{Note, Target};
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::parse;

use super::definition::same;
use super::describe::title;
use super::edits::FileEdits;
use crate::analysis::Analysis;

/// The name at a byte that can be changed; an error says why it cannot be.
pub fn prepare(analysis: &Analysis, file: FileId, offset: u32) -> Result<Span, String> {
    let note = analysis.note_at(file, offset).ok_or("No name stands here. A word of the language cannot be renamed.")?;
    own(analysis, &note)?;
    Ok(note.span)
}

/// The definition of what is renamed; an error where it is not this rulebook's own.
fn own(analysis: &Analysis, note: &Note) -> Result<Span, String> {
    let what = title(analysis, note.target).unwrap_or_else(|| "This".to_owned());
    if let Target::Dropped(_) = note.target {
        return Err(format!("`{what}` was dropped, and only the name in the rulebook that has it could be changed."));
    }
    let definition = analysis.definition(note.target).ok_or("Where this is written is not known.")?;
    if definition.file != FileId::OWN {
        let rulebook = analysis.rulebook(definition.file);
        return Err(format!("`{what}` comes from {rulebook}. Open that rulebook, and rename it there."));
    }
    Ok(definition)
}

/// Changes the name at a byte in the rulebook and in those among `others` that build on it.
///
/// Nothing is changed where the new name is none, is taken, or the rulebook would no longer read.
pub fn rename(
    analysis: &Analysis,
    file: FileId,
    offset: u32,
    name: &str,
    others: &[&Analysis],
) -> Result<Vec<FileEdits>, String> {
    let note = analysis.note_at(file, offset).ok_or("No name stands here. A word of the language cannot be renamed.")?;
    let definition = own(analysis, &note)?;
    let written = fitting(analysis, note.target, name)?;
    free(analysis, note.target, name)?;
    let mut all = vec![edits_in(analysis, note.target, &written)];
    for other in others {
        if other.paths.first() == analysis.paths.first() {
            continue;
        }
        let Some(target) = same(analysis, definition, other) else { continue };
        found_by_name(other, target)?;
        free(other, target, name).map_err(|why| format!("{}: {why}", other.rulebook(FileId::OWN)))?;
        all.push(edits_in(other, target, &written));
    }
    all.retain(|file| !file.edits.is_empty());
    Ok(all)
}

/// An error where a house finds the file of the rulebook by the rulebook's name.
fn found_by_name(house: &Analysis, target: Target) -> Result<(), String> {
    let by_name = house.tree(FileId::OWN).and_then(|tree| tree.builds_on()).is_some_and(|builds_on| builds_on.from.is_none());
    match target {
        Target::Rulebook(FileId(1)) if by_name => Err(format!(
            "{} builds on it and finds its file by its name. Write `from \"FILE\"` after the edition there, then rename it.",
            house.rulebook(FileId::OWN)
        )),
        _ => Ok(()),
    }
}

/// The edits in the analysis's own text.
fn edits_in(analysis: &Analysis, target: Target, name: &str) -> FileEdits {
    let own = analysis.names_of(target).filter(|note| note.span.file == FileId::OWN);
    let edits = own.map(|note| Edit { span: note.span, text: as_there(analysis, &note, name) }).collect();
    FileEdits { path: analysis.paths.first().cloned().unwrap_or_default(), edits }
}

/// The name as it is written at one place: what stands between the quotes of a record's value has them round it already.
fn as_there(analysis: &Analysis, note: &Note, name: &str) -> String {
    let text = analysis.text(note.span.file);
    let quoted = text[..note.span.range().start.min(text.len())].ends_with('"');
    if quoted { name.trim_matches('"').to_owned() } else { name.to_owned() }
}

/// The name as it is to be written, or why it is no name of such a thing.
fn fitting(analysis: &Analysis, target: Target, name: &str) -> Result<String, String> {
    let letters = !name.is_empty() && name.chars().all(|char| char.is_alphanumeric() || char == '-');
    let is_name = letters && name.starts_with(char::is_alphabetic);
    let capitals = name.chars().any(char::is_uppercase);
    match target {
        Target::Choice(..) if !is_name => {
            let plain = !name.is_empty() && !name.contains(['"', '\\', '\n', '\r']);
            return if plain {
                tried(analysis, target, format!("\"{name}\""))
            } else {
                Err("A choice is a name, or a text in quotes on one line.".to_owned())
            };
        }
        Target::Choice(..) | Target::Place(..) if is_name => {}
        _ if !is_name => {
            return Err(format!(
                "`{}` is no name: a name has letters, digits and hyphens, and begins with a letter.{}",
                name.escape_debug(),
                offered(name)
            ));
        }
        _ if capitals => {
            let offered = offered(name);
            return Err(format!("Names are in small letters; only places and choices may have capitals.{offered}"));
        }
        _ => {}
    }
    tried(analysis, target, name.to_owned())
}

/// Offers the nearest name to what was written, if that is one: in small letters, hyphens for what stands between words.
fn offered(written: &str) -> String {
    let parts = written.split(|char: char| !char.is_alphanumeric()).filter(|part| !part.is_empty());
    let name = parts.map(str::to_lowercase).collect::<Vec<_>>().join("-");
    if name.starts_with(char::is_alphabetic) { format!(" The nearest is `{name}`.") } else { String::new() }
}

/// Tries whether the text still reads with the name in the place of the old one: a small word of the language does not.
fn tried(analysis: &Analysis, target: Target, written: String) -> Result<String, String> {
    let edits = edits_in(analysis, target, &written).edits;
    let text = analysis.text(FileId::OWN);
    let (mut after, mut at) = (String::with_capacity(text.len()), 0);
    for edit in &edits {
        after.push_str(text.get(at..edit.span.range().start).unwrap_or_default());
        after.push_str(&edit.text);
        at = edit.span.range().end;
    }
    after.push_str(text.get(at..).unwrap_or_default());
    let errors = |text: &str| parse(FileId::OWN, text).diagnostics.iter().filter(|told| told.is_error()).count();
    if errors(&after) > errors(text) {
        return Err(format!("`{written}` cannot stand for it: it is a word of the language there."));
    }
    Ok(written)
}

/// An error where the name is taken by another thing of the kind.
fn free(analysis: &Analysis, target: Target, name: &str) -> Result<(), String> {
    let (Some(book), Some(names)) = (analysis.shown(), analysis.names()) else { return Ok(()) };
    let inside = |part: purfle_lang::book::PartId| names.inside.get(part.index());
    let taken = match target {
        Target::Rulebook(_) | Target::Dropped(_) => None,
        Target::Step(_) => names.steps.get(name).map(Target::Step),
        Target::Hand(_) => names.hands.get(name).map(Target::Hand),
        Target::Tier(_) => names.tiers.get(name).map(Target::Tier),
        Target::Part(_) => names.parts.get(name).map(Target::Part),
        Target::Place(part, _) => inside(part).and_then(|inside| inside.places.get(name)).map(|place| Target::Place(part, place)),
        Target::Look(look) => {
            let part = book.looks.get(look.index()).map(|look| look.part);
            part.and_then(inside).and_then(|inside| inside.looks.get(name)).map(Target::Look)
        }
        Target::Choice(look, _) => {
            let at = book.looks.get(look.index()).and_then(|of| of.choices().iter().position(|choice| choice.name == name));
            at.map(|at| Target::choice(look, at))
        }
        // A table and a reckoning are both used by their name alone.
        Target::Table(_) | Target::Reckon(_) => {
            names.tables.get(name).map(Target::Table).or_else(|| names.reckons.get(name).map(Target::Reckon))
        }
        Target::Work(_) => names.works.get(name).map(Target::Work),
        Target::Finding(_) => names.findings.get(name).map(Target::Finding),
        Target::Way(finding, _) => {
            let at = book.findings.get(finding.index()).and_then(|of| of.ways.iter().position(|way| way.name == name));
            at.and_then(|at| u32::try_from(at).ok()).map(|at| Target::Way(finding, at))
        }
        Target::Raise(_) => names.raises.get(name).map(Target::Raise),
        Target::Counsel(_) => names.counsels.get(name).map(Target::Counsel),
        Target::Aid(_) => names.aids.get(name).map(Target::Aid),
    };
    match taken {
        Some(other) if other == target => Err("That is its name already.".to_owned()),
        Some(other) => {
            let what = title(analysis, other).unwrap_or_default();
            Err(format!("The name is taken: there is a `{what}` already."))
        }
        None => Ok(()),
    }
}
