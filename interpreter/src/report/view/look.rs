//! What to look at next, with the quick test and the caution.

use purfle_lang::book::{Book, RecordPath};

use super::super::figures::{place_name, place_words};
use super::super::text::plain;
use crate::outcome::{At, Figure, NextLook, Outcome};

/// The most looks that are asked for on a slip.
const MOST_LOOKS: usize = 5;

/// The looks that can still change something.
pub struct Looks {
    /// The first few, those that matter most first. Before them stands what was seen, was not clear, and settles whether the
    /// instrument may be played.
    pub next: Vec<LookNext>,
    /// How many more there are.
    pub more: usize,
    /// Of these, the fields that somebody tried to see.
    pub again: Vec<String>,
}

/// One look to take.
pub struct LookNext {
    /// The part, and the place where there are several.
    pub part: String,
    /// What is asked, and whether it is to be looked at again.
    pub question: String,
    /// The field as a record writes it.
    pub field: String,
    /// What it can change.
    pub can: Option<String>,
    /// Quick test.
    pub how: Option<String>,
    /// Caution.
    pub care: Option<String>,
}

impl Looks {
    /// What one outcome asks for.
    pub fn of(book: &Book, outcome: &Outcome) -> Self {
        let mut looks: Vec<&NextLook> = outcome.looks.iter().collect();
        looks.sort_by_key(|next| !(next.again && next.can.iter().any(|figure| figure == Figure::Played)));
        let rest = looks.get(MOST_LOOKS..).unwrap_or_default();
        Self {
            next: looks.iter().take(MOST_LOOKS).map(|next| one(book, next)).collect(),
            more: rest.len(),
            again: rest.iter().filter(|next| next.again).map(|next| field(book, next)).collect(),
        }
    }
}

fn one(book: &Book, next: &NextLook) -> LookNext {
    let look = &book[next.look];
    let part = &book[look.part];
    let place = place_words(book, look.part, next.at).map(|place| format!(", {}", plain(&place))).unwrap_or_default();
    let again = if next.again { " Look again, more closely." } else { "" };
    let asked = plain(&look.question);
    let stop = if again.is_empty() || asked.ends_with(['?', '.', '!']) { "" } else { "." };
    let fixed = match next.at {
        At::Place(RecordPath::Fixed(place)) => part.fixed_places().get(place.index()),
        _ => None,
    };
    let how = look.how.as_ref().or(fixed.and_then(|place| place.how.as_ref())).or(part.how.as_ref());
    let care = look.care.as_ref().or(fixed.and_then(|place| place.care.as_ref())).or(part.care.as_ref());
    let mut figures = next.can.iter();
    let gravest = figures.next();
    let more = if figures.next().is_some() { ", and more" } else { "" };
    LookNext {
        part: format!("{}{place}", plain(&part.words)),
        question: format!("{asked}{stop}{again}"),
        field: field(book, next),
        can: gravest.map(|gravest| format!("{}{more}", figure_words(gravest))),
        how: how.map(|how| plain(how).into_owned()),
        care: care.map(|care| plain(care).into_owned()),
    }
}

/// A look as a record writes it.
fn field(book: &Book, next: &NextLook) -> String {
    let look = &book[next.look];
    let place = place_name(book, look.part, next.at).map(|place| format!("{place}.")).unwrap_or_default();
    format!("{}.{place}{}", book[look.part].name, look.name)
}

fn figure_words(figure: Figure) -> &'static str {
    match figure {
        Figure::Played => "whether it may be played",
        Figure::Urgency => "how soon",
        Figure::Hands => "by whom",
        Figure::Cost => "the cost",
        Figure::Left => "the cost if left",
        Figure::Aid => "what a fund pays",
        Figure::Counsel => "the counsel",
    }
}
