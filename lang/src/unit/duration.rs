//! Durations: a number of days, or a number of calendar months; never a mixture.

use std::fmt;

use jiff::Span;
use jiff::civil::Date;

/// How long, as the ladders and findings say it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Duration {
    /// Whole days (`days`, `weeks`).
    Days(u32),
    /// Whole months on the calendar (`months`, `years`).
    Months(u32),
}

impl Duration {
    /// The day that lies this long after `day` (a day number since 1970-01-01). Months go by the calendar: the
    /// month's last day where there is no such day. None past the year 9999.
    pub fn after(self, day: i64) -> Option<i64> {
        let date = date_of(day)?;
        let span = match self {
            Duration::Days(days) => Span::new().try_days(days),
            Duration::Months(months) => Span::new().try_months(months),
        };
        date.checked_add(span.ok()?).ok().map(day_of)
    }
}

impl fmt::Display for Duration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (count, unit) = match *self {
            Duration::Days(days) if days >= 14 && days % 7 == 0 => (days / 7, "week"),
            Duration::Days(days) => (days, "day"),
            Duration::Months(months) if months >= 12 && months % 12 == 0 => (months / 12, "year"),
            Duration::Months(months) => (months, "month"),
        };
        write!(f, "{count} {unit}{}", if count == 1 { "" } else { "s" })
    }
}

/// The first day of the calendar used here; day numbers count from it.
const EPOCH: Date = jiff::civil::date(1970, 1, 1);

/// The day number of a date: days since 1970-01-01.
pub fn day_of(date: Date) -> i64 {
    date.duration_since(EPOCH).as_secs() / 86_400
}

/// The date of a day number; none outside the years -9999 to 9999.
pub fn date_of(day: i64) -> Option<Date> {
    EPOCH.checked_add(Span::new().try_days(day).ok()?).ok()
}

/// Reads an ISO 8601 calendar date, `2026-11-20`; none if there is no such day.
pub fn parse_date(text: &str) -> Option<i64> {
    let (year, month, day) = year_month_day(text)?;
    Date::new(year, month, day).ok().map(day_of)
}

/// The last day of the month that text written year-month-day names, for when there is no such day; none if there is no
/// such month either.
pub fn last_of_its_month(text: &str) -> Option<Date> {
    let (year, month, _) = year_month_day(text)?;
    Date::new(year, month, 1).ok().map(Date::last_of_month)
}

fn year_month_day(text: &str) -> Option<(i16, i8, i8)> {
    let bytes = text.as_bytes();
    let digits = |range: std::ops::Range<usize>| bytes.get(range).is_some_and(|part| part.iter().all(u8::is_ascii_digit));
    if bytes.len() != 10 || bytes[4] != b'-' || bytes[7] != b'-' || !digits(0..4) || !digits(5..7) || !digits(8..10) {
        return None;
    }
    let number = |range: std::ops::Range<usize>| text[range].parse::<i16>().ok();
    Some((number(0..4)?, i8::try_from(number(5..7)?).ok()?, i8::try_from(number(8..10)?).ok()?))
}

/// Writes a day number as `2026-11-20`.
pub fn format_date(day: i64) -> String {
    date_of(day).map_or_else(|| format!("day {day}"), |date| date.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn months_end_on_the_last_day_there_is() {
        let after = |day: &str, duration: Duration| parse_date(day).and_then(|d| duration.after(d)).map(format_date);
        assert_eq!(after("2026-01-31", Duration::Months(1)).as_deref(), Some("2026-02-28"));
        assert_eq!(after("2024-01-31", Duration::Months(1)).as_deref(), Some("2024-02-29"));
        assert_eq!(after("2026-11-20", Duration::Days(30)).as_deref(), Some("2026-12-20"));
        assert_eq!(parse_date("2026-02-29"), None);
    }
}
