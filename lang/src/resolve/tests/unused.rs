//! What nothing uses.

use super::*;

/// Checks that just these are said of a text in which the bench step of the head has its use.
#[track_caller]
fn says(text: &str, expected: &[(&str, &str)]) {
    let whole = format!(
        "{HEAD}\n{}{text}",
        finding("  on nut\n  signs pins is at least 2").replace("cost nothing", "work mend").replace("trouble", "first")
    );
    let told = read_all(&whole).diagnostics;
    let said: Vec<(&str, &str)> = told.iter().map(|told| (told.slug, &whole[told.span.range()])).collect();
    assert_eq!(said, expected, "{text}");
}

const TABLE: &str = "table pace \"Pace\" by instrument.kind\n  row cello 2\n  row any 1\n";
const RECKON: &str = "reckon wide \"Wide\" as nut.gap * 2\n";
const WORK: &str = "work glue \"Glue\" 20 USD each\n";

#[test]
fn what_is_never_named_is_told_at_its_name() {
    says(TABLE, &[("unused", "pace")]);
    says(RECKON, &[("unused", "wide")]);
    says(WORK, &[("unused", "glue")]);
    let told = read_all(&format!("{HEAD}\n{WORK}{}", signs("turns"))).diagnostics;
    let titles: Vec<&str> = told.iter().flat_map(|told| &told.fixes).map(|fix| fix.title.as_str()).collect();
    assert_eq!(titles, ["Take `mend` out", "Take `glue` out"]);
    assert!(told.iter().flat_map(|told| &told.fixes).all(|fix| !fix.safe), "its use may have been forgotten");
}

#[test]
fn whatever_names_a_thing_uses_it() {
    says(&format!("{TABLE}{}", finding("  on nut\n  signs pins is above pace")), &[]);
    says(&format!("{TABLE}{}", finding("  on nut\n  signs turns\n  urgency halt if pins is above pace")), &[]);
    says(&format!("{TABLE}counsel big \"Big\"\n  when nut.pins is above 2 * pace\n  tell \"x\"\n"), &[]);
    says(&format!("{RECKON}{}", finding("  on nut\n  signs not (wide is above 2 mm)")), &[]);
    says(&format!("{WORK}{}", finding("  on nut\n  signs turns").replace("cost nothing", "work glue")), &[]);
    let way =
        finding("  on nut\n  signs turns").replace("  cost nothing\n", "").to_owned() + "  way one \"One\"\n    work glue\n";
    says(&format!("{WORK}{way}"), &[]);
    // What uses it may itself be idle: that is told there.
    says(&format!("{WORK}work whole \"Whole\" 90 USD each\n  includes glue\n"), &[("unused", "whole")]);
    says(&format!("{TABLE}{WORK}").replace("20 USD", "20 USD * pace"), &[("unused", "glue")]);
}

#[test]
fn what_could_not_be_read_may_use_it() {
    says(&format!("{WORK}{}", finding("  on nut\n  signs turns\n  yields to nobody")), &[("unknown-name", "nobody")]);
    let parsed = parse(FileId(0), &format!("{HEAD}\n{WORK}qqq odd \"Odd\"\n"));
    assert!(!parsed.diagnostics.is_empty(), "an item of no kind");
    assert_eq!(resolve(&[parsed.tree]).diagnostics, []);
}

#[test]
fn a_part_that_nobody_looks_at_is_told() {
    says("part scroll \"Scroll\"\n", &[("part-unused", "scroll")]);
    says("context owner \"Owner\"\n", &[]);
    says(&format!("part scroll \"Scroll\"\n{}", finding("  on scroll\n  signs nut.turns")), &[]);
    says("part scroll \"Scroll\"\n  look worn \"Worn?\" yes or no\n", &[]);
}
