//! Currencies and their minor units against the list of ISO 4217 (as kept at github.com/datasets/currency-codes, commit
//! of 1 February 2026).

use purfle_lang::number::Number;
use purfle_lang::saying::parse_price;
use purfle_lang::unit::{Currency, Unit};

const NO_PLACES: [&str; 17] =
    ["BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV", "XAF", "XOF", "XPF"];
const THREE_PLACES: [&str; 7] = ["BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"];
const FOUR_PLACES: [&str; 2] = ["CLF", "UYW"];
/// Metals, funds and codes for tests, for which the list names no minor unit.
const NO_MINOR_UNIT: [&str; 13] = ["XAG", "XAU", "XBA", "XBB", "XBC", "XBD", "XDR", "XPD", "XPT", "XSU", "XTS", "XUA", "XXX"];

fn published_places(code: &str) -> u32 {
    match code {
        code if NO_PLACES.contains(&code) || NO_MINOR_UNIT.contains(&code) => 0,
        code if THREE_PLACES.contains(&code) => 3,
        code if FOUR_PLACES.contains(&code) => 4,
        _ => 2,
    }
}

/// All codes of three capitals.
fn all_codes() -> impl Iterator<Item = String> {
    let letters = || b'A'..=b'Z';
    letters().flat_map(move |a| letters().flat_map(move |b| letters().map(move |c| [a, b, c].map(char::from).iter().collect())))
}

#[test]
fn minor_units_are_the_published_ones() {
    let mut known = 0;
    for code in all_codes() {
        if let Some(currency) = Currency::parse(&code) {
            assert_eq!(currency.minor_places(), published_places(&code), "{code}");
            assert_eq!(currency.code(), code);
            known += 1;
        }
    }
    // The list has some 180 codes in use; a table that lost half of them would show here.
    assert!((160..=200).contains(&known), "{known} currencies");
}

#[test]
fn every_currency_with_a_special_minor_unit_is_known() {
    for code in NO_PLACES.iter().chain(&THREE_PLACES).chain(&FOUR_PLACES) {
        assert!(Currency::parse(code).is_some(), "{code}");
    }
}

#[test]
fn what_is_no_code_is_no_currency() {
    for text in ["usd", "US", "USDD", "U$D", "", "EURO", "QQQ", "\u{20ac}"] {
        assert!(Currency::parse(text).is_none(), "{text}");
        assert!(!matches!(Unit::parse(text), Some(Unit::Money(_))), "{text}");
    }
}

/// The smallest sum of each currency can be written, and a tenth of it cannot.
#[test]
fn sums_are_written_to_the_minor_unit() {
    for code in ["JPY", "USD", "KWD", "CLF"] {
        let money = Currency::parse(code).unwrap();
        let places = money.minor_places() as usize;
        let tiny = |places: usize| if places == 0 { "1".to_owned() } else { format!("0.{}1", "0".repeat(places - 1)) };
        assert_eq!(parse_price(&tiny(places), money), Ok(Number::new(1, 10_i128.pow(money.minor_places()))), "{code}");
        assert!(parse_price(&tiny(places + 1), money).is_err(), "{code}");
    }
}
