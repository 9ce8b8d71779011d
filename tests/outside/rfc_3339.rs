//! Calendar dates, day numbers and months against RFC 3339 (Klyne and Newman, 2002): the days of each month in section
//! 5.7, the day of the week in appendix B, leap years in appendix C.

use purfle_lang::unit::{Duration, format_date, parse_date};

/// Section 5.7: the last day of each month, February in a common year.
const DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Appendix C.
fn leap(year: u32) -> bool {
    year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400))
}

fn days_in(year: u32, month: u32) -> u32 {
    DAYS[month as usize - 1] + u32::from(month == 2 && leap(year))
}

fn written(year: u32, month: u32, day: u32) -> String {
    format!("{year:04}-{month:02}-{day:02}")
}

fn parsed(year: u32, month: u32, day: u32) -> Option<i64> {
    parse_date(&written(year, month, day))
}

/// Appendix B, by Zeller's congruence with the months counted from March: 0 is Sunday.
fn weekday(year: u32, month: u32, day: u32) -> i64 {
    let (mut month, mut year, day) = (i64::from(month) - 2, i64::from(year), i64::from(day));
    if month < 1 {
        month += 12;
        year -= 1;
    }
    let century = year / 100;
    let year = year % 100;
    ((26 * month - 2) / 10 + day + year + year / 4 + century / 4 + 5 * century).rem_euclid(7)
}

#[test]
fn the_days_that_exist_and_no_others() {
    for year in [1900, 1999, 2000, 2023, 2024, 2026, 2096, 2100, 2400] {
        for month in 1..=12 {
            for day in 1..=31 {
                assert_eq!(parsed(year, month, day).is_some(), day <= days_in(year, month), "{}", written(year, month, day));
            }
        }
    }
    for text in ["2026-00-10", "2026-13-10", "2026-11-00", "2026-11-32", "2026-1-1", "26-11-20", "2026/11/20", "2026-11-20T00"] {
        assert_eq!(parse_date(text), None, "{text}");
    }
}

/// Day numbers follow each other without gaps, and 1970-01-01, the first, was a Thursday.
#[test]
fn day_numbers_run_with_the_days_of_the_week() {
    assert_eq!(parsed(1970, 1, 1), Some(0));
    let mut expected = parsed(1895, 1, 1).unwrap();
    for year in 1895..=2105 {
        for month in 1..=12 {
            for day in 1..=days_in(year, month) {
                let number = parsed(year, month, day).unwrap();
                assert_eq!(number, expected, "{}", written(year, month, day));
                assert_eq!((number + 4).rem_euclid(7), weekday(year, month, day), "{}", written(year, month, day));
                assert_eq!(format_date(number), written(year, month, day));
                expected += 1;
            }
        }
    }
}

/// The same day of a later month, or its last day where it has no such day.
#[test]
fn months_go_by_the_calendar() {
    for year in [1999, 2000, 2023, 2024, 2099, 2100] {
        for month in 1..=12 {
            for day in [1, 15, 28, 29, 30, 31] {
                let Some(start) = parsed(year, month, day) else { continue };
                for months in [0, 1, 2, 3, 6, 11, 12, 13, 18, 24, 120] {
                    let at = month - 1 + months;
                    let (later_year, later_month) = (year + at / 12, at % 12 + 1);
                    let later = written(later_year, later_month, day.min(days_in(later_year, later_month)));
                    let came = Duration::Months(months).after(start).map(format_date);
                    assert_eq!(came, Some(later), "{} and {months} months", written(year, month, day));
                }
            }
        }
    }
}

#[test]
fn days_and_weeks_are_counted() {
    let start = parsed(2024, 2, 28).unwrap();
    for (days, later) in [(0, "2024-02-28"), (1, "2024-02-29"), (2, "2024-03-01"), (7, "2024-03-06"), (366, "2025-02-28")] {
        assert_eq!(Duration::Days(days).after(start).map(format_date).as_deref(), Some(later), "{days} days");
    }
}

/// The last date that section 5.6 can write has nothing after it.
#[test]
fn nothing_comes_after_the_year_9999() {
    let last = parsed(9999, 12, 31).unwrap();
    assert_eq!(Duration::Days(0).after(last), Some(last));
    assert_eq!(Duration::Days(1).after(last), None);
    assert_eq!(Duration::Months(1).after(last), None);
    assert_eq!(Duration::Days(u32::MAX).after(0), None);
    assert_eq!(Duration::Months(u32::MAX).after(0), None);
    assert_eq!(Duration::Days(1).after(i64::MAX), None);
    assert_eq!(Duration::Days(1).after(i64::MIN), None);
}
