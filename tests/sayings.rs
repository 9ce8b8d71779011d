//! Any text for any look: an answer or a refusal that helps, never a crash, and what is read can be written and read again.

use proptest::prelude::*;
use purfle_lang::book::{Choice, Look, LookKind, PartId};
use purfle_lang::number::{Number, parse_decimal};
use purfle_lang::saying::{MOST_SAID, Saying, allowed, format, parse, parse_day, parse_price};
use purfle_lang::unit::{Currency, Unit, day_of, format_date, parse_date};

fn number(text: &str) -> Number {
    parse_decimal(text).unwrap()
}

fn choices(written: &[(&str, &str)]) -> Vec<Choice> {
    written.iter().map(|(name, words)| Choice { name: (*name).to_owned(), words: (*words).to_owned() }).collect()
}

fn looks() -> Vec<Look> {
    let sizes = [("4/4", "4/4"), ("3/4", "three quarters"), ("1/2", "Half"), ("none", "none")];
    let faults =
        [("straight", "straight"), ("crooked", "leaning, or crooked"), ("out", "Out of its hole"), ("Out", "out and lost")];
    let measured = |unit, from, to, error: Option<&str>| LookKind::Measured {
        unit,
        from: number(from),
        to: number(to),
        give_or_take: error.map(number),
    };
    let kinds = [
        LookKind::YesNo,
        LookKind::OneOf(choices(&sizes)),
        LookKind::OneOf(choices(&faults)),
        LookKind::SomeOf(choices(&faults)),
        LookKind::SomeOf(choices(&sizes)),
        measured(Unit::Mm, "0", "8", Some("0.2")),
        measured(Unit::Inch, "0", "254", None),
        measured(Unit::DegC, "-20", "60", Some("1")),
        measured(Unit::DegF, "-20", "60", None),
        measured(Unit::Percent, "0", "100", Some("3")),
        measured(Unit::Months, "0", "240", None),
        LookKind::Counted { from: -3, to: 12 },
        LookKind::Priced { from: number("0"), to: number("5000") },
        LookKind::Dated,
        LookKind::Written,
    ];
    let look = |kind| Look::plain("look", PartId(0), "", kind);
    kinds.into_iter().map(look).collect()
}

fn money() -> Currency {
    Currency::parse("USD").unwrap()
}

/// Scraps that people and spreadsheets write, run together with and without gaps.
fn scraps() -> impl Strategy<Value = String> {
    let scrap = proptest::sample::select(vec![
        "at least",
        "at most",
        "from",
        "to",
        "or",
        "and",
        "above",
        "<=",
        "\u{2265}",
        "~",
        "+",
        "-",
        "\u{2013}",
        "\u{2212}",
        ",",
        ".",
        "/",
        "\"",
        "?",
        "0",
        "1",
        "3",
        "4",
        "0.35",
        "0,35",
        "1,234",
        "1.234,5",
        "12",
        "2026",
        "46115",
        "-5",
        "999999999999999999999",
        "mm",
        "MM",
        "inch",
        "in",
        "\u{b0}",
        "\u{b0}C",
        "degF",
        "%",
        "USD",
        "EUR",
        "$",
        "h",
        "months",
        "yes",
        "No",
        "true",
        "none",
        "straight",
        "crooked",
        "leaning",
        "out",
        "Out",
        "lost",
        "half",
        "4/4",
        "3/4",
        "three quarters",
        "2026-11-20",
        "20/11/2026",
        "2026-02-30",
        "Nov",
        "4-Mar",
        "n/a",
        "not sure",
        "e5",
        "\u{e9}",
        "\u{1f3bb}",
        "\u{feff}",
        "\u{0}",
        "\n",
    ]);
    (proptest::collection::vec((scrap, any::<bool>()), 0..8)).prop_map(|scraps| {
        scraps.into_iter().map(|(scrap, gap)| if gap { format!("{scrap} ") } else { scrap.to_owned() }).collect()
    })
}

fn any_text() -> impl Strategy<Value = String> {
    prop_oneof![4 => scraps(), 1 => any::<String>(), 1 => "[0-9.,/ -]{0,12}"]
}

