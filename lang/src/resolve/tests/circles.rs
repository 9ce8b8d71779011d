//! Circles: the name that closes each, and the names that lead round it.

use super::*;

/// Checks that a text has one circle, told at the first of these pieces of text, with the others labelled.
#[track_caller]
fn goes_round(text: &str, slug: &str, names: &[&str]) {
    let whole = format!("{HEAD}\n{text}");
    let told = only(text);
    let spans = std::iter::once(told.span).chain(told.places.iter().map(|place| place.span));
    let pointed: Vec<&str> = spans.map(|span| &whole[span.range()]).collect();
    assert_eq!((told.slug, pointed.as_slice()), (slug, names), "{text}");
}

fn yielding(name: &str, to: &str) -> String {
    let more = format!("  on nut\n  signs turns\n  yields to {to}");
    finding(&more).replace("trouble", name)
}

#[test]
fn the_name_that_closes_a_circle_is_pointed_at() {
    let three = [yielding("one", "two"), yielding("two", "three"), yielding("three", "one")].concat();
    goes_round(&three, "circle-in-yields", &["two", "three", "one"]);
    let include = "work big \"Big\" 1 h each\n  includes mend, small\nwork small \"Small\" 1 h each\n  includes big\n";
    goes_round(include, "circle-in-includes", &["small", "big"]);
    let left = yielding("one", "one").replace("yields to one", "left becomes one odds 10 %");
    goes_round(&left, "circle-in-left", &["one"]);
}

#[test]
fn a_circle_of_reckonings_is_pointed_at_in_what_they_are_worked_out_as() {
    let text = "reckon wide \"Wide\" as 2 * tall + 1\nreckon tall \"Tall\" as wide / 2\n";
    goes_round(text, "circle-in-reckonings", &["tall", "wide"]);
    let by_look = "part scroll \"Scroll\"\n  look worn \"Worn?\" yes or no\n    only when far is above 2\n  look chips \"Chips\" \
                   counted from 0 to 9\n    only when worn\nreckon far \"Far\" as scroll.chips * 2\n";
    goes_round(by_look, "circle-in-only-when", &["far is above 2", "scroll.chips", "worn"]);
}

#[test]
fn a_circle_of_found_is_pointed_at_where_it_is_asked() {
    let asking = |name: &str, other: &str| signs(&format!("turns and found {other}")).replace("trouble", name);
    let two = [asking("one", "two"), asking("two", "one")].concat();
    goes_round(&two, "circle-in-found", &["found two", "found one"]);
}
