//! Items by name.

use purfle_lang::span::FileId;

use super::shop::{HOUSE, SHOP};
use crate::analysis::Analysis;
use crate::ide::outline::{Symbol, outline, search};

fn names(symbols: &[Symbol]) -> Vec<&str> {
    symbols.iter().map(|symbol| symbol.name.as_str()).collect()
}

#[test]
fn items_hold_their_looks_places_and_rungs() {
    let analysis = Analysis::of("own.purfle", SHOP, &[]);
    let all = outline(&analysis, FileId::OWN);
    assert_eq!(names(&all)[..5], ["shop", "urgency", "hands", "tiers", "instrument"]);
    let peg = all.iter().find(|symbol| symbol.name == "peg").expect("it is there");
    assert_eq!(names(&peg.children), ["E", "A", "turns"]);
    assert_eq!(names(&all).last(), Some(&"a crooked button"));
}

#[test]
fn changes_say_that_they_are_and_why() {
    let analysis = Analysis::of("own.purfle", HOUSE, &[("shop.purfle", SHOP)]);
    let all = outline(&analysis, FileId::OWN);
    let altered = all.iter().find(|symbol| symbol.changes).expect("one");
    assert_eq!((altered.name.as_str(), altered.detail.as_str()), ("alter luthier", "our rate"));
}

#[test]
fn a_search_takes_letters_in_order_over_the_whole_chain() {
    let analysis = Analysis::of("own.purfle", HOUSE, &[("shop.purfle", SHOP)]);
    assert_eq!(names(&search(&analysis, "button-t"))[0], "button-torn");
    assert_eq!(names(&search(&analysis, "pgt")), ["peg.turns"]);
    let all = search(&analysis, "");
    assert!(
        ["house", "alter luthier", "shop", "peg.E", "button.gap"].iter().all(|name| names(&all).contains(name)),
        "{:?}",
        names(&all)
    );
}
