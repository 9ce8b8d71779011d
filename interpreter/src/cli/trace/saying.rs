//! Values in words: what a look shows, could show and would have to show, and how far that is.

use purfle_lang::book::{Book, LookId, LookKind};
use purfle_lang::number::{Number, format_decimal};
use purfle_lang::saying::{self, Saying};
use purfle_lang::unit::format_date;
use purfle_lang::wording::reading_error;

use crate::report::{money_range, shown};
use crate::trace::{Distance, End, Stretch};

/// A saying as a record writes it, safe to print.
pub fn value(book: &Book, look: LookId, said: &Saying) -> String {
    match said {
        Saying::DoesNotApply => "it does not apply".to_owned(),
        said => shown(&saying::format(&book[look], said, book.money)).into_owned(),
    }
}

/// A number or day of a look.
pub fn number(book: &Book, look: LookId, at: Number) -> String {
    match &book[look].kind {
        LookKind::Dated => i64::try_from(at.to_integer()).map(format_date).unwrap_or_default(),
        _ => value(book, look, &Saying::Between { low: Some(at), high: Some(at), reading: true }),
    }
}

/// From one number or day of a look to another.
pub fn range(book: &Book, look: LookId, (low, high): (Number, Number)) -> String {
    if low == high {
        return number(book, look, low);
    }
    match &book[look].kind {
        LookKind::Dated => format!("{} to {}", number(book, look, low), number(book, look, high)),
        _ => value(book, look, &Saying::Between { low: Some(low), high: Some(high), reading: false }),
    }
}

/// A stretch in words: `at most 0.2 mm`, `above 2 mm and below 3 mm`.
pub fn stretch(book: &Book, look: LookId, stretch: Stretch) -> String {
    let number = |end: End| number(book, look, end.at);
    let low = stretch.low.map(|end| format!("{} {}", if end.included { "at least" } else { "above" }, number(end)));
    let high = stretch.high.map(|end| format!("{} {}", if end.included { "at most" } else { "below" }, number(end)));
    match (stretch.low, stretch.high, low, high) {
        (Some(low), Some(high), ..) if low == high && low.included => number(low),
        (Some(low), Some(high), ..) if low.included && high.included => range(book, look, (low.at, high.at)),
        (_, _, Some(low), Some(high)) => format!("{low} and {high}"),
        (_, _, Some(one), None) | (_, _, None, Some(one)) => one,
        (_, _, None, None) => "anything it can".to_owned(),
    }
}

/// How far a stretch is from what was written down: `0.3 mm less`.
pub fn distance(book: &Book, look: LookId, distance: Distance) -> String {
    let by = match &book[look].kind {
        LookKind::Measured { unit, .. } => reading_error(distance.by, *unit),
        LookKind::Priced { .. } => money_range(book, distance.by, distance.by),
        LookKind::Dated => match distance.by == Number::from_integer(1) {
            true => "1 day".to_owned(),
            false => format!("{} days", format_decimal(distance.by)),
        },
        _ => format_decimal(distance.by),
    };
    let way = match (&book[look].kind, distance.more) {
        (LookKind::Dated, true) => "later",
        (LookKind::Dated, false) => "earlier",
        (_, true) => "more",
        (_, false) => "less",
    };
    match (distance.by == Number::from_integer(0), distance.beyond) {
        (true, _) => format!("ever so little {way}"),
        (false, true) => format!("over {by} {way}"),
        (false, false) => format!("{by} {way}"),
    }
}
