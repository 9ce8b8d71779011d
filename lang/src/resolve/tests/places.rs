//! Places: which one is meant, and whether there are any.

use super::*;
use crate::book::{Condition, LookAt, PlaceAt, PlaceId, Test};

#[test]
fn a_look_of_a_part_with_places_needs_one_in_hand() {
    says(&signs("peg.turns is stiff"), &[("no-place-in-hand", "peg.turns")]);
    fix_settles(&signs("peg.turns is stiff"));
    says(&signs("peg.E.turns is stiff"), &[]);
    says(&finding("  on each peg\n  signs turns is stiff"), &[]);
    says(&finding("  on peg\n  signs turns is stiff"), &[("no-place-in-hand", "turns")]);
    fix_settles(&finding("  on peg\n  signs turns is stiff"));
    says(&signs("any peg with turns is stiff"), &[]);
}

#[test]
fn the_place_in_hand_is_here() {
    let at = |text: &str| match book(text).findings.swap_remove(0).signs {
        Condition::Test(Test::IsOneOf { look: LookAt { place, .. }, .. }, _) => place,
        other => panic!("a test: {other:?}"),
    };
    assert_eq!(at(&finding("  on each peg\n  signs turns is stiff")), PlaceAt::Here);
    assert_eq!(at(&finding("  on each peg\n  signs peg.A.turns is stiff")), PlaceAt::Fixed(PlaceId(1)));
    assert_eq!(at(&signs("state is worn")), PlaceAt::Single);
}

#[test]
fn a_place_is_one_of_that_part() {
    says(&signs("peg.G.turns is stiff"), &[("unknown-name", "G")]);
    says(&signs("nut.E.turns"), &[("no-places", "E")]);
    says(&signs("crack.E.length is above 3 mm"), &[("no-places", "E")]);
    says(&finding("  on each peg\n  signs E.turns is stiff"), &[("unknown-name", "E")]);
    fix_settles(&finding("  on each peg\n  signs E.turns is stiff"));
    says(&finding("  on each peg\n  signs peg.E"), &[("wrong-kind", "E")]);
}

#[test]
fn place_is_the_place_in_hand() {
    says(&finding("  on each peg\n  signs turns is stiff and place is E"), &[]);
    says(&finding("  on each peg\n  signs turns is stiff and place is G"), &[("unknown-name", "G")]);
    says(&signs("place is E"), &[("no-place-in-hand", "place is E")]);
    says(&finding("  on each crack\n  signs place is E"), &[("no-places", "place is E")]);
}

#[test]
fn counts_go_over_places() {
    says(&signs("any nut with turns"), &[("no-places", "nut")]);
    says(&signs("at least 3 peg with turns is stiff"), &[("outside-range", "at least 3")]);
    says(&signs("at least 3 crack with length is above 3 mm"), &[]);
}

#[test]
fn each_needs_places() {
    says(&finding("  on each nut\n  signs turns"), &[("no-places", "nut")]);
}

#[test]
fn places_have_names_or_are_as_found() {
    let text = "part edge \"Edge\"\n  place top\n  places as found\n  look chipped \"Chipped?\" yes or no\n";
    says(text, &[("places-twice", "places as found")]);
}

#[test]
fn a_raise_on_one_part_has_its_place_in_hand() {
    let raise = |on: &str| format!("raise more \"More\"\n  when peg.turns is stiff\n  on {on}\n  by 1 step\n");
    says(&raise("peg"), &[]);
    says(&raise("peg, nut"), &[("no-place-in-hand", "peg.turns")]);
}
