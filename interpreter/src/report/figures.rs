//! Figures as they are printed: each rounded once, half to even, to the money's minor unit.

use std::fmt::Write;

use purfle_lang::book::{Book, PartId, RecordPath, StepId, Within};
use purfle_lang::number::{Number, format_scaled, round_half_even, round_scaled};
use purfle_lang::unit::{date_of, format_date};

use crate::outcome::{At, Outcome, Range, Sum, Unaided};

/// A sum in the money's minor unit, as printed.
pub fn minor(number: Number, places: u32) -> i128 {
    match number.numer().checked_mul(10_i128.pow(places.min(9))) {
        Some(scaled) => round_half_even(scaled, *number.denom()),
        None => round_scaled(number, places),
    }
}

/// Writes a sum without its currency: `47.50`.
pub fn write_minor(out: &mut String, minor: i128, places: u32) {
    match u64::try_from(minor) {
        // The usual case, without 128-bit division.
        Ok(minor) if places <= 9 => write_decimal(out, minor, places as usize),
        _ => out.push_str(&format_scaled(minor, places)),
    }
}

/// Writes a number of which the last digits are decimal places: `(4750, 2)` is `47.50`.
pub fn write_decimal(out: &mut String, number: u64, places: usize) {
    let mut text = [b'0'; 32];
    let mut from = text.len();
    let mut put = |byte: u8| {
        from -= 1;
        text[from] = byte;
    };
    let mut left = number;
    for written in 0.. {
        if left == 0 && written > places {
            break;
        }
        if written == places && places > 0 {
            put(b'.');
        }
        put(b'0' + (left % 10) as u8);
        left /= 10;
    }
    out.push_str(std::str::from_utf8(&text[from..]).unwrap_or_default());
}

/// Writes a day as `2026-11-20`.
pub fn write_day(out: &mut String, day: i64) {
    match date_of(day) {
        Some(date) if date.year() >= 0 => {
            let digit = |number: i16| b'0' + (number % 10) as u8;
            let (year, month, day) = (date.year(), i16::from(date.month()), i16::from(date.day()));
            let [thousands, hundreds, tens, ones] = [1000, 100, 10, 1].map(|of| digit(year / of));
            let [month_tens, month_ones, day_tens, day_ones] = [month / 10, month, day / 10, day].map(digit);
            let text = [thousands, hundreds, tens, ones, b'-', month_tens, month_ones, b'-', day_tens, day_ones];
            out.push_str(std::str::from_utf8(&text).unwrap_or_default());
        }
        // It is in no year that has four digits.
        _ => out.push_str(&format_date(day)),
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
    let mut text = if (from, to) == (0, 0) && more(sum).is_none() { NOTHING.to_owned() } else { minor_range(book, from, to) };
    // At the outside nothing is nothing.
    if !sum.exact && to != 0 {
        text.push_str(" at the outside");
    }
    if let Some(more) = more(sum) {
        let _ = write!(text, ", {more}");
    }
    text
}

/// What a sum leaves out.
pub fn more(sum: &Sum) -> Option<&'static str> {
    match (sum.and_more, sum.or_more) {
        (true, true) => Some("and more that is hidden or known only on sight"),
        (true, false) => Some("and more that is known only on sight"),
        (false, true) => Some("or more"),
        (false, false) => None,
    }
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

/// By when, in words; none where there is no limit at either end, or no day to reckon from.
pub fn due_words(book: &Book, urgency: Range<StepId>, due: &Range<Option<i64>>) -> Option<String> {
    let words = |step: StepId, day: Option<i64>| match (book[step].within, day) {
        (Within::AtOnce, _) => Some("at once".to_owned()),
        (_, day) => day.map(|day| format!("by {}", format_date(day))),
    };
    match (words(urgency.to, due.from), words(urgency.from, due.to)) {
        (Some(from), Some(to)) if from == to => Some(from),
        (Some(from), Some(to)) => Some(format!("{to}, or {from} if a closer look finds worse")),
        (Some(from), None) => Some(format!("{from}, if a closer look finds worse")),
        (None, _) => None,
    }
}

/// Whether something that was seen may mean that this must not be used: the instrument, or the part that stands apart.
pub fn pointed(book: &Book, outcome: &Outcome, apart: Option<PartId>) -> bool {
    outcome.findings.iter().any(|judged| {
        let part = book[judged.finding].on;
        let its = apart.map_or(!book[part].apart, |apart| apart == part);
        its && book[judged.urgency.to].not_played
    })
}

/// Why a fund does not pay, as the end of a sentence.
pub fn unaided_words(why: Unaided) -> &'static str {
    match why {
        Unaided::NotForThese => "it is for other owners or schools",
        Unaided::Denied => "something that it needs was answered with no",
        Unaided::NothingCovered => "nothing was found that it covers, or the work costs too little for it",
        Unaided::BeyondWorth => "the work costs more than the share of the instrument's worth that it allows",
    }
}

#[cfg(test)]
mod tests {
    use purfle_lang::number::format_scaled;
    use purfle_lang::unit::format_date;

    use super::{write_day, write_decimal, write_minor};

    fn written(write: impl FnOnce(&mut String)) -> String {
        let mut out = "a ".to_owned();
        write(&mut out);
        out
    }

    #[test]
    fn numbers_are_written_as_everywhere() {
        for number in [0, 7, 10, 99, 100, 1_234, u64::from(u32::MAX), u64::MAX] {
            assert_eq!(written(|out| write_decimal(out, number, 0)), format!("a {number}"));
        }
    }

    #[test]
    fn sums_are_written_as_everywhere() {
        for minor in [0, 5, 99, 100, -1, -250, 4_750, i128::from(u64::MAX), i128::from(u64::MAX) + 1, i128::MIN] {
            for places in [0, 2, 3, 9, 20] {
                assert_eq!(written(|out| write_minor(out, minor, places)), format!("a {}", format_scaled(minor, places)));
            }
        }
    }

    #[test]
    fn days_are_written_as_everywhere() {
        let far = [-4_371_587, -719_529, -719_528, -719_163, -1, 0, 20_784, 2_932_896, 2_932_897, i64::MIN, i64::MAX];
        for day in far.into_iter().chain((20_000..21_000).step_by(7)) {
            assert_eq!(written(|out| write_day(out, day)), format!("a {}", format_date(day)));
        }
    }
}
