//! Figures as they are printed: each rounded once, half to even, to the money's minor unit.

use std::fmt::Write;

use purfle_lang::book::{Book, PartId, RecordPath};
use purfle_lang::number::{Number, format_scaled, round_half_even, round_scaled};
use purfle_lang::unit::format_date;

use crate::outcome::{At, Range, Sum};

/// A sum in the money's minor unit, as printed.
pub fn minor(number: Number, places: u32) -> i128 {
    match number.numer().checked_mul(10_i128.pow(places.min(9))) {
        Some(scaled) => round_half_even(scaled, *number.denom()),
        None => round_scaled(number, places),
    }
}

/// Writes a sum without its currency: `47.50`.
pub fn write_minor(out: &mut String, minor: i128, places: u32) {
    match (i64::try_from(minor), places) {
        // The usual case, without 128-bit division.
        (Ok(minor), 2) if minor >= 0 => {
            let _ = write!(out, "{}.{:02}", minor / 100, minor % 100);
        }
        _ => out.push_str(&format_scaled(minor, places)),
    }
}

/// A sum without its currency, rounded as printed: `47.50`.
pub fn money(book: &Book, number: Number) -> String {
    let places = book.money.minor_places();
    let mut text = String::new();
    write_minor(&mut text, minor(number, places), places);
    text
}

/// `47.50 USD`, or `47.50 to 88.50 USD`.
pub fn money_range(book: &Book, from: Number, to: Number) -> String {
    minor_range(book, minor(from, book.money.minor_places()), minor(to, book.money.minor_places()))
}

/// The same of sums already rounded.
pub fn minor_range(book: &Book, from: i128, to: i128) -> String {
    let places = book.money.minor_places();
    let mut text = String::new();
    write_minor(&mut text, from, places);
    if from != to {
        text.push_str(" to ");
        write_minor(&mut text, to, places);
    }
    let _ = write!(text, " {}", book.money);
    text
}

/// What a sum of nothing is called.
pub const NOTHING: &str = "nothing";

/// A sum with everything that must be known of it: `47.50 to 88.50 USD, and more`.
pub fn sum(book: &Book, sum: &Sum) -> String {
    let places = book.money.minor_places();
    let (from, to) = (minor(sum.from, places), minor(sum.to, places));
    let mut text =
        if (from, to) == (0, 0) && !sum.or_more && !sum.and_more { "nothing".to_owned() } else { minor_range(book, from, to) };
    if !sum.exact {
        text.push_str(" at the outside");
    }
    if sum.and_more {
        text.push_str(", and more that is known only on sight");
    }
    if sum.or_more {
        text.push_str(", or more");
    }
    text
}

/// Where a finding or a look is, after its part's name: `.E`, `.1`, or nothing.
pub fn place_name(book: &Book, part: PartId, at: At) -> Option<String> {
    match at {
        At::Part | At::Place(RecordPath::Single) => None,
        At::Place(RecordPath::Fixed(place)) => book[part].fixed_places().get(place.index()).map(|place| place.name.clone()),
        At::Place(RecordPath::Found(number)) => Some(number.to_string()),
        At::Unnamed => Some("any".to_owned()),
    }
}

/// What a place is called in a sentence: its words, `the 2nd one` by number, or nothing.
pub fn place_words(book: &Book, part: PartId, at: At) -> Option<String> {
    match at {
        At::Part | At::Place(RecordPath::Single) => None,
        At::Place(RecordPath::Fixed(place)) => book[part].fixed_places().get(place.index()).map(|place| place.words.clone()),
        At::Place(RecordPath::Found(number)) => Some(format!("number {number}")),
        At::Unnamed => Some("one not written down".to_owned()),
    }
}

/// By when, in words; none where there is no limit at either end.
pub fn due_words(due: &Range<Option<i64>>) -> Option<String> {
    match (due.from, due.to) {
        (Some(from), Some(to)) if from == to => Some(format!("by {}", format_date(from))),
        (Some(from), Some(to)) => {
            Some(format!("by {}, unless a closer look lets it wait until {}", format_date(from), format_date(to)))
        }
        (Some(from), None) => Some(format!("by {}, unless a closer look lets it wait", format_date(from))),
        (None, _) => None,
    }
}
