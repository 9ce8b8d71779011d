//! Tests of what may be said of a look.

use super::*;
use crate::book::{Choice, PartId};
use crate::number::parse_decimal;

fn look(kind: LookKind) -> Look {
    Look::plain("look", PartId(0), "", kind)
}

fn choices(written: &[(&str, &str)]) -> Vec<Choice> {
    written.iter().map(|(name, words)| Choice { name: (*name).to_owned(), words: (*words).to_owned() }).collect()
}

fn number(text: &str) -> Number {
    parse_decimal(text).unwrap()
}

fn usd() -> Currency {
    Currency::parse("USD").unwrap()
}

fn sits() -> Look {
    look(LookKind::OneOf(choices(&[
        ("straight", "straight"),
        ("crooked", "crooked"),
        ("pulling-out", "Pulling out, or loose in its hole"),
    ])))
}

fn size() -> Look {
    look(LookKind::OneOf(choices(&[("4/4", "4/4"), ("3/4", "3/4"), ("1/2", "Half")])))
}

fn marks() -> Look {
    look(LookKind::SomeOf(choices(&[("dent", "dent"), ("scratch", "scratch"), ("wear", "Worn varnish")])))
}

fn gap() -> Look {
    let give_or_take = Some(number("0.2"));
    look(LookKind::Measured { unit: Unit::Mm, from: number("0"), to: number("8"), give_or_take })
}

fn air() -> Look {
    look(LookKind::Measured { unit: Unit::DegF, from: number("-10"), to: number("40"), give_or_take: None })
}

fn humidity() -> Look {
    look(LookKind::Measured { unit: Unit::Percent, from: number("0"), to: number("100"), give_or_take: Some(number("3")) })
}

fn turns() -> Look {
    look(LookKind::Counted { from: 0, to: 6 })
}

fn value() -> Look {
    look(LookKind::Priced { from: number("0"), to: number("5000") })
}

fn dated() -> Look {
    look(LookKind::Dated)
}

fn said(look: &Look, text: &str) -> Saying {
    parse(look, text, None, usd()).unwrap_or_else(|bad| panic!("{text}: {bad}"))
}

fn between(low: &str, high: &str, reading: bool) -> Saying {
    let end = |text: &str| if text.is_empty() { None } else { Some(number(text)) };
    Saying::Between { low: end(low), high: end(high), reading }
}

fn days(low: &str, high: &str) -> Saying {
    let end = |text: &str| if text.is_empty() { None } else { Some(parse_day(text).unwrap()) };
    Saying::DateBetween(end(low), end(high))
}

#[test]
fn choices_by_name_or_words() {
    for (text, indices) in [
        ("crooked", vec![1]),
        (" Crooked ", vec![1]),
        ("pulling-out", vec![2]),
        ("Pulling out, or loose in its hole", vec![2]),
        ("straight or crooked", vec![0, 1]),
        ("\"crooked\" or straight", vec![0, 1]),
        ("straight, crooked or pulling-out", vec![0, 1, 2]),
        ("pulling out, or loose in its hole or straight", vec![0, 2]),
        ("straight, or crooked", vec![0, 1]),
    ] {
        assert_eq!(said(&sits(), text), Saying::OneOf(indices), "{text}");
    }
    assert_eq!(said(&size(), "half"), Saying::OneOf(vec![2]));
    assert_eq!(said(&sits(), "?"), Saying::CouldNotTell);
    assert_eq!(said(&sits(), "-"), Saying::DoesNotApply);
}

#[test]
fn capitals_count_where_choices_differ_by_them() {
    let pegs = look(LookKind::OneOf(choices(&[("a", "low"), ("A", "high"), ("b", "b")])));
    assert_eq!(said(&pegs, "A"), Saying::OneOf(vec![1]));
    assert_eq!(said(&pegs, "a"), Saying::OneOf(vec![0]));
    assert_eq!(said(&pegs, "B"), Saying::OneOf(vec![2]));
}

#[test]
fn several_choices_are_listed() {
    for (text, indices) in [
        ("dent", vec![0]),
        ("scratch, dent", vec![0, 1]),
        ("dent, scratch and worn varnish", vec![0, 1, 2]),
        ("dent, dent", vec![0]),
        ("none", vec![]),
    ] {
        assert_eq!(said(&marks(), text), Saying::Exactly(indices), "{text}");
    }
}

