//! What a record says of one look: the set of values it can still have, read from text and written as text.
//!
//! What may be written, beside `?` (looked, and could not tell) and `-` (does not apply), which every look takes:
//!
//! | look | what may be written |
//! |---|---|
//! | `yes or no` | `yes`, `y`, `true`; `no`, `n`, `false`; `yes or no` |
//! | `one of` | a choice by its name or its words; several with `or` between them: `crooked or pulling-out` |
//! | `some of` | all that is there, with commas or `and` between them: `dent, scratch`; `none` |
//! | `measured`, `counted`, `priced` | `0.5`, `0.5 mm`, `0.3 to 0.6 mm`, `at least 0.5 mm`, `at most 2` |
//! | `dated` | `2026-11-20`, `2026-11-01 to 2026-11-30`, `at least` and `at most` a date, `none` |
//! | `written` | any text |
//!
//! Capitals do not matter where no two choices differ by them alone. A number without a unit is in the unit of the
//! column's heading, else in the look's own. `above` and `below` are refused: a range here has its ends in it.
//! Everything else is refused with what is allowed and, where there is one, the nearest thing that may be written.

mod choice;
mod date;
mod entries;
mod format;
mod number;

use std::fmt;

use crate::book::{Look, LookKind};
use crate::number::Number;
use crate::unit::{Currency, Unit};

pub use entries::{entries, look_field, place_suffix};
pub use format::{allowed, format, quantity, range};

/// The most characters a written look holds.
pub const MOST_WRITTEN: usize = 4_000;
/// The most characters anything else that is said of a look may have.
pub const MOST_SAID: usize = 400;
/// The most slips in one value that are mended before an offer is given up.
const MOST_MENDS: usize = 4;

/// What is said of one look. Indices of choices follow the look's own list; for yes-or-no looks 0 is no and 1 is yes.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Saying {
    /// It is one of these choices (one: seen clearly; several: could not tell which).
    OneOf(Vec<usize>),
    /// A `some of` look has exactly these.
    Exactly(Vec<usize>),
    /// A number between these, ends included, base unit. `None` means as far as the look goes.
    Between {
        /// Least.
        low: Option<Number>,
        /// Greatest.
        high: Option<Number>,
        /// A single reading, which widens by the look's reading error; a stated range does not.
        reading: bool,
    },
    /// A date between these day numbers, ends included.
    DateBetween(Option<i64>, Option<i64>),
    /// A dated look has no date.
    NoDate,
    /// Free text.
    Text(String),
    /// Looked, and could not tell.
    CouldNotTell,
    /// It does not apply.
    DoesNotApply,
}

/// Why a piece of text says nothing of a look.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadSaying {
    /// What is wrong with it, without a full stop: `45 mm is outside what this look takes`.
    pub why: String,
    /// What may be written: `0 to 8 mm`, or `straight, crooked or pulling-out`.
    pub allowed: String,
    /// The nearest thing that may be written in its place.
    pub nearest: Option<String>,
}

