//! Dates: ISO 8601 only, with the right date offered for the other shapes people and spreadsheets write.

use jiff::civil::Date;

use super::{Bad, Saying, shown};
use crate::unit::{date_of, day_of, format_date, last_of_its_month, parse_date};

/// What a dated look says.
pub(super) fn parse(text: &str) -> Result<Saying, Bad> {
    if text.eq_ignore_ascii_case("none") {
        return Ok(Saying::NoDate);
    }
    let words: Vec<&str> = text.split_whitespace().collect();
    let is = |at: usize, word: &str| words.get(at).is_some_and(|written| written.eq_ignore_ascii_case(word));
    if is(0, "at") && (is(1, "least") || is(1, "most")) {
        let day = day(&words[2..].join(" "))
            .map_err(|bad| Bad { nearest: bad.nearest.map(|day| format!("{} {} {day}", words[0], words[1])), ..bad })?;
        return Ok(if is(1, "least") { Saying::DateBetween(Some(day), None) } else { Saying::DateBetween(None, Some(day)) });
    }
    let start = usize::from(is(0, "from"));
    let Some(to) = words.iter().position(|word| word.eq_ignore_ascii_case("to")).filter(|&to| to > start) else {
        let day = day(text)?;
        return Ok(Saying::DateBetween(Some(day), Some(day)));
    };
    let (from_text, to_text) = (words[start..to].join(" "), words[to + 1..].join(" "));
    let low = day(&from_text).map_err(|bad| Bad { nearest: bad.nearest.map(|day| format!("{day} to {to_text}")), ..bad })?;
    let high = day(&to_text).map_err(|bad| Bad { nearest: bad.nearest.map(|day| format!("{from_text} to {day}")), ..bad })?;
    if low > high {
        return Err(Bad::new("the later date comes first").or(format!("{to_text} to {from_text}")));
    }
    Ok(Saying::DateBetween(Some(low), Some(high)))
}

/// One date, as a day number.
pub(super) fn day(text: &str) -> Result<i64, Bad> {
    if let Some(day) = parse_date(text) {
        return Ok(day);
    }
    let not_iso = || Bad::new(format!("{} is not a date written year-month-day", shown(text)));
    Err(match Shape::of(text) {
        Shape::Day(date) => not_iso().or(date.to_string()),
        Shape::Either(one, other) => Bad::new(format!("{} may be {one} or {other}", shown(text))),
        Shape::Span(first, last) => Bad::new(format!("{} is not one day", shown(text))).or(format!("{first} to {last}")),
        Shape::Serial(date) => {
            let why = format!("{} is a spreadsheet's number for a day", shown(text));
            Bad::new(why).or(date.to_string())
        }
        Shape::NoSuchDay => {
            let bad = Bad::new(format!("there is no day {}", shown(text)));
            match last_of_its_month(text) {
                Some(last) => bad.or(last.to_string()),
                None => bad,
            }
        }
        Shape::NoYear(..) => Bad::new(format!("{} has no year of four digits", shown(text))),
        Shape::NotADate => not_iso(),
    })
}

/// The month and day of text that a spreadsheet may have made of two numbers with a stroke between them, such as
/// `03-Apr`, `2026-04-03` or `46115`.
pub(super) fn numbers_of_a_date(text: &str) -> Option<(i8, i8)> {
    match Shape::of(text) {
        Shape::Day(date) | Shape::Serial(date) | Shape::Either(date, _) => Some((date.month(), date.day())),
        Shape::NoYear(month, day) => Some((month, day)),
        Shape::Span(..) | Shape::NoSuchDay | Shape::NotADate => None,
    }
}

/// What a piece of text is, if read as a date with goodwill.
enum Shape {
    /// One day, in another way of writing.
    Day(Date),
    /// Month and day might be either way round.
    Either(Date, Date),
    /// A month or a year: its first and last day.
    Span(Date, Date),
    /// A spreadsheet's count of days.
    Serial(Date),
    /// A day that no calendar has.
    NoSuchDay,
    /// A month and a day, without a year of four digits.
    NoYear(i8, i8),
    NotADate,
}

/// A spreadsheet counts its days so that this is 1970-01-01.
const SERIAL_OF_1970: i64 = 25_569;

