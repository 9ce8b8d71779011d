//! The sheet on paper: one HTML page that prints.

use askama::Template;

use super::drawing::Drawing;
use super::view::FOUND_PLACES;
use super::{Answer, Scope, Sheet, SheetLook, SheetPart};
use crate::report::STANDING;

/// A cell of a table holds so many characters of choices; of more, the choices stand in the heading.
const MOST_IN_CELL: usize = 64;

#[derive(Template)]
#[template(path = "sheet.html")]
struct Paper<'a> {
    language: &'a str,
    drawing: Drawing,
    sheet: Sheet,
    standing: [&'static str; 3],
}

impl Paper<'_> {
    /// The numbers of the empty places of a part that has as many as are found.
    fn found(&self) -> std::ops::RangeInclusive<usize> {
        1..=FOUND_PLACES
    }

    /// Whether the part is laid out as a table: its places down, its looks across.
    fn has_places(&self, part: &SheetPart) -> bool {
        part.as_found || !part.places.is_empty()
    }

    /// Whether the choices of a look are too many for every cell.
    fn wide(&self, look: &SheetLook) -> bool {
        match &look.answer {
            Answer::Boxes { boxes, .. } => {
                boxes.iter().map(|choice| choice.words.chars().count() + 3).sum::<usize>() > MOST_IN_CELL
            }
            _ => false,
        }
    }
}

/// The sheet as a page of HTML.
pub fn html(scope: &Scope<'_>) -> Result<String, askama::Error> {
    let sheet = Sheet::new(scope);
    let drawing = Drawing::new(sheet.chosen_name.as_deref(), &sheet.parts);
    let language = scope.book().language.as_deref().unwrap_or("en");
    Paper { language, drawing, sheet, standing: STANDING }.render()
}