impl fmt::Display for BadSaying {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; allowed: {}", self.why, self.allowed)?;
        match &self.nearest {
            Some(nearest) => write!(f, "; nearest: {nearest}"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for BadSaying {}

/// What is wrong with a piece of text, before anyone has said what the look allows.
struct Bad {
    why: String,
    nearest: Option<String>,
}

impl Bad {
    fn new(why: impl Into<String>) -> Self {
        Self { why: why.into(), nearest: None }
    }

    fn or(self, nearest: impl Into<String>) -> Self {
        Self { nearest: Some(nearest.into()), ..self }
    }

    fn allowing(self, allowed: String) -> BadSaying {
        BadSaying { why: self.why, allowed, nearest: self.nearest }
    }
}

/// Reads what a record or a worked example says of a look.
///
/// `heading_unit` is the unit that a column's heading names; a value's own unit goes before it. `money` is the
/// rulebook's. Numbers come out in base units. Blank text is refused: that nobody looked is not said by a look.
pub fn parse(look: &Look, text: &str, heading_unit: Option<Unit>, money: Currency) -> Result<Saying, BadSaying> {
    if let Some(unit) = heading_unit {
        check_heading_unit(look, unit, money)?;
    }
    mended(text, |text| read(look, text, heading_unit, money)).map_err(|bad| bad.allowing(allowed(look, money)))
}

/// Reads a text; what a refusal offers instead is itself right. A list may have two slips, and each pass mends one.
fn mended<T>(text: &str, read: impl Fn(&str) -> Result<T, Bad>) -> Result<T, Bad> {
    read(text).map_err(|mut bad| {
        for _ in 0..MOST_MENDS {
            match bad.nearest.as_deref().map(&read) {
                Some(Err(worse)) => bad.nearest = worse.nearest,
                _ => return bad,
            }
        }
        bad.nearest = None;
        bad
    })
}

fn read(look: &Look, text: &str, heading_unit: Option<Unit>, money: Currency) -> Result<Saying, Bad> {
    let text = text.trim();
    let most = if matches!(look.kind, LookKind::Written) { MOST_WRITTEN } else { MOST_SAID };
    // Counting is only worth it where there are more bytes than characters allowed.
    if text.len() > most && text.chars().nth(most).is_some() {
        return Err(Bad::new(format!("it is longer than {most} characters")));
    }
    match text {
        "" => return Err(Bad::new("nothing is written")),
        "?" => return Ok(Saying::CouldNotTell),
        "-" => return Ok(Saying::DoesNotApply),
        _ => {}
    }
    let said = match &look.kind {
        LookKind::YesNo => choice::yes_or_no(text),
        LookKind::OneOf(choices) => choice::one_of(choices, text),
        LookKind::SomeOf(choices) => choice::some_of(choices, text),
        LookKind::Measured { .. } | LookKind::Counted { .. } | LookKind::Priced { .. } => {
            number::parse(&number::Scale::of(look, heading_unit, money), text)
        }
        LookKind::Dated => date::parse(text),
        LookKind::Written => Ok(Saying::Text(text.to_owned())),
    };
    said.map_err(|bad| marks_meant(text).map_or(bad, |(why, mark)| Bad::new(why).or(mark)))
}

/// Whether a column's heading may name that unit for the look.
pub fn check_heading_unit(look: &Look, unit: Unit, money: Currency) -> Result<(), BadSaying> {
    let fits = match (&look.kind, unit) {
        (LookKind::Measured { unit: own, .. }, unit) => own.dimension() == unit.dimension(),
        (LookKind::Priced { .. }, Unit::Money(given)) => given == money,
        _ => false,
    };
    if fits {
        return Ok(());
    }
    let allowed = match &look.kind {
        LookKind::Measured { unit, .. } => unit.dimension().units().to_owned(),
        LookKind::Priced { .. } => money.code().to_owned(),
        _ => "no unit".to_owned(),
    };
    let nearest = match &look.kind {
        LookKind::Measured { unit, .. } => Some(unit.to_string()),
        LookKind::Priced { .. } => Some(money.code().to_owned()),
        _ => None,
    };
    Err(BadSaying { why: format!("the heading's unit {unit} does not fit this look"), allowed, nearest })
}

/// Reads a sum of the rulebook's money that is not a look's, such as `240 USD` or `240`: one sum of nought or more.
pub fn parse_price(text: &str, money: Currency) -> Result<Number, BadSaying> {
    let read = |text: &str| match prices(text, money)? {
        (low, high) if low == high => Ok(low),
        _ => Err(Bad::new("it is a range, where one sum belongs")),
    };
    mended(text, read).map_err(|bad| bad.allowing(format!("a sum such as 240 {money}")))
}

/// Reads one sum or a range of sums that is not a look's, such as `47.50 to 88.50 USD`: least and greatest.
pub fn parse_prices(text: &str, money: Currency) -> Result<(Number, Number), BadSaying> {
    mended(text, |text| prices(text, money)).map_err(|bad| bad.allowing(format!("sums such as 240 {money}, or 40 to 60 {money}")))
}

fn prices(text: &str, money: Currency) -> Result<(Number, Number), Bad> {
    match number::parse(&number::Scale::price(money), short_enough(text)?)? {
        Saying::Between { low: Some(low), high: Some(high), .. } => Ok((low, high)),
        _ => Err(Bad::new("one end of the range is missing")),
    }
}

/// Reads one date that is not a look's, as a day number: `2026-11-20` and nothing else.
pub fn parse_day(text: &str) -> Result<i64, BadSaying> {
    let read = |text: &str| short_enough(text).and_then(date::day);
    mended(text, read).map_err(|bad| bad.allowing("a date such as 2026-11-20".to_owned()))
}

/// Reads one date or a range of dates that is not a look's, as day numbers: first and last.
pub fn parse_days(text: &str) -> Result<(i64, i64), BadSaying> {
    let read = |text: &str| match date::parse(short_enough(text)?)? {
        Saying::DateBetween(Some(first), Some(last)) => Ok((first, last)),
        _ => Err(Bad::new("a date is missing")),
    };
    mended(text, read).map_err(|bad| bad.allowing("a date such as 2026-11-20, or two with `to` between them".to_owned()))
}

fn short_enough(text: &str) -> Result<&str, Bad> {
    let text = text.trim();
    match text.len() {
        0 => Err(Bad::new("nothing is written")),
        length if length > MOST_SAID => Err(Bad::new(format!("it is longer than {MOST_SAID} characters"))),
        _ => Ok(text),
    }
}

/// The mark that was surely meant by common words for "could not tell" and "does not apply".
fn marks_meant(text: &str) -> Option<(&'static str, &'static str)> {
    const COULD_NOT_TELL: [&str; 8] =
        ["unknown", "unsure", "not sure", "don't know", "could not tell", "can't tell", "not told", "??"];
    const DOES_NOT_APPLY: [&str; 8] =
        ["n/a", "na", "n.a.", "not applicable", "does not apply", "\u{2013}", "\u{2014}", "\u{2212}"];
    let among = |words: [&str; 8]| words.iter().any(|word| same_but_capitals(word, text));
    if among(COULD_NOT_TELL) {
        Some(("what could not be told is written ?", "?"))
    } else if among(DOES_NOT_APPLY) {
        Some(("what does not apply is written -", "-"))
    } else {
        None
    }
}

/// Whether two texts differ in capitals at most.
fn same_but_capitals(one: &str, other: &str) -> bool {
    one.eq_ignore_ascii_case(other)
        || (!one.is_ascii() || !other.is_ascii())
            && one.chars().flat_map(char::to_lowercase).eq(other.chars().flat_map(char::to_lowercase))
}

/// A text in a message: at most a few dozen characters of it, on one line.
fn shown(text: &str) -> String {
    let mut characters = text.chars().map(|c| if c.is_control() { ' ' } else { c });
    let start: String = characters.by_ref().take(40).collect();
    if characters.next().is_some() { format!("{start}…") } else { start }
}

/// The same set off from the words round it.
fn quoted(text: &str) -> String {
    if text.starts_with('"') { shown(text) } else { format!("`{}`", shown(text)) }
}

#[cfg(test)]
mod tests;
