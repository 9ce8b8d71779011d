//! Tables and reckonings.

use super::*;

/// A table by kind with these rows, used on the nut.
fn table(rows: &str) -> String {
    format!("table limit \"Limit\" by instrument.kind\n{rows}\n{}", signs("gap is above limit"))
}

#[test]
fn no_row_is_missing_for_a_record_that_gets_there() {
    says(&table("  row violin 1 mm\n  row any 2 mm"), &[]);
    says(&table("  row violin 1 mm\n  row viola 2 mm\n  row cello 3 mm"), &[("row-missing", "limit")]);
    let diagnostic = only(&table("  row violin 1 mm\n  row viola 2 mm\n  row cello 3 mm"));
    assert_eq!(diagnostic.says, "`limit` has no row for `bass`, and a record can be so.");
}

#[test]
fn a_row_that_no_record_gets_to_is_not_missed() {
    let part = "part heel \"Heel\"\n  look rise \"Rise\" measured in mm from 0 to 9\n    only when instrument.kind is one of violin, viola\n";
    let table = "table limit \"Limit\" by instrument.kind\n  row violin 1 mm\n  row viola 2 mm\n";
    says(&format!("{part}{table}{}", finding("  on heel\n  signs rise is above limit")), &[]);
}

#[test]
fn a_place_that_is_not_there_needs_no_row() {
    let part = "part string \"Strings\"\n  place C\n    only when instrument.kind is one of viola, cello\n  place G\n  look height \"Height\" measured in mm from 0 to 9\n";
    let table =
        "table limit \"Limit\" by instrument.kind, string.place\n  row viola, C 1 mm\n  row cello, C 2 mm\n  row any, G 3 mm\n";
    says(&format!("{part}{table}{}", finding("  on each string\n  signs height is above limit")), &[]);
    let fewer = table.replace("  row cello, C 2 mm\n", "");
    says(&format!("{part}{fewer}{}", finding("  on each string\n  signs height is above limit")), &[("row-missing", "limit")]);
}

#[test]
fn no_row_is_missed_while_it_is_not_known_what_applies() {
    let part = "part string \"Strings\"\n  place C\n    only when instrument.knid is cello\n  place G\n  look height \"Height\" measured in mm from 0 to 9\n";
    let table = "table limit \"Limit\" by instrument.kind, string.place\n  row cello, C 2 mm\n  row any, G 3 mm\n";
    let text = format!("{part}{table}{}", finding("  on each string\n  signs height is above limit"));
    says(&text, &[("unknown-name", "knid")]);
    fix_settles(&text);
}

#[test]
fn a_test_beside_it_keeps_a_row_from_being_missed() {
    let limit = "table limit \"Limit\" by instrument.kind\n  row violin 1 mm\n";
    says(&format!("{limit}{}", signs("instrument.kind is violin and gap is above limit")), &[]);
    says(&format!("{limit}{}", signs("instrument.kind is violin or gap is above limit")), &[("row-missing", "limit")]);
    says(&format!("{limit}{}", signs("not (instrument.kind is violin and gap is above limit)")), &[("row-missing", "limit")]);
}

#[test]
fn two_rows_do_not_fit_equally_well() {
    says(&table("  row any 1 mm\n  row violin 1 mm\n  row violin 2 mm"), &[("row-twice", "violin")]);
    let two = |rows: &str| {
        format!("table limit \"Limit\" by instrument.kind, instrument.strung\n{rows}\n{}", signs("gap is above limit"))
    };
    let crossing = "  row violin, any 1 mm\n  row any, yes 2 mm\n  row any, any 3 mm";
    says(&two(crossing), &[("row-ambiguous", "any, yes")]);
    // The row for just that settles it.
    says(&two(&format!("{crossing}\n  row violin, yes 4 mm")), &[]);
}

#[test]
fn rows_have_a_key_for_each_column_and_like_values() {
    says(&table("  row violin, viola 1 mm\n  row any 2 mm"), &[("wrong-count", "violin, viola")]);
    says(&table("  row violn 1 mm\n  row any 2 mm"), &[("unknown-choice", "violn")]);
    says(&table("  row violin 1 deg\n  row any 2 mm"), &[("unit-mismatch", "2 mm")]);
    says(
        &table("  row violin gap\n  row any 2 mm").replace("violin gap", "violin instrument.worth"),
        &[("not-constant", "instrument.worth")],
    );
}

#[test]
fn rows_go_by_choices_and_places() {
    let by = |key: &str| format!("table limit \"Limit\" by {key}\n  row any 1 mm\n");
    says(&by("nut.gap"), &[("wrong-kind", "nut.gap")]);
    says(&by("nut.place"), &[("no-places", "nut")]);
    says(&by("crack.place"), &[("no-places", "crack")]);
    says(&by("nut.stat"), &[("unknown-name", "stat")]);
}

#[test]
fn a_table_by_place_needs_a_place_in_hand() {
    let table = "table limit \"Limit\" by peg.place\n  row any 1 mm\n";
    says(&format!("{table}{}", finding("  on each peg\n  signs wear is above limit")), &[]);
    says(&format!("{table}{}", signs("gap is above limit")), &[("no-place-in-hand", "limit")]);
    says(&format!("{table}{}", signs("any peg with wear is above limit")), &[]);
}

#[test]
fn reckonings_are_read_in_any_order() {
    let text = "reckon third \"Third\" as second + 1 mm\nreckon second \"Second\" as first * 2\nreckon first \"First\" as 3 mm\n";
    let book = book(&format!("{text}{}", signs("gap is above third")));
    assert_eq!(book.reckons[0].dimension, crate::unit::Dimension::LENGTH);
}

#[test]
fn a_circle_of_reckonings_is_told_once() {
    let text = "reckon one \"One\" as two + 1 mm\nreckon two \"Two\" as one + 1 mm\n";
    let said = said(&format!("{text}{}", signs("gap is above one")));
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(said[0].0.starts_with("circle"));
}

#[test]
fn an_error_in_a_table_is_not_told_again_where_it_is_used() {
    says(&table("  row violin 1 furlong"), &[("unknown-unit", "furlong")]);
}

#[test]
fn combinations_are_bounded() {
    let choices: Vec<String> = (0..41).map(|number| format!("c{number}")).collect();
    let look = |name: &str| format!("  look {name} \"What?\" one of {}\n", choices.join(", "));
    let part = format!("part saddle \"Saddle\"\n{}{}{}", look("one"), look("two"), look("three"));
    let table = "table wide \"Wide\" by saddle.one, saddle.two, saddle.three\n  row any, any, any 1\n";
    says(&format!("{part}{table}"), &[("too-many-combinations", "wide")]);
}
