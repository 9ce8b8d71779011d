//! Findings, raises, counsels and funds: what they must have, and what of it may stand once.

use super::*;

#[test]
fn a_finding_has_what_it_must_have() {
    let whole = finding("  on nut\n  signs turns");
    for (line, expected) in [
        ("  on nut\n", "clause-missing"),
        ("  signs turns\n", "clause-missing"),
        ("  urgency soon\n", "clause-missing"),
        ("  hands luthier\n", "clause-missing"),
        ("  basis \"common practice\"\n", "no-basis"),
    ] {
        says(&whole.replace(line, ""), &[(expected, "trouble")]);
    }
}

#[test]
fn several_reasons_may_let_it_off() {
    says(&finding("  on nut\n  signs turns\n  unless state is worn\n  unless state is broken"), &[]);
}

#[test]
fn one_urgency_has_no_if() {
    let text = signs("turns").replace("urgency soon", "urgency soon if state is worn");
    says(&text, &[("no-plain-urgency", "urgency soon if state is worn")]);
}

#[test]
fn arrows_have_odds_and_durations() {
    let left = |line: &str| {
        let other = signs("turns").replace("finding trouble", "finding other");
        format!("{other}{}", finding(&format!("  on nut\n  signs turns\n  left becomes other {line}")))
    };
    says(&left("odds 20 % within 12 months"), &[]);
    says(&left("odds 120 %"), &[("outside-range", "120 %")]);
    says(&left("odds 0.2"), &[("unit-missing", "0.2")]);
    says(&left("within 3 mm"), &[("unit-mismatch", "3 mm")]);
    says(&left("within 3"), &[("unit-missing", "3")]);
    says(&left("within 0.5 days"), &[("not-whole", "0.5 days")]);
    let book = book(&left("odds 20 %"));
    assert_eq!(book.findings[1].becomes[0].odds, Some(crate::number::Number::new(1, 5)));
}

#[test]
fn a_circle_is_one_error() {
    let said = said(&finding("  on nut\n  signs turns\n  left becomes trouble"));
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(said[0].0, "circle-in-left");
}

#[test]
fn a_raise_goes_up() {
    let raise = |by: &str| format!("raise more \"More\"\n  when instrument.strung\n  on nut\n  {by}\n");
    says(&raise("by 1 step, no higher than soon"), &[]);
    says(&raise("by 0 steps"), &[("outside-range", "0")]);
    says("raise more \"More\"\n  on nut\n  by 1 step\n", &[("clause-missing", "more")]);
}

#[test]
fn a_fund_says_what_it_covers_and_pays() {
    let whole = "aid fund \"Fund\"\n  covers above 200 USD\n  pays 75 %\n  cap 600 USD\n  family pays at least 25 USD\n  not beyond 50 % of instrument.worth\n  needs instrument.strung\n";
    says(whole, &[]);
    says(&whole.replace("  covers above 200 USD\n", ""), &[("clause-missing", "fund")]);
    says(&whole.replace("  pays 75 %\n", ""), &[("clause-missing", "fund")]);
    says(&whole.replace("75 %", "175 %"), &[("outside-range", "175 %")]);
    says(&whole.replace("200 USD", "-200 USD"), &[("below-nought", "-200 USD")]);
    says(&whole.replace("instrument.worth", "nut.gap"), &[("wrong-kind", "nut.gap")]);
    says(&whole.replace("needs instrument.strung", "needs peg.turns"), &[("no-place-in-hand", "peg.turns")]);
    let aid = &book(whole).aids[0];
    assert_eq!(aid.pays, crate::number::Number::new(3, 4));
}

#[test]
fn every_error_is_told_at_once() {
    let text = format!(
        "{}work odd \"Odd\" 3 mm once\n{}",
        signs("gapp is above 3 mm and state is wornn"),
        "counsel c \"C\"\n  when nut.turnss\n  tell \"x\"\n"
    );
    says(&text, &[("unknown-name", "gapp"), ("unknown-choice", "wornn"), ("unit-mismatch", "3 mm"), ("unknown-name", "turnss")]);
}
