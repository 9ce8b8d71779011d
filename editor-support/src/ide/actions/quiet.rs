//! A warning quieted: the comment that does it, with the reason left to be written.

use purfle_lang::diagnostic::{Diagnostic, Edit};
use purfle_lang::pages::is_warning;
use purfle_lang::span::{FileId, Span};

use super::{Action, ActionKind};
use crate::analysis::Analysis;
use crate::ide::cursor::{Cursor, line_of};
use crate::ide::edits::FileEdits;

/// Puts the comment directly above the clause or the item. What is told of quietings is not quieted.
pub fn quiet(analysis: &Analysis, at: usize, diagnostic: &Diagnostic) -> Option<Action> {
    let slug = diagnostic.slug;
    let quietable = !diagnostic.is_error() && is_warning(slug) == Some(true) && !slug.starts_with("quiet-");
    if !quietable || diagnostic.span.file != FileId::OWN {
        return None;
    }
    let cursor = Cursor::new(analysis, FileId::OWN, diagnostic.span.start);
    let start = match (cursor.clause, cursor.entry()) {
        (Some(clause), _) if !clause.word.is_empty() => clause.keyword.start,
        (_, Some(entry)) => entry.keyword.start,
        _ => return None,
    };
    let text = analysis.text(FileId::OWN);
    let line = line_of(text, start as usize);
    let indentation = text.get(line.start..start as usize)?;
    if !indentation.trim().is_empty() {
        return None;
    }
    let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let comment = format!("{indentation}# quiet {slug} because \"why\"{newline}");
    Some(Action {
        title: format!("Quiet `{slug}` here, with a reason"),
        kind: ActionKind::Quiet,
        about: Some(at),
        preferred: false,
        edits: vec![FileEdits {
            path: analysis.paths.first().cloned().unwrap_or_default(),
            edits: vec![Edit { span: Span::new(FileId::OWN, line.start, line.start), text: comment }],
        }],
    })
}