fn check(look: &Look, text: &str, heading: Option<Unit>) -> Result<(), TestCaseError> {
    match parse(look, text, heading, money()) {
        Ok(saying) => {
            let written = format(look, &saying, money());
            let again = parse(look, &written, None, money());
            prop_assert_eq!(again.as_ref(), Ok(&saying), "{} was written as {}", text, written);
            prop_assert!(within(look, &saying), "{}: {:?}", text, saying);
        }
        Err(bad) => {
            prop_assert!(!bad.why.is_empty() && bad.why.len() < 300 && !bad.why.contains('\n'), "{:?}", bad);
            if let Some(nearest) = &bad.nearest {
                prop_assert!(parse(look, nearest, heading, money()).is_ok(), "{}: {} is no better", text, nearest);
            }
        }
    }
    Ok(())
}

/// Whether what was read lies within what the look takes.
fn within(look: &Look, saying: &Saying) -> bool {
    let (least, greatest) = match &look.kind {
        LookKind::Measured { from, to, .. } | LookKind::Priced { from, to } => (*from, *to),
        LookKind::Counted { from, to } => (Number::from_integer((*from).into()), Number::from_integer((*to).into())),
        _ => (Number::from_integer(0), Number::from_integer(0)),
    };
    let count = if matches!(look.kind, LookKind::YesNo) { 2 } else { look.choices().len() };
    match saying {
        Saying::OneOf(indices) => !indices.is_empty() && indices.is_sorted() && indices.iter().all(|&index| index < count),
        Saying::Exactly(indices) => indices.is_sorted() && indices.iter().all(|&index| index < count),
        Saying::Between { low, high, .. } => {
            let inside = |end: &Option<Number>| end.is_none_or(|end| least <= end && end <= greatest);
            inside(low) && inside(high) && low.zip(*high).is_none_or(|(low, high)| low <= high)
        }
        Saying::DateBetween(low, high) => low.zip(*high).is_none_or(|(low, high)| low <= high),
        Saying::NoDate | Saying::Text(_) | Saying::CouldNotTell | Saying::DoesNotApply => true,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 20_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_gets_an_answer(text in any_text(), at in 0..looks().len()) {
        check(&looks()[at], &text, None)?;
    }

    #[test]
    fn any_text_gets_an_answer_under_a_heading(text in any_text(), unit in proptest::sample::select(vec![Unit::Mm, Unit::Inch, Unit::M])) {
        check(&looks()[5], &text, Some(unit))?;
    }

    #[test]
    fn sums_and_days_get_an_answer(text in any_text()) {
        if let Err(bad) = parse_price(&text, money()) && let Some(nearest) = bad.nearest {
            prop_assert!(parse_price(&nearest, money()).is_ok(), "{}: {} is no better", text, nearest);
        }
        if let Err(bad) = parse_day(&text) && let Some(nearest) = bad.nearest {
            prop_assert!(parse_day(&nearest).is_ok(), "{}: {} is no better", text, nearest);
        }
    }

    /// Every day is read as it is written.
    #[test]
    fn days_read_as_written(day in -719_000_i64..2_900_000) {
        let written = format_date(day);
        prop_assert_eq!(parse_date(&written), Some(day), "{}", written);
    }

    /// A number of the look's range, in each of its units, reads as that number.
    #[test]
    fn numbers_in_every_unit(thousandths in 0_i128..=8000, unit in proptest::sample::select(vec![Unit::Mm, Unit::Cm, Unit::M])) {
        let value = Number::new(thousandths, 1000);
        let text = format!("{} {unit}", purfle_lang::number::format_decimal(unit.from_base(value).unwrap()));
        let expected = Saying::Between { low: Some(value), high: Some(value), reading: true };
        prop_assert_eq!(parse(&looks()[5], &text, Some(Unit::Inch), money()), Ok(expected));
    }
}

#[test]
fn long_texts_are_refused_at_once() {
    let long = "a".repeat(50_000_000);
    for look in looks() {
        let bad = parse(&look, &long, None, money()).unwrap_err();
        assert!(bad.why.contains("longer than"), "{}", bad.why);
        let list = ["3 or"; MOST_SAID].join(" ");
        assert!(matches!(look.kind, LookKind::Written) || parse(&look, &list, None, money()).is_err());
        assert!(!allowed(&look, money()).is_empty());
    }
    assert!(parse_price(&long, money()).is_err());
    assert!(parse_day(&long).is_err());
    assert_eq!(day_of(purfle_lang::unit::date_of(0).unwrap()), 0);
}
