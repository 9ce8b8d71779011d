//! Exact unit factors against the Unified Code for Units of Measure, UCUM 2.2 (essence of 2024-06-17, ucum.org).

use purfle_lang::number::{Number, parse_decimal};
use purfle_lang::unit::Unit;

fn number(text: &str) -> Number {
    parse_decimal(text).unwrap()
}

/// One of each unit, in the base unit of its dimension.
///
/// From UCUM: `[in_i]` is 2.54 cm, `cm` is 10*-2 m, `mm` is 10*-3 m, `h` is 60 min, `d` is 24 h, `wk` is 7 d.
/// The years here are calendar years of twelve calendar months, which UCUM does not have: it knows only mean ones.
#[test]
fn factors_are_the_published_ones() {
    let published = [
        ("mm", "1"),
        ("cm", "10"),
        ("m", "1000"),
        ("inch", "25.4"),
        ("in", "25.4"),
        ("min", "1"),
        ("h", "60"),
        ("days", "1440"),
        ("weeks", "10080"),
        ("%", "1"),
        ("deg", "1"),
    ];
    for (spelling, base) in published {
        let unit = Unit::parse(spelling).unwrap();
        assert_eq!(unit.to_base(number("1")), Some(number(base)), "{spelling}");
        assert_eq!(unit.from_base(number(base)), Some(number("1")), "{spelling} and back");
    }
}

/// UCUM defines `[degF]` by a function: a kelvin is 9/5 of it, and nought on it is 459.67 below nought on the
/// absolute scale; `Cel` is `K` less 273.15. The fixed points follow exactly.
#[test]
fn fahrenheit_meets_celsius_at_its_fixed_points() {
    for (fahrenheit, celsius) in
        [("32", "0"), ("212", "100"), ("-40", "-40"), ("68", "20"), ("98.6", "37"), ("-459.67", "-273.15")]
    {
        assert_eq!(Unit::DegF.to_base(number(fahrenheit)), Some(number(celsius)), "{fahrenheit} degF");
        assert_eq!(Unit::DegF.from_base(number(celsius)), Some(number(fahrenheit)), "{celsius} degC");
    }
}

/// The international inch is not the imperial one, `[in_br]` of 2.539998 cm in the same list.
#[test]
fn the_inch_is_the_international_one() {
    assert_ne!(Unit::Inch.to_base(number("1000000")), Some(number("25399980")));
    assert_eq!(Unit::Inch.to_base(number("1000000")), Some(number("25400000")));
}

/// What UCUM calls different kinds of quantity never share a dimension here.
#[test]
fn kinds_of_quantity_stay_apart() {
    let kinds = ["mm", "deg", "degC", "%", "min", "months", "USD"];
    for (at, one) in kinds.iter().enumerate() {
        for other in &kinds[at + 1..] {
            assert_ne!(Unit::parse(one).unwrap().dimension(), Unit::parse(other).unwrap().dimension(), "{one}, {other}");
        }
    }
}
