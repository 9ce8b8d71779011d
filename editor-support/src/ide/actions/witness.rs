//! An example written from the record that shows what a diagnostic says.

use purfle_lang::diagnostic::{Diagnostic, Edit};
use purfle_lang::span::{FileId, Span};
use purfle_lang::tidy::tidy;

use super::{Action, ActionKind};
use crate::analysis::Analysis;
use crate::ide::edits::FileEdits;

/// Adds the example at the end of the rulebook.
pub fn example(analysis: &Analysis, at: usize, diagnostic: &Diagnostic) -> Option<Action> {
    let witness = diagnostic.witness.as_ref()?;
    let words = diagnostic.says.trim_end_matches('.').replace(['"', '`'], "'").replace('\\', "");
    let written = format!("example \"{words}\"\n  record {}\n  {}\n", witness.record, witness.outcome);
    Some(Action {
        title: "Write an example from this record".to_owned(),
        kind: ActionKind::Example,
        about: Some(at),
        preferred: false,
        edits: vec![FileEdits {
            path: analysis.paths.first().cloned().unwrap_or_default(),
            edits: vec![at_end(analysis.text(FileId::OWN), &tidy(&written))],
        }],
    })
}

/// The edit that adds an item at the end of a text, with a blank line before it.
pub fn at_end(text: &str, item: &str) -> Edit {
    let newline = if text.contains("\r\n") { "\r\n" } else { "\n" };
    let ends = text.len() - text.trim_end_matches(['\n', '\r', ' ', '\t']).len();
    let at = text.len() - ends;
    let item = item.trim_end().replace('\n', newline);
    let before = if at == 0 { String::new() } else { format!("{newline}{newline}") };
    Edit { span: Span::new(FileId::OWN, at, text.len()), text: format!("{before}{item}{newline}") }
}
