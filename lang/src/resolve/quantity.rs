//! Written quantities turned into base units, and durations into whole days or whole months.

use super::names::Sink;
use super::scope::Scope;
use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::number::{MOST_DIGITS, Number, format_decimal, parse_decimal};
use crate::span::{Span, Spanned};
use crate::syntax::tree::Quantity;
use crate::unit::{Currency, Dimension, Duration, Unit};

/// A written number with its unit; none after saying what cannot be read.
pub fn read(scope: &Scope, written: &Quantity) -> Option<(Number, Unit)> {
    let number = read_number(scope.sink, &written.number);
    let unit = match &written.unit {
        None => Some(Unit::None),
        Some(unit) => read_unit(scope, unit),
    };
    Some((number?, unit?))
}

/// A written number.
pub fn read_number(sink: &Sink, written: &Spanned<String>) -> Option<Number> {
    // The grammar lets only digits and one point through, so what is wrong can only be that there are too many.
    let number = parse_decimal(&written.value).ok();
    if number.is_none() {
        let says = format!("A number has {MOST_DIGITS} digits at most.");
        sink.push(Diagnostic::error("too-large", written.span, says).help("Write fewer digits."));
    }
    number
}

/// Spellings of units that others use, and the one that is meant.
const MEANT: [(&str, &str); 44] = [
    ("tag", "days"),
    ("tage", "days"),
    ("woche", "weeks"),
    ("wochen", "weeks"),
    ("monat", "months"),
    ("monate", "months"),
    ("jahre", "years"),
    ("stunde", "h"),
    ("stunden", "h"),
    ("minuten", "min"),
    ("zoll", "inch"),
    ("prozent", "%"),
    ("jours", "days"),
    ("semaines", "weeks"),
    ("mois", "months"),
    ("heure", "h"),
    ("heures", "h"),
    ("pouces", "inch"),
    ("celsius", "degC"),
    ("c", "degC"),
    ("fahrenheit", "degF"),
    ("f", "degF"),
    ("millimeter", "mm"),
    ("millimeters", "mm"),
    ("millimetre", "mm"),
    ("millimetres", "mm"),
    ("centimeter", "cm"),
    ("centimeters", "cm"),
    ("centimetre", "cm"),
    ("centimetres", "cm"),
    ("meter", "m"),
    ("metre", "m"),
    ("inches", "inch"),
    ("degree", "deg"),
    ("degrees", "deg"),
    ("percent", "%"),
    ("minute", "min"),
    ("minutes", "min"),
    ("mins", "min"),
    ("hour", "h"),
    ("hours", "h"),
    ("hr", "h"),
    ("hrs", "h"),
    ("wk", "weeks"),
];

/// What people call their money, and the codes of the moneys that are called so.
const COINS: [(&str, &[&str]); 5] = [
    ("dollar", &["USD", "CAD", "AUD", "NZD"]),
    ("buck", &["USD", "CAD", "AUD"]),
    ("euro", &["EUR"]),
    ("pound", &["GBP"]),
    ("franc", &["CHF"]),
];

/// A written unit.
pub fn read_unit(scope: &Scope, written: &Spanned<String>) -> Option<Unit> {
    let unit = Unit::parse(&written.value);
    if unit.is_none() {
        let money = scope.money.map(Currency::code);
        let meant = MEANT.iter().find(|(word, _)| *word == written.value.to_lowercase()).map(|(_, unit)| *unit);
        let coin = written.value.to_lowercase();
        let coin = COINS.iter().find(|(word, _)| *word == coin.trim_end_matches('s'));
        let meant = meant.or_else(|| money.filter(|code| coin.is_some_and(|(_, codes)| codes.contains(code))));
        let near = meant.or_else(|| nearest(&written.value, Unit::SPELLINGS.iter().map(|(spelling, _)| *spelling).chain(money)));
        let money = money.unwrap_or("the rulebook's money");
        let all = format!("mm, cm, m, inch, deg, degC, degF, %, min, h, days, weeks, months, years or {money}");
        let diagnostic = Diagnostic::error("unknown-unit", written.span, format!("No unit is called `{}`.", written.value))
            .label("not a unit");
        // One unit for another changes every figure, so none is put in unasked.
        scope.sink.push(match near {
            Some(near) => diagnostic.help(format!("Write `{near}`, or another of {all}.")).fix(
                format!("Write `{near}`"),
                false,
                written.span,
                near,
            ),
            None => diagnostic.help(format!("Write {all}.")),
        });
    }
    unit
}

