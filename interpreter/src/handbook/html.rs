//! The handbook as one page of HTML that prints as a booklet.

use askama::Template;

use super::document::{Block, Handbook, Run};

#[derive(Template)]
#[template(path = "handbook.html")]
struct Page<'a> {
    book: &'a Handbook,
}

/// The handbook as a page.
pub fn html(handbook: &Handbook) -> Result<String, askama::Error> {
    Page { book: handbook }.render()
}
