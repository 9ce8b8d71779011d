//! What the server offers.

use tower_lsp::lsp_types::{
    OneOf, SaveOptions, ServerCapabilities, TextDocumentSyncCapability, TextDocumentSyncKind, TextDocumentSyncOptions,
};

use super::facts::Facts;

/// Everything it offers to a client.
pub fn offered(facts: &Facts) -> ServerCapabilities {
    ServerCapabilities {
        position_encoding: Some(facts.encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(TextDocumentSyncOptions {
            open_close: Some(true),
            change: Some(TextDocumentSyncKind::INCREMENTAL),
            save: Some(SaveOptions { include_text: Some(false) }.into()),
            ..TextDocumentSyncOptions::default()
        })),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        ..ServerCapabilities::default()
    }
}