/// A written duration.
pub fn read_duration(scope: &Scope, written: &Quantity) -> Option<Duration> {
    let (number, unit) = read(scope, written)?;
    scope.sink.keep(duration(number, unit, written.span()))
}

/// A written number with its unit in base units; an error where it is money of another currency or too large.
pub fn to_base(number: Number, unit: Unit, span: Span, money: Option<Currency>) -> Result<Number, Diagnostic> {
    if let (Unit::Money(written), Some(own)) = (unit, money)
        && written != own
    {
        let text = format!("{} {own}", format_decimal(number));
        return Err(Diagnostic::error(
            "other-money",
            span,
            format!("All money of this rulebook is in {own}, and here stands {written}."),
        )
        .label(format!("{written}"))
        .help(format!("Write the sum in {own}."))
        .fix(format!("Write {text}, if the figure is right"), false, span, text));
    }
    unit.to_base(number).ok_or_else(|| too_large(span))
}

/// A number that 128 bits cannot hold exactly.
pub fn too_large(span: Span) -> Diagnostic {
    Diagnostic::error("too-large", span, "This number is too large to be reckoned with exactly.").help("Write a smaller number.")
}

/// The longest duration that may be written, in days or in months: ten thousand years reach past every calendar.
const LONGEST: i128 = 400_000;

/// A written duration as whole days or whole months.
pub fn duration(number: Number, unit: Unit, span: Span) -> Result<Duration, Diagnostic> {
    let days = match unit.dimension() {
        Dimension::TIME => true,
        Dimension::MONTHS => false,
        Dimension::NUMBER => {
            let text = format!("{} days", format_decimal(number));
            return Err(Diagnostic::error(
                "unit-missing",
                span,
                format!("{} has no unit, and a duration stands here.", format_decimal(number)),
            )
            .label("no unit")
            .help("Write it in days, weeks, months or years, such as `30 days`.")
            .fix(format!("Write `{text}`"), false, span, text));
        }
        other => {
            return Err(Diagnostic::error("unit-mismatch", span, format!("A duration stands here, and {other} was written."))
                .label(other.to_string())
                .help("Write it in days, weeks, months or years, such as `30 days`."));
        }
    };
    let per = if days { Number::from_integer(24 * 60) } else { Number::from_integer(1) };
    let whole = unit.to_base(number).ok_or_else(|| too_large(span))? / per;
    let name = if days { "days" } else { "months" };
    if !whole.is_integer() {
        return Err(Diagnostic::error("not-whole", span, format!("A duration is a whole number of {name}."))
            .label(format!("{} {name}", format_decimal(whole)))
            .help(format!("Write a whole number of {name}.")));
    }
    let whole = whole.to_integer();
    if whole <= 0 || whole > LONGEST {
        let why = if whole <= 0 { "is longer than nothing" } else { "ends before the calendar does" };
        return Err(Diagnostic::error("outside-range", span, format!("A duration {why}."))
            .help(format!("Write from 1 to {LONGEST} {name}.")));
    }
    let whole = u32::try_from(whole).map_err(|_| too_large(span))?;
    Ok(if days { Duration::Days(whole) } else { Duration::Months(whole) })
}

