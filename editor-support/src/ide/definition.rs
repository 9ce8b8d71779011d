//! Where a name comes from, and where else it stands.

use purfle_lang::resolve::noted::{Note, Role, Target};
use purfle_lang::span::{FileId, Span};

use crate::analysis::Analysis;

/// A jump from a name to where the thing is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Jump {
    /// The name at the byte.
    pub from: Span,
    /// The thing's name where it is first written.
    pub to: Span,
}

/// Where the thing named at a byte is written; for a name that is written here already, where it was first written
/// further up the chain.
pub fn definition(analysis: &Analysis, file: FileId, offset: u32) -> Option<Jump> {
    let note = analysis.note_at(file, offset)?;
    let to = match note.target {
        Target::Dropped(at) => analysis.known()?.merged.dropped.get(at as usize)?.written,
        target => analysis.definition(target)?,
    };
    Some(Jump { from: note.span, to })
}

/// Every place at which the thing named at a byte is named, over the whole chain and in its order; without the places at
/// which it is written where only uses are asked for.
pub fn references(analysis: &Analysis, file: FileId, offset: u32, with_writing: bool) -> Vec<Note> {
    let Some(note) = analysis.note_at(file, offset) else { return Vec::new() };
    analysis.names_of(note.target).filter(|note| with_writing || note.role != Role::Writes).collect()
}

/// The places in one text at which the thing named at a byte is named, for marking them.
pub fn highlights(analysis: &Analysis, file: FileId, offset: u32) -> Vec<Note> {
    references(analysis, file, offset, true).into_iter().filter(|note| note.span.file == file).collect()
}

/// In what other analyses name: the same thing, found by the text and place at which it is first written. Each comes with
/// the number of the analysis.
pub fn references_elsewhere(analysis: &Analysis, file: FileId, offset: u32, others: &[&Analysis]) -> Vec<(usize, Note)> {
    let Some(definition) = definition(analysis, file, offset).map(|jump| jump.to) else { return Vec::new() };
    let mut found = Vec::new();
    for (at, other) in others.iter().enumerate() {
        let Some(target) = same(analysis, definition, other) else { continue };
        // What stands in a text that both have is told by the first.
        let own = |note: &Note| {
            let path = other.paths.get(usize::from(note.span.file.0));
            path.is_some_and(|path| !analysis.paths.contains(path))
        };
        found.extend(other.names_of(target).filter(own).map(|note| (at, note)));
    }
    found
}

/// What stands in another analysis for the thing that is written at a span of this one.
pub fn same(analysis: &Analysis, written: Span, other: &Analysis) -> Option<Target> {
    let path = analysis.paths.get(usize::from(written.file.0))?;
    let at = other.paths.iter().position(|known| known == path)?;
    let file = FileId(u16::try_from(at).ok()?);
    // Only where both have the same text there does a place mean the same.
    (analysis.text(written.file) == other.text(file)).then_some(())?;
    let there = Span { file, ..written };
    other.notes().iter().find(|note| note.span == there).map(|note| note.target)
}
