//! What the checker tells of a text.

use std::sync::Arc;

use purfle_lang::book::Book;
use purfle_lang::check::check;
use purfle_lang::diagnostic::{Diagnostic, Fix};

use crate::written::{book, diagnostics};

/// A rulebook and all that is proved about it.
pub struct Told {
    /// Its text.
    pub text: String,
    /// What it means.
    pub book: Arc<Book>,
    /// What is proved.
    pub diagnostics: Vec<Diagnostic>,
}

impl Told {
    /// Of a text that builds on nothing; none where it is not sound, as a random one may be.
    pub fn of(text: String) -> Option<Self> {
        if !diagnostics(&text).is_empty() {
            return None;
        }
        let book = book(&text);
        let diagnostics = check(&book, &text);
        Some(Self { text, book: Arc::new(book), diagnostics })
    }
}

/// The fix that writes the record down that shows a claim.
pub fn example(diagnostic: &Diagnostic) -> Option<&Fix> {
    diagnostic.fixes.iter().find(|fix| fix.title == "Add this record as an example")
}
