//! The sheet on paper: one HTML page that prints.

use askama::Template;

use super::view::FOUND_PLACES;
use super::{Answer, Scope, Sheet};

#[derive(Template)]
#[template(path = "sheet.html")]
struct Paper {
    sheet: Sheet,
}

impl Paper {
    /// The numbers of the empty places of a part that has as many as are found.
    fn found(&self) -> std::ops::RangeInclusive<usize> {
        1..=FOUND_PLACES
    }
}

/// The sheet as a page of HTML.
pub fn html(scope: &Scope<'_>) -> Result<String, askama::Error> {
    Paper { sheet: Sheet::new(scope) }.render()
}
