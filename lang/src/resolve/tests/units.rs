//! Units, dimensions, money and dates.

use super::*;
use crate::book::{Condition, Test, Value};
use crate::number::Number;

/// The right side of the comparison that a finding's signs are.
#[track_caller]
fn right_side(text: &str) -> Value {
    match book(&signs(text)).findings.swap_remove(0).signs {
        Condition::Test(Test::Compare(_, _, right), _) => right,
        other => panic!("a comparison: {other:?}"),
    }
}

#[test]
fn values_are_in_base_units() {
    // 1 inch is 25.4 mm by definition (UCUM 2.2).
    assert_eq!(right_side("gap is above 0.1 inch"), Value::Number(Number::new(127, 50)));
    assert_eq!(right_side("gap is above 0.2 cm"), Value::Number(Number::from_integer(2)));
    assert_eq!(right_side("fitted is above 1970-01-02"), Value::Date(1));
}

#[test]
fn two_kinds_of_quantity_do_not_compare() {
    says(&signs("gap is above 3 USD"), &[("unit-mismatch", "3 USD")]);
    says(&signs("gap is above 3 deg"), &[("unit-mismatch", "3 deg")]);
    says(&signs("pins is at least 3 mm"), &[("unit-mismatch", "3 mm")]);
    let diagnostic = only(&signs("gap is above 3 USD"));
    assert_eq!(diagnostic.says, "A length cannot be compared with money.");
    assert_eq!(diagnostic.help, "Write a value in mm, cm, m or inch.");
    assert_eq!(diagnostic.places[0].says, "a length");
}

#[test]
fn a_bare_number_gets_the_unit_of_the_look() {
    says(&signs("gap is above 3"), &[("unit-missing", "3")]);
    assert_eq!(only(&signs("gap is above 3")).says, "3 has no unit, and `gap` is a length.");
    fix_settles(&signs("gap is above 3"));
    fix_settles(&signs("instrument.worth is below 300"));
}

#[test]
fn the_upper_end_may_carry_the_unit() {
    says(&signs("gap is from 3 to 4 mm"), &[]);
    says(&signs("gap is from 3 mm to 4"), &[("unit-missing", "4")]);
}

#[test]
fn only_like_is_added() {
    says(&signs("gap is above 3 mm + 2 USD"), &[("unit-mismatch", "2 USD")]);
    says(&signs("gap is above last gap + 0.8 mm"), &[]);
    says(&signs("fitted is below inspected-on - 30 days"), &[("cannot-reckon", "inspected-on")]);
    says(&signs("days from fitted to inspected-on is above 12 weeks"), &[]);
    says(&signs("days from fitted to inspected-on is above 3 months"), &[("unit-mismatch", "3 months")]);
    assert!(
        only(&signs("days from fitted to inspected-on is above 3 months")).help.ends_with("a month is not a number of days.")
    );
    says(&signs("days from gap to inspected-on is above 3 days"), &[("unit-mismatch", "gap")]);
    says(&signs("gap is above lower of 3 mm and 2 deg"), &[("unit-mismatch", "2 deg")]);
    says(&signs("gap is above 3 mm / 0"), &[("divided-by-nought", "0")]);
}

#[test]
fn money_is_the_rulebooks_own() {
    says(&signs("instrument.worth is above 30 EUR"), &[("other-money", "30 EUR")]);
}

#[test]
fn units_and_days_must_exist() {
    says(&signs("gap is above 3 furlong"), &[("unknown-unit", "furlong")]);
    says(&signs("instrument.worth is above 3 UDS"), &[("unknown-unit", "UDS")]);
    fix_settles(&signs("instrument.worth is above 3 UDS"));
    says(&signs("fitted is above 2026-02-29"), &[("no-such-day", "2026-02-29")]);
}

#[test]
fn formulas_are_given_what_they_take() {
    says(&signs("wood-moisture(40 %, 20 degC) is above 8 %"), &[]);
    says(&signs("wood-moisture(40 %) is above 8 %"), &[("wrong-count", "wood-moisture(40 %)")]);
    says(&signs("wood-moisture(20 degC, 40 %) is above 8 %"), &[("unit-mismatch", "20 degC"), ("unit-mismatch", "40 %")]);
    says(&signs("wood-moistur(40 %, 20 degC) is above 8 %"), &[("unknown-name", "wood-moistur")]);
    says(&signs("wood-movement(gap, 0.002, 6 %, 10 %) is above 0.1 mm"), &[]);
}

#[test]
fn ranges_rise_and_stand_on_the_right() {
    says(&signs("gap is from 4 mm to 3 mm"), &[("range-backward", "4 mm to 3 mm")]);
    let table = "table limits \"Limits\" by instrument.kind\n  row any 3 to 4 mm\n";
    says(&format!("{table}{}", signs("gap is above limits")), &[]);
    says(&format!("{table}{}", signs("limits is below gap")), &[("range-on-the-left", "limits")]);
}

#[test]
fn one_error_an_expression() {
    says(&signs("gapp + 3 mm is above 3 USD"), &[("unknown-name", "gapp")]);
}