#[test]
fn yes_and_no() {
    let slips = look(LookKind::YesNo);
    for text in ["yes", "Y", "TRUE"] {
        assert_eq!(said(&slips, text), Saying::OneOf(vec![1]), "{text}");
    }
    for text in ["no", "N", "false"] {
        assert_eq!(said(&slips, text), Saying::OneOf(vec![0]), "{text}");
    }
    assert_eq!(said(&slips, "yes or no"), Saying::OneOf(vec![0, 1]));
}

#[test]
fn numbers_and_ranges() {
    for (text, saying) in [
        ("0.5", between("0.5", "0.5", true)),
        ("0.5mm", between("0.5", "0.5", true)),
        ("0.5 MM", between("0.5", "0.5", true)),
        ("0.25 inch", between("6.35", "6.35", true)),
        ("0.3 to 0.6 mm", between("0.3", "0.6", false)),
        ("from 0.3 cm to 6 mm", between("3", "6", false)),
        ("0.1 to 0.2 inch", between("2.54", "5.08", false)),
        ("3 to 3", between("3", "3", false)),
        ("at least 0.5 mm", between("0.5", "", false)),
        ("At Most 2", between("", "2", false)),
    ] {
        assert_eq!(said(&gap(), text), saying, "{text}");
    }
    assert_eq!(said(&air(), "68"), between("20", "20", false));
    assert_eq!(said(&air(), "20 degC"), between("20", "20", false));
    assert_eq!(said(&humidity(), "45%"), between("45", "45", true));
    assert_eq!(said(&turns(), "3.0"), between("3", "3", false));
    assert_eq!(said(&turns(), "at least 2"), between("2", "", false));
    assert_eq!(said(&value(), "240 USD"), between("240", "240", false));
    assert_eq!(said(&value(), "200 to 240.50"), between("200", "240.5", false));
}

#[test]
fn own_unit_then_heading_then_look() {
    let read = |text: &str| parse(&gap(), text, Unit::parse("in"), usd());
    assert_eq!(read("0.1"), Ok(between("2.54", "2.54", true)));
    assert_eq!(read("1 mm"), Ok(between("1", "1", true)));
    assert_eq!(read("1 to 2 mm"), Ok(between("1", "2", false)));
    let bad = parse(&gap(), "1", Some(Unit::Deg), usd()).unwrap_err();
    assert_eq!((bad.allowed.as_str(), bad.nearest.as_deref()), ("mm, cm, m or inch", Some("mm")));
    assert!(parse(&value(), "1", Some(Unit::Money(usd())), usd()).is_ok());
    assert!(parse(&turns(), "1", Some(Unit::Mm), usd()).is_err());
}

#[test]
fn dates() {
    assert_eq!(said(&dated(), "2026-11-20"), days("2026-11-20", "2026-11-20"));
    assert_eq!(said(&dated(), "2026-11-01 to 2026-11-20"), days("2026-11-01", "2026-11-20"));
    assert_eq!(said(&dated(), "at most 2026-11-20"), days("", "2026-11-20"));
    assert_eq!(said(&dated(), "none"), Saying::NoDate);
}

#[test]
fn written_is_kept() {
    let note = look(LookKind::Written);
    assert_eq!(said(&note, " came in a wet case; n/a "), Saying::Text("came in a wet case; n/a".to_owned()));
    assert!(parse(&note, &"é".repeat(MOST_WRITTEN), None, usd()).is_ok());
    assert!(parse(&note, &"é".repeat(MOST_WRITTEN + 1), None, usd()).is_err());
}