impl Shape {
    fn of(text: &str) -> Self {
        if text.len() > 40 {
            return Self::NotADate;
        }
        let day_part = match text.split_once(['T', ' ']) {
            // A time of day is left off.
            Some((day, time)) if time.starts_with(|c: char| c.is_ascii_digit()) && time.contains(':') => day,
            _ => text,
        };
        let parts: Vec<&str> = day_part.split(['/', '-', '.', ',', ' ']).filter(|part| !part.is_empty()).collect();
        let number = |at: usize| parts.get(at).filter(|part| part.bytes().all(|b| b.is_ascii_digit())).copied();
        let month = parts.iter().position(|part| month_of(part).is_some());
        match (parts.len(), month) {
            (1, None) => Self::of_one_number(day_part),
            (2, Some(at)) => Self::of_month_and_number(month_of(parts[at]), number(1 - at)),
            (2, None) => match (number(0).and_then(year_of), number(1).and_then(small)) {
                (Some(year), Some(month)) => Self::month(year, month),
                _ => Self::NotADate,
            },
            (3, Some(at)) if at < 2 => {
                let month = month_of(parts[at]);
                let (first, last) = (number(if at == 0 { 1 } else { 0 }), number(2));
                match (first.and_then(year_of), first.and_then(small), last.and_then(year_of), last.and_then(small)) {
                    (Some(year), _, _, Some(day)) | (None, Some(day), Some(year), _) => Self::day(year, month, day),
                    (None, Some(day), None, Some(_)) => Self::no_year(month, Some(day)),
                    _ => Self::NotADate,
                }
            }
            (3, None) => match (number(0), number(1).and_then(small), number(2)) {
                (Some(first), Some(middle), Some(last)) => match (year_of(first), small(first), year_of(last), small(last)) {
                    (Some(year), _, _, Some(day)) => Self::day(year, Some(middle), day),
                    (None, Some(first), Some(year), _) => Self::either(year, first, middle),
                    (None, Some(first), None, Some(_)) if !day_part.contains(' ') => Self::no_year(Some(first), Some(middle)),
                    _ => Self::NotADate,
                },
                _ => Self::NotADate,
            },
            _ => Self::NotADate,
        }
    }

    fn of_one_number(text: &str) -> Self {
        if let Some(year) = year_of(text).filter(|year| (1600..=2199).contains(year)) {
            return Self::span(Date::new(year, 1, 1).ok(), Date::new(year, 12, 31).ok());
        }
        let serial = if text.len() == 5 { text.parse().ok() } else { None };
        match serial.and_then(|serial: i64| date_of(serial - SERIAL_OF_1970)) {
            // From 1954 to 2064; other numbers of five digits are no days that anybody writes of.
            Some(date) if (1954..=2064).contains(&date.year()) => Self::Serial(date),
            _ => Self::NotADate,
        }
    }

    fn of_month_and_number(month: Option<i8>, number: Option<&str>) -> Self {
        match (month, number.and_then(year_of), number.and_then(small)) {
            (Some(month), Some(year), _) => Self::month(year, month),
            (month, None, day) => Self::no_year(month, day),
            _ => Self::NotADate,
        }
    }

    fn no_year(month: Option<i8>, day: Option<i8>) -> Self {
        match (month, day) {
            (Some(month), Some(day)) if (1..=31).contains(&month) && (1..=31).contains(&day) => Self::NoYear(month, day),
            _ => Self::NotADate,
        }
    }

    fn day(year: i16, month: Option<i8>, day: i8) -> Self {
        month.and_then(|month| Date::new(year, month, day).ok()).map_or(Self::NoSuchDay, Self::Day)
    }

    fn month(year: i16, month: i8) -> Self {
        let first = Date::new(year, month, 1).ok();
        Self::span(first, first.map(Date::last_of_month))
    }

    fn span(first: Option<Date>, last: Option<Date>) -> Self {
        match (first, last) {
            (Some(first), Some(last)) => Self::Span(first, last),
            _ => Self::NoSuchDay,
        }
    }

    fn either(year: i16, first: i8, second: i8) -> Self {
        match (Date::new(year, first, second), Date::new(year, second, first)) {
            (Ok(one), Ok(other)) if one != other => Self::Either(one, other),
            (Ok(date), _) | (_, Ok(date)) => Self::Day(date),
            _ => Self::NoSuchDay,
        }
    }
}

/// A number of four digits.
fn year_of(text: &str) -> Option<i16> {
    if text.len() == 4 && text.bytes().all(|b| b.is_ascii_digit()) { text.parse().ok() } else { None }
}

/// A number of one or two digits.
fn small(text: &str) -> Option<i8> {
    if text.len() <= 2 { text.parse().ok() } else { None }
}

/// The month of an English name or its first three letters.
fn month_of(text: &str) -> Option<i8> {
    const MONTHS: [&str; 12] = [
        "january",
        "february",
        "march",
        "april",
        "may",
        "june",
        "july",
        "august",
        "september",
        "october",
        "november",
        "december",
    ];
    let small = text.to_lowercase();
    let at =
        MONTHS.iter().position(|month| *month == small || month[..3] == *small || (small == "sept" && *month == "september"))?;
    i8::try_from(at + 1).ok()
}

/// A date between two days, as text.
pub(super) fn format(low: Option<i64>, high: Option<i64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) if low == high => format_date(low),
        (Some(low), Some(high)) => format!("{} to {}", format_date(low), format_date(high)),
        (Some(low), None) => format!("at least {}", format_date(low)),
        (None, Some(high)) => format!("at most {}", format_date(high)),
        (None, None) => format!("at least {}", format_date(day_of(Date::constant(0, 1, 1)))),
    }
}
