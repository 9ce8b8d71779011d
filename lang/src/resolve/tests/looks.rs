//! Looks: their types, what is good, and when they apply.

use super::*;

fn part(look: &str) -> String {
    format!("part saddle \"Saddle\"\n  look sits \"How?\" {look}\n")
}

#[test]
fn ranges_of_looks_rise() {
    says(&part("measured in mm from 9 to 0"), &[("range-backward", "9 to 0")]);
    says(&part("counted from 0 to 6"), &[]);
    says(&part("counted from 0 to 6.5"), &[("not-whole", "6.5")]);
    says(&part("measured in mm from 0 to 9 deg"), &[("unit-mismatch", "9 deg")]);
    says(&part("measured in mmm from 0 to 9"), &[("unknown-unit", "mmm")]);
    says(&part("measured in USD from 0 to 9"), &[("wrong-unit", "USD")]);
    says(&part("measured in mm from 0 to 9, give or take 0"), &[("outside-range", "0")]);
    // A unit that lacks at both ends is one mistake.
    says(&part("priced from 0 to 9"), &[("unit-missing", "9")]);
    says(&part("priced from 0 to 9 USD"), &[]);
}

#[test]
fn a_reading_error_is_a_difference() {
    use crate::book::LookKind;
    // 9 degF are 5 degC apart, by the definition of the scale.
    let book = book(&part("measured in degF from 32 to 212, give or take 9"));
    let Some(LookKind::Measured { from, to, give_or_take, .. }) = book.looks.last().map(|look| &look.kind) else {
        panic!("a measured look")
    };
    let number = crate::number::Number::from_integer;
    assert_eq!((*from, *to, *give_or_take), (number(0), number(100), Some(number(5))));
}

#[test]
fn choices_differ() {
    says(&part("one of firm, loose, firm"), &[("name-twice", "firm")]);
    says(&part("one of firm"), &[("too-few-choices", "sits")]);
}

#[test]
fn an_unread_look_is_told_once() {
    let text = format!("{}{}", part("measured in mmm from 0 to 9"), finding("  on saddle\n  signs sits is above 3 mm"));
    says(&text, &[("unknown-unit", "mmm")]);
}

#[test]
fn good_is_what_the_look_can_show() {
    says(&part("one of firm, loose\n    good firm"), &[]);
    says(&part("one of firm, loose\n    good tight"), &[("unknown-choice", "tight")]);
    says(&part("yes or no\n    good no"), &[]);
    says(&part("measured in mm from 0 to 9\n    good 0 mm"), &[]);
    says(&part("measured in mm from 0 to 9\n    good 2 to 3 mm"), &[]);
    says(&part("measured in mm from 0 to 9\n    good 2"), &[("unit-missing", "2")]);
    says(&part("measured in mm from 0 to 9\n    good 10 mm"), &[("outside-look", "10 mm")]);
    says(&part("dated\n    good none"), &[]);
    let table = "table limit \"Limit\" by instrument.kind\n  row any 2 to 3 mm\n";
    says(&format!("{table}{}", part("measured in mm from 0 to 9\n    good limit")), &[]);
}

#[test]
fn only_when_is_plain() {
    says(&part("yes or no\n    only when instrument.strung and instrument.kind is violin"), &[]);
    let or = "instrument.strung or instrument.kind is violin";
    says(&part(&format!("yes or no\n    only when {or}")), &[("only-when-not-plain", or)]);
}
