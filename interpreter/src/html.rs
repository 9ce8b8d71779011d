//! What all HTML pages share: the escaping that every text goes through. Their style sheet is a template of theirs.
//!
//! A page is one file that needs nothing beside it: no script, no font, no picture from elsewhere.

mod escape;

pub use escape::Inert;

/// A page as a tree: pages are written so that they are well-formed XML too.
#[cfg(test)]
pub fn tree(page: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    roxmltree::Document::parse_with_options(page, options).expect("a well-formed page")
}