/// Whether `graver` can end later than `milder`, counted from some day of the calendar.
pub fn can_be_slower(graver: Duration, milder: Duration) -> bool {
    match (graver, milder) {
        (Duration::Days(graver), Duration::Days(milder)) | (Duration::Months(graver), Duration::Months(milder)) => {
            graver > milder
        }
        _ => days_that_matter().any(|day| match (graver.after(day), milder.after(day)) {
            (Some(graver), Some(milder)) => graver > milder,
            _ => false,
        }),
    }
}

/// The days from which months are longest or shortest: the first and the last three of each month, for nine years
/// round 1900, which was no leap year, and nine with leap years on time. From the days between months are as long as
/// from the first.
fn days_that_matter() -> impl Iterator<Item = i64> {
    let month = |first: i64, count: u32| if count == 0 { Some(first) } else { Duration::Months(count).after(first) };
    let months = CALENDARS.iter().flat_map(|&first| (0..9 * 12).map(move |count| (first, count)));
    months.flat_map(move |(first, count)| {
        let next = month(first, count + 1);
        month(first, count).into_iter().chain(next.into_iter().flat_map(|next| next - 3..next))
    })
}

/// The first days of stretches of the calendar with and without leap years: 1896-01-01 and 1996-01-01.
const CALENDARS: [i64; 2] = [-27_028, 9_496];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::parse_date;

    fn read(number: (i128, i128), unit: Unit) -> Result<Duration, &'static str> {
        duration(Number::new(number.0, number.1), unit, Span::default()).map_err(|diagnostic| diagnostic.slug)
    }

    #[test]
    fn durations_are_whole() {
        assert_eq!(read((2, 1), Unit::Weeks), Ok(Duration::Days(14)));
        assert_eq!(read((48, 1), Unit::H), Ok(Duration::Days(2)));
        assert_eq!(read((1, 2), Unit::Years), Ok(Duration::Months(6)));
        assert_eq!(read((3, 2), Unit::Days), Err("not-whole"));
        assert_eq!(read((0, 1), Unit::Days), Err("outside-range"));
        assert_eq!(read((3, 1), Unit::Mm), Err("unit-mismatch"));
    }

    #[test]
    fn months_and_days_are_laid_against_the_calendar() {
        assert_eq!(parse_date("1896-01-01"), Some(CALENDARS[0]));
        assert_eq!(parse_date("1996-01-01"), Some(CALENDARS[1]));
        assert!(can_be_slower(Duration::Days(30), Duration::Months(1)));
        assert!(!can_be_slower(Duration::Days(28), Duration::Months(1)));
        assert!(can_be_slower(Duration::Months(1), Duration::Days(30)));
        assert!(!can_be_slower(Duration::Months(1), Duration::Days(31)));
        assert!(can_be_slower(Duration::Months(12), Duration::Days(365)));
        assert!(!can_be_slower(Duration::Days(30), Duration::Days(30)));
    }

    #[test]
    fn the_days_that_matter_are_enough() {
        for months in [1, 2, 3, 6, 11, 12, 13, 24, 49] {
            let from_every_day = CALENDARS.iter().flat_map(|&first| first..first + 9 * 366);
            let lengths: Vec<i64> =
                from_every_day.map(|day| Duration::Months(months).after(day).expect("in the calendar") - day).collect();
            let (shortest, longest) = (*lengths.iter().min().expect("days"), *lengths.iter().max().expect("days"));
            for days in shortest - 2..=longest + 2 {
                let length = Duration::Days(u32::try_from(days).expect("above nought"));
                let months = Duration::Months(months);
                assert_eq!(can_be_slower(months, length), longest > days, "{months} and {length}");
                assert_eq!(can_be_slower(length, months), days > shortest, "{months} and {length}");
            }
        }
    }

    #[test]
    fn foreign_money_is_refused() {
        let (usd, eur) = (Currency::parse("USD"), Currency::parse("EUR"));
        let unit = eur.map_or(Unit::None, Unit::Money);
        let result = to_base(Number::from_integer(5), unit, Span::default(), usd);
        assert_eq!(result.map_err(|diagnostic| diagnostic.slug), Err("other-money"));
    }
}
