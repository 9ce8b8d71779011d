//! Changes of texts, and what can be done at a place.

use std::collections::HashMap;

use purfle_lang::diagnostic::Edit;
use tower_lsp::lsp_types::{
    self, CodeAction, CodeActionKind, DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit,
    TextEdit, Url, WorkspaceEdit,
};

use crate::ide::actions::{Action, ActionKind};
use crate::proto::page::Page;

/// What sort of action mends all that is safe.
pub const MEND_ALL: &str = "source.fixAll.purfle";

/// The changes of one text.
pub fn edits(edits: &[Edit], page: Page) -> Vec<TextEdit> {
    edits.iter().map(|edit| TextEdit { range: page.range(edit.span.range()), new_text: edit.text.clone() }).collect()
}

/// The changes of several texts, each with its name and the state of it that they are for. A client that does not know
/// states gets them without.
pub fn workspace_edit(files: Vec<(Url, Option<i32>, Vec<TextEdit>)>, with_states: bool) -> WorkspaceEdit {
    if !with_states {
        let mut changes: HashMap<Url, Vec<TextEdit>> = HashMap::new();
        for (uri, _, edits) in files {
            changes.entry(uri).or_default().extend(edits);
        }
        return WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() };
    }
    let one = |(uri, version, edits): (Url, Option<i32>, Vec<TextEdit>)| TextDocumentEdit {
        text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
        edits: edits.into_iter().map(OneOf::Left).collect(),
    };
    let changes = DocumentChanges::Edits(files.into_iter().map(one).collect());
    WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() }
}

/// The protocol's name for a sort of action.
pub fn kind(kind: ActionKind) -> CodeActionKind {
    match kind {
        ActionKind::Mend | ActionKind::Example | ActionKind::Quiet => CodeActionKind::QUICKFIX,
        ActionKind::MendAll => CodeActionKind::new(MEND_ALL),
        ActionKind::Alter => CodeActionKind::REFACTOR_REWRITE,
    }
}

/// An action, with the diagnostic that it is about.
pub fn action(action: Action, about: Option<lsp_types::Diagnostic>, edit: WorkspaceEdit) -> CodeAction {
    CodeAction {
        title: action.title,
        kind: Some(kind(action.kind)),
        diagnostics: about.map(|told| vec![told]),
        edit: Some(edit),
        is_preferred: action.preferred.then_some(true),
        ..CodeAction::default()
    }
}
