//! Two rulebooks that are sound, read, gone through case by case and weighed.

use purfle::weigh::view::ProvenView;
use purfle_lang::book::{Book, Places};

use super::differences::{Differences, differences};
use super::{said, weigh};
use crate::written::{book, brings, diagnostics};

/// Pairs with more cases are passed over.
const MOST_CASES: usize = 2_000;

/// Two rulebooks, and what is to be held against each other.
pub struct Pair {
    /// The old one.
    pub before: Book,
    /// The new one.
    pub after: Book,
    /// What all their cases show.
    pub shown: Differences,
    /// What weighing says.
    pub view: ProvenView,
    /// Whether a part has as many places as are found: then there are more cases than were gone through.
    pub more_places: bool,
}

impl Pair {
    /// Reads and weighs two texts; none where one is not sound, or they have too many cases.
    pub fn of(old: &str, new: &str) -> Option<Self> {
        if !sound(&[old, new]) {
            return None;
        }
        let (before, after) = (book(old), book(new));
        let mut shown = differences(&before, &after, MOST_CASES)?;
        shown.complete &= !brings(old) && !brings(new);
        let (view, more_places) = (weigh(&before, &after), more_places(&before));
        Some(Self { before, after, shown, view, more_places })
    }

    /// Of a pair whose looks stand for themselves and whose every case was gone through: how many ways differ by what is
    /// said or shown, and how many of them are not said; none of any other.
    pub fn differing(&self) -> Option<(usize, usize)> {
        if !self.view.apart.is_empty() || self.more_places || !self.shown.complete {
            return None;
        }
        let known = said(&self.view);
        let differ = known.iter().filter(|(key, known)| **known == "can" || self.shown.ways.contains(key)).count();
        let missed = known.iter().filter(|(key, known)| **known != "can" && self.shown.ways.contains(key)).count();
        Some((differ, missed))
    }
}

/// Whether nothing is told of any of the texts.
pub fn sound(texts: &[&str]) -> bool {
    texts.iter().all(|text| diagnostics(text).is_empty())
}

/// Whether a part has as many places as are found.
pub fn more_places(book: &Book) -> bool {
    book.parts.iter().any(|part| matches!(part.places, Places::AsFound))
}
