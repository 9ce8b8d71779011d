//! What may be written at the pointer, and the formula being written there.

use serde_json::Value;
use tower_lsp::lsp_types::{self};
use tower_lsp::lsp_types::{
    CompletionItem, CompletionItemKind, CompletionTextEdit, Documentation, InsertTextFormat, MarkupContent, MarkupKind,
    ParameterInformation, ParameterLabel, SignatureInformation, TextEdit,
};

use crate::ide::completion::{Proposal, ProposalKind};
use crate::ide::signature::SignatureHelp;
use crate::proto::pages::Pages;

/// Text in Markdown.
pub fn markdown(text: String) -> MarkupContent {
    MarkupContent { kind: MarkupKind::Markdown, value: text }
}

fn kind(kind: ProposalKind) -> CompletionItemKind {
    match kind {
        ProposalKind::Word => CompletionItemKind::KEYWORD,
        ProposalKind::Skeleton => CompletionItemKind::SNIPPET,
        ProposalKind::Name => CompletionItemKind::REFERENCE,
        ProposalKind::Look => CompletionItemKind::FIELD,
        ProposalKind::Choice => CompletionItemKind::ENUM_MEMBER,
        ProposalKind::Place => CompletionItemKind::VARIABLE,
        ProposalKind::Unit => CompletionItemKind::UNIT,
        ProposalKind::Formula => CompletionItemKind::FUNCTION,
    }
}

/// A proposal, the `at`-th of its list; none where it stands in no text. `data` comes back when more of it is asked.
pub fn item(proposal: &Proposal, at: usize, snippets: bool, pages: &Pages, data: Option<Value>) -> Option<CompletionItem> {
    let holes = snippets && proposal.has_holes();
    let new_text = if holes { proposal.numbered() } else { proposal.plain() };
    Some(CompletionItem {
        label: proposal.label.clone(),
        kind: Some(kind(proposal.kind)),
        detail: (!proposal.detail.is_empty()).then(|| proposal.detail.clone()),
        sort_text: Some(format!("{:03}{at:05}", proposal.rank)),
        insert_text_format: Some(if holes { InsertTextFormat::SNIPPET } else { InsertTextFormat::PLAIN_TEXT }),
        text_edit: Some(CompletionTextEdit::Edit(TextEdit { range: pages.range(proposal.replaces)?, new_text })),
        data: data.filter(|_| proposal.about.is_some()),
        ..CompletionItem::default()
    })
}

/// What a formula takes.
pub fn signature(help: SignatureHelp) -> lsp_types::SignatureHelp {
    let parameters = help.values.iter().zip(&help.about).map(|(&(start, end), about)| ParameterInformation {
        // The names of formulas and of their values are ASCII, so that their bytes are their units.
        label: ParameterLabel::LabelOffsets([start, end]),
        documentation: (!about.is_empty()).then(|| Documentation::MarkupContent(markdown(about.clone()))),
    });
    let signature = SignatureInformation {
        parameters: Some(parameters.collect()),
        label: help.label,
        documentation: Some(Documentation::MarkupContent(markdown(help.text))),
        active_parameter: Some(help.active),
    };
    lsp_types::SignatureHelp { signatures: vec![signature], active_signature: Some(0), active_parameter: Some(help.active) }
}
