//! What is wrong, in the words of the command line.

use purfle_lang::diagnostic::{Diagnostic, Severity};
use tower_lsp::lsp_types::{self, DiagnosticRelatedInformation, DiagnosticSeverity, NumberOrString};

use crate::proto::pages::Pages;

/// A diagnostic; none for one of no text.
pub fn diagnostic(told: &Diagnostic, pages: &Pages) -> Option<lsp_types::Diagnostic> {
    let mut message = told.says.clone();
    if !told.help.is_empty() {
        message.push('\n');
        message.push_str(&told.help);
    }
    if let Some(witness) = &told.witness {
        message.push_str(&format!("\nThis record shows it: {}\nWhat comes of it: {}", witness.record, witness.outcome));
    }
    let related = |label: &purfle_lang::diagnostic::Label| {
        Some(DiagnosticRelatedInformation { location: pages.location(label.span)?, message: label.says.clone() })
    };
    let related: Vec<_> = told.places.iter().filter_map(related).collect();
    Some(lsp_types::Diagnostic {
        range: pages.range(told.span)?,
        severity: Some(match told.severity {
            Severity::Error => DiagnosticSeverity::ERROR,
            Severity::Warning => DiagnosticSeverity::WARNING,
        }),
        code: Some(NumberOrString::String(told.slug.to_owned())),
        source: Some("purfle".to_owned()),
        message,
        related_information: (!related.is_empty()).then_some(related),
        ..lsp_types::Diagnostic::default()
    })
}
