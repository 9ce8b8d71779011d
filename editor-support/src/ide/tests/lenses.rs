//! What stands above items.

use purfle_lang::span::FileId;

use super::shop::SHOP;
use crate::analysis::Analysis;
use crate::ide::lenses::{lenses, result};

fn above(text: &str) -> Vec<String> {
    let analysis = Analysis::of("own.purfle", text, &[]);
    let all = lenses(&analysis, FileId::OWN);
    all.iter().map(|lens| format!("{}: {}", analysis.written(lens.span), lens.title)).collect()
}

#[test]
fn an_example_tells_how_it_comes_out_and_a_finding_where_it_is_spoken_of() {
    assert_eq!(
        above(SHOP),
        [
            "finding button-loose \"The button is loose\": in 1 example",
            "finding button-torn \"The button is torn out\": in no example",
            "finding peg-slips \"The peg slips\": in no example",
            "example \"a crooked button\": comes out as agreed",
        ]
    );
    let other = SHOP.replace("finds    button-loose at book", "finds    button-loose at halt");
    assert_eq!(
        above(&other).last().map(String::as_str),
        Some("example \"a crooked button\": comes out differently: button-loose is found at book")
    );
    assert_eq!(above(&SHOP.replace("hands    player", "hands    plyer")), Vec::<String>::new(), "not while there are errors");
}

#[test]
fn a_result_tells_what_was_expected_what_came_and_what_decides_it() {
    let other = SHOP.replace("finds    button-loose at book", "finds    button-loose at halt");
    let analysis = Analysis::of("own.purfle", &other, &[]);
    assert_eq!(
        result(&analysis, 0).as_deref(),
        Some(
            "\"a crooked button\" comes out differently.\n  expected: finds button-loose at halt\n  \
             came out: button-loose is found at book\n  because:  button.gap was not written down, button.sits is crooked"
        )
    );
}