/// Each refusal names the matter and, where there is one, the nearest thing that may be written.
#[test]
fn refusals() {
    let yes_no = look(LookKind::YesNo);
    for (look, text, why, nearest) in [
        (sits(), "crookd", "`crookd` is not one of its choices", Some("crooked")),
        (sits(), "pulling out", "`pulling out` is not one", Some("pulling-out")),
        (sits(), "crookd or strait", "`crookd` is not one", Some("crooked or straight")),
        (sits(), "straight, crooked", "joined by `or`", Some("straight or crooked")),
        (sits(), "straight or ", "`straight or` is not one", Some("straight")),
        (sits(), "straight or or crooked", "choice is missing", None),
        (sits(), "n/a", "does not apply is written -", Some("-")),
        (sits(), "Not sure", "could not be told is written ?", Some("?")),
        (sits(), "", "nothing is written", None),
        (size(), "03-Apr", "looks like a date", Some("3/4")),
        (size(), "2026-04-03", "looks like a date", Some("3/4")),
        (size(), "2026-03-04 00:00:00", "looks like a date", Some("3/4")),
        (size(), "4-Mar", "looks like a date", Some("3/4")),
        (size(), "4-Mar-26", "looks like a date", Some("3/4")),
        (size(), "46115", "looks like a date", Some("3/4")),
        (size(), "9-Mar", "looks like a date", None),
        (marks(), "dent or scratch", "`or` says nothing here", Some("?")),
        (marks(), "dents, scratch", "`dents` is not one", Some("dent, scratch")),
        (yes_no.clone(), "yess", "neither yes nor no", Some("yes")),
        (yes_no.clone(), "1", "neither yes nor no", Some("yes")),
        (yes_no, "maybe", "neither yes nor no", None),
        (gap(), "45 mm", "45 mm is outside", None),
        (gap(), "6 to 9 mm", "9 mm is outside", None),
        (gap(), "at least 9", "9 mm is outside", None),
        (gap(), "-0.1", "-0.1 mm is outside", None),
        (gap(), "0,35", "with a point", Some("0.35")),
        (gap(), "1,5 mm", "with a point", Some("1.5 mm")),
        (gap(), "at least 1,5 mm", "with a point", Some("at least 1.5 mm")),
        (gap(), "1,5 to 2", "with a point", Some("1.5 to 2")),
        (gap(), "1,234", "may mean 1234 or 1.234", None),
        (value(), "1,234.50", "without commas", Some("1234.50")),
        (value(), "1.234,50", "without commas", Some("1234.50")),
        (value(), "1 200 USD", "no gaps", Some("1200 USD")),
        (gap(), "6 to 3", "greater end comes first", Some("3 to 6")),
        (gap(), "6 to 3 mm", "greater end comes first", Some("3 mm to 6 mm")),
        (gap(), "3-4 mm", "written with `to`", Some("3 to 4 mm")),
        (gap(), "3 - 4 mm", "written with `to`", Some("3 to 4 mm")),
        (gap(), "3\u{2013}4", "written with `to`", Some("3 to 4")),
        (gap(), "3 deg", "3 deg is an angle, and this look takes a length in mm, cm, m or inch", None),
        (gap(), "3 USD", "3 USD is money", None),
        (gap(), "0.25\"", "\" is not a unit", Some("0.25 inch")),
        (gap(), "3 mn", "mn is not a unit", Some("3 mm")),
        (gap(), "1/4 inch", "fraction", Some("0.25 inch")),
        (gap(), "1 1/2", "fraction", Some("1.5")),
        (gap(), "5e0", "power of ten", Some("5")),
        (gap(), "1.5e-1 mm", "power of ten", Some("0.15 mm")),
        (gap(), "1/3", "fraction", None),
        (gap(), "1/0", "fraction", None),
        (gap(), "above 0.5 mm", "written `at least`", Some("at least 0.5 mm")),
        (gap(), "<=2", "written `at most`", Some("at most 2")),
        (gap(), "2 or 3", "as a range", Some("2 to 3")),
        (gap(), ".5", "not a number", Some("0.5")),
        (gap(), "+3", "without a sign", Some("3")),
        (gap(), "4-Mar", "looks like a date", None),
        (gap(), "wide", "`wide` is not a number", None),
        (gap(), "at least", "a number is missing", None),
        (gap(), "123456789012345678901234567890", "too many digits", None),
        (gap(), "99999999999999999999 m", "outside", None),
        (air(), "70 \u{b0}F", "is not a unit", Some("70 degF")),
        (turns(), "2.5", "2.5 is not a whole number", None),
        (turns(), "3 mm", "a count has no unit", Some("3")),
        (turns(), "three", "`three` is not a number", None),
        (turns(), "none", "written 0", Some("0")),
        (value(), "12 EUR", "EUR is not the rulebook's money", None),
        (value(), "$12", "stands after the sum", Some("12 USD")),
        (value(), "USD 12", "stands after the sum", Some("12 USD")),
        (value(), "12.345", "USD has 2 decimal places", None),
        (value(), "1.200", "nothing parts thousands", None),
        (value(), "1'200 USD", "no gaps", Some("1200 USD")),
        (dated(), "20/11/2026", "year-month-day", Some("2026-11-20")),
        (dated(), "11/20/2026", "year-month-day", Some("2026-11-20")),
        (dated(), "05/11/2026", "may be", None),
        (dated(), "20 Nov 2026", "year-month-day", Some("2026-11-20")),
        (dated(), "Nov 20, 2026", "year-month-day", Some("2026-11-20")),
        (dated(), "2026-11-20T10:30:00Z", "year-month-day", Some("2026-11-20")),
        (dated(), "2026-1-5", "year-month-day", Some("2026-01-05")),
        (dated(), "2026-02-30", "there is no day 2026-02-30", Some("2026-02-28")),
        (dated(), "2026-13-30", "there is no day 2026-13-30", None),
        (dated(), "2019", "not one day", Some("2019-01-01 to 2019-12-31")),
        (dated(), "2024-02", "not one day", Some("2024-02-01 to 2024-02-29")),
        (dated(), "46346", "spreadsheet's number", Some("2026-11-20")),
        (dated(), "03-Apr", "no year", None),
        (dated(), "2026-11-20 to 2026-11-01", "later date comes first", Some("2026-11-01 to 2026-11-20")),
        (dated(), "soon", "year-month-day", None),
    ] {
        let bad = parse(&look, text, None, usd()).expect_err(text);
        assert!(bad.why.contains(why), "{text}: {}", bad.why);
        assert_eq!(bad.nearest.as_deref(), nearest, "{text}: {}", bad.why);
        assert!(!bad.allowed.is_empty(), "{text}");
        if let Some(nearest) = nearest {
            assert!(parse(&look, nearest, None, usd()).is_ok(), "{text}: {nearest}");
        }
    }
}

