//! Work, goods and what they cost.

use super::*;

fn costing(cost: &str) -> String {
    finding("  on nut\n  signs turns").replace("cost nothing", cost)
}

#[test]
fn a_finding_says_what_it_costs() {
    says(&costing(""), &[("no-cost", "trouble")]);
    says(&costing("cost on sight"), &[]);
    says(&costing("work mend\n  goods \"Nut\" 5 to 12 USD"), &[]);
    says(&costing("work mend\n  cost nothing"), &[("cost-twice", "cost nothing")]);
}

#[test]
fn ways_have_the_costs() {
    let with = |own: &str, ways: &str| format!("{}{ways}", costing(own));
    let ways = "  way new \"A new one\"\n    work mend\n  way old \"As it is\"\n    cost nothing\n";
    says(&with("", ways), &[]);
    says(&with("work mend", ways), &[("cost-beside-ways", "work mend")]);
    says(&with("", "  way new \"A new one\"\n    tell \"Better.\"\n"), &[("no-cost", "new")]);
    says(&with("", &ways.replace("old", "new")), &[("name-twice", "new")]);
    // The first way counts.
    let book = book(&with("", ways));
    assert_eq!(book.findings[0].counted_cost().work.len(), 1);
}

#[test]
fn amounts_are_a_time_or_a_price() {
    says("work odd \"Odd\" 3 mm once\n", &[("unit-mismatch", "3 mm")]);
    says("work odd \"Odd\" 3 months once\n", &[("unit-mismatch", "3 months")]);
    says("work odd \"Odd\" 15 to 60 USD once\n", &[]);
    says("work odd \"Odd\" 60 to 15 USD once\n", &[("range-backward", "60 to 15 USD")]);
    says("work odd \"Odd\" -15 USD once\n", &[("below-nought", "odd")]);
}

#[test]
fn time_is_charged_at_somebodys_rate() {
    says("work odd \"Odd\" 1 h by player once\n", &[("no-rate", "player")]);
    says("work odd \"Odd\" 10 USD by luthier once\n", &[("rate-unused", "luthier")]);
}

#[test]
fn goods_cost_money() {
    says(&costing("goods \"Nut\" 3 mm"), &[("unit-mismatch", "3 mm")]);
    says(&costing("goods \"Nut\" 3"), &[("unit-missing", "3")]);
    says(&costing("goods \"Nut\" 3 to 5"), &[("unit-missing", "3 to 5")]);
    fix_settles(&costing("goods \"Nut\" 3 to 5"));
    says(&costing("goods \"Nut\" -3 USD"), &[("below-nought", "-3 USD")]);
    let table = "table share \"Share\" by instrument.kind\n  row bass 0\n  row any 1\n";
    says(&format!("{table}{}", costing("goods \"Nut\" 3 USD / share")), &[("divided-by-nought", "3 USD / share")]);
}

#[test]
fn what_includes_others_costs_no_less() {
    says("work big \"Big\" 0.4 h once\n  includes mend\n", &[("cheaper-than-included", "big")]);
    says("work big \"Big\" 0.5 h once\n  includes mend\n", &[]);
    says("work big \"Big\" 0.4 to 3 h once\n  includes mend\n", &[("cheaper-than-included", "big")]);
    // A price is held against a time at its hand's rate: half an hour at 60 USD.
    says("work big \"Big\" 29 USD once\n  includes mend\n", &[("cheaper-than-included", "big")]);
    says("work big \"Big\" 30 USD once\n  includes mend\n", &[]);
}

#[test]
fn what_includes_others_costs_no_less_for_any_row() {
    let table = "table slow \"Slow\" by instrument.kind\n  row bass 2\n  row any 1\n";
    let diagnostic =
        only(&format!("{table}work small \"Small\" 1 h * slow once\nwork big \"Big\" 1.5 h once\n  includes small\n"));
    assert_eq!(diagnostic.slug, "cheaper-than-included");
    assert!(diagnostic.says.contains("90.00 USD for `bass`") && diagnostic.says.ends_with("120.00 USD."), "{}", diagnostic.says);
}

#[test]
fn included_steps_count_once_and_without_what_they_include() {
    let inner = "work middle \"Middle\" 1 h once\n  includes mend\n";
    says(&format!("{inner}work big \"Big\" 1 h once\n  includes middle, mend\n"), &[]);
}

#[test]
fn a_step_done_once_has_no_place() {
    let table = "table slow \"Slow\" by peg.place\n  row any 1\n";
    says(&format!("{table}work odd \"Odd\" 1 h * slow once\n"), &[("no-place-in-hand", "1 h * slow")]);
    let each = format!("{table}work odd \"Odd\" 1 h * slow each\n");
    let on_each = finding("  on each peg\n  signs turns is stiff").replace("cost nothing", "work odd");
    says(&format!("{each}{on_each}"), &[]);
    says(&format!("{each}{}", costing("work odd")), &[("no-place-in-hand", "odd")]);
}

#[test]
fn a_cost_needs_a_row_where_its_key_does_not_apply() {
    let part = "part rod \"Rod\"\n  only when instrument.kind is one of cello, bass\n  look wood \"Wood?\" yes or no\n";
    let table = "table slow \"Slow\" by rod.wood\n  row yes 2\n  row no 1\n";
    let work = "work odd \"Odd\" 1 h * slow once\n";
    says(&format!("{part}{table}{work}{}", costing("work odd")), &[("row-missing", "slow")]);
    // On the rod itself the key always applies.
    says(
        &format!("{part}{table}{work}{}", costing("work odd").replace("on nut", "on rod").replace("signs turns", "signs wood")),
        &[],
    );
}

#[test]
fn repairs_by_the_least_skilled_carry_a_caution() {
    let text = costing("work mend").replace("hands luthier", "hands player");
    says(&text, &[("care-missing", "trouble")]);
    says(&text.replace("work mend", "work mend\n  care \"Slowly.\""), &[]);
    says(&costing("cost nothing").replace("hands luthier", "hands player"), &[]);
}

#[test]
fn what_a_measured_look_decides_cannot_be_shown() {
    let text = "work big \"Big\" 1 h * (nut.gap / 1 mm) once\n  includes mend\n";
    says(text, &[("includes-unproved", "big")]);
    says("work big \"Big\" 1 h * (nut.gap / 1 mm) once\n", &[]);
}

#[test]
fn what_is_too_large_is_no_sum() {
    let huge = "99999999999999999999 * 99999999999999999999";
    says(&format!("work big \"Big\" 1 h * {huge} once\n"), &[("too-large", "big")]);
    says(&signs("gap is above 123456789012345678901 mm"), &[("too-large", "123456789012345678901")]);
}
