//! `purfle proof --about`: the pages about diagnostics as they are shown.

use purfle_lang::pages::slugs;

use crate::bench::{Bench, code, err, out};

#[test]
fn a_page_is_shown_with_its_examples() {
    let output = Bench::new().purfle(&["proof", "--about", "unit-missing"]);
    assert_eq!((code(&output), err(&output)), (0, String::new()));
    insta::assert_snapshot!(out(&output));
}

#[test]
fn every_page_fits_on_a_terminal() {
    let bench = Bench::new();
    for slug in slugs() {
        let output = bench.purfle(&["proof", "--about", slug]);
        assert_eq!(code(&output), 0, "{slug}: {}", err(&output));
        let text = out(&output);
        assert!(text.starts_with(&format!("{slug}\n")) && !text.contains("```") && !text.contains("\n#"), "{text}");
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    }
}

#[test]
fn the_list_names_every_page() {
    let output = Bench::new().purfle(&["proof", "--about"]);
    assert_eq!(code(&output), 0);
    let text = out(&output);
    assert!(slugs().all(|slug| text.lines().any(|line| line.starts_with(&format!("{slug} ")))), "{text}");
    assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
}

#[test]
fn an_unknown_page_offers_the_nearest_and_the_list() {
    let output = Bench::new().purfle(&["proof", "--about", "unit-mising"]);
    assert_eq!((code(&output), out(&output)), (2, String::new()));
    let told = err(&output);
    assert!(told.contains("`unit-missing`?") && told.contains("`purfle proof --about` lists all"), "{told}");
    let told = err(&Bench::new().purfle(&["proof", "--about", "xylophone"]));
    assert!(!told.contains("Did you mean") && told.contains("lists all"), "{told}");
}