#[test]
fn allowed_in_a_few_words() {
    for (look, words) in [
        (sits(), "straight, crooked or pulling-out"),
        (marks(), "any of dent, scratch and wear, or none"),
        (gap(), "0 to 8 mm"),
        (air(), "14 to 104 degF"),
        (turns(), "a whole number from 0 to 6"),
        (value(), "0 to 5000 USD"),
        (dated(), "a date such as 2026-11-20, or none"),
    ] {
        assert_eq!(allowed(&look, usd()), words);
    }
}

#[test]
fn what_is_written_reads_the_same() {
    let third = Some(Number::new(1, 3));
    assert_eq!(format(&gap(), &Saying::Between { low: third, high: None, reading: false }, usd()), "at least 0.333333 mm");
    for (look, text, written) in [
        (sits(), "pulling-out or straight", "straight or pulling-out"),
        (marks(), "wear, dent", "dent, wear"),
        (marks(), "none", "none"),
        (look(LookKind::YesNo), "y", "yes"),
        (look(LookKind::YesNo), "yes or no", "no or yes"),
        (gap(), "0.1 inch", "2.54 mm"),
        (gap(), "3 to 3", "3 to 3 mm"),
        (gap(), "at most 2", "at most 2 mm"),
        (air(), "20", "20 degF"),
        (air(), "20.3 degC", "68.54 degF"),
        (turns(), "2 to 4", "2 to 4"),
        (value(), "12.5", "12.5 USD"),
        (dated(), "at least 2026-01-01", "at least 2026-01-01"),
        (dated(), "2026-01-01 to 2026-01-02", "2026-01-01 to 2026-01-02"),
        (gap(), "?", "?"),
        (gap(), "-", "-"),
    ] {
        let saying = said(&look, text);
        assert_eq!(format(&look, &saying, usd()), written);
        assert_eq!(said(&look, written), saying, "{text}");
    }
}

/// A look in inches whose value was written in millimetres has no finite decimal in its own unit.
#[test]
fn another_unit_where_the_own_has_no_finite_decimal() {
    let neck = look(LookKind::Measured { unit: Unit::Inch, from: number("0"), to: number("254"), give_or_take: None });
    let saying = said(&neck, "1 mm");
    assert_eq!(format(&neck, &saying, usd()), "1 mm");
}

#[test]
fn prices_and_days_that_are_no_looks() {
    assert_eq!(parse_price("240 USD", usd()), Ok(number("240")));
    assert_eq!(parse_price("240.5", usd()), Ok(number("240.5")));
    assert!(parse_price("240 to 250", usd()).is_err());
    assert!(parse_price("at least 250", usd()).is_err());
    assert!(parse_price("-5", usd()).is_err());
    assert_eq!(parse_price("1,200.00", usd()).unwrap_err().nearest.as_deref(), Some("1200.00"));
    assert_eq!(parse_day("1970-01-02"), Ok(1));
    assert!(parse_day("none").is_err());
}
