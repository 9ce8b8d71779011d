//! What requests need of the desk.

use std::ops::Range;

use purfle_lang::tidy::Tidied;
use tower_lsp::lsp_types::{self, TextEdit, Url};

use super::Desk;

impl Desk {
    /// The changes that lay a text out, in the whole of it or in what touches a range.
    pub fn tidied(&self, uri: &Url, within: Option<lsp_types::Range>) -> Option<Vec<TextEdit>> {
        let page = self.open.get(uri)?.document.page(self.facts.encoding);
        let within: Range<usize> = within.map_or(0..page.text.len(), |range| page.bytes(range));
        let edits = Tidied::new(page.text).edits(within);
        Some(edits.into_iter().map(|edit| TextEdit { range: page.range(edit.span.range()), new_text: edit.text }).collect())
    }
}
