//! The layout as edits.

use purfle_lang::span::FileId;
use purfle_lang::tidy::tidy;

use super::edited;
use super::shop::SHOP;
use crate::analysis::Analysis;
use crate::ide::format::{format, format_range};

const UNTIDY: &str = "part a  \"A\"\n   look  b \"B?\"  yes or no\nwork c   \"C\"  1 h once\n\n\n\nwork d \"D\" 1 h    once\n";

#[test]
fn the_edits_make_the_text_tidy_and_leave_lines_that_are() {
    for text in [UNTIDY, SHOP] {
        let analysis = Analysis::of("own.purfle", text, &[]);
        assert_eq!(edited(text, &format(&analysis, FileId::OWN)), tidy(text));
    }
    let tidy = tidy(SHOP);
    assert_eq!(format(&Analysis::of("own.purfle", &tidy, &[]), FileId::OWN), []);
    let one = tidy.replace("  hands    player", "  hands  player");
    let edits = format(&Analysis::of("own.purfle", &one, &[]), FileId::OWN);
    assert_eq!(edits.iter().map(|edit| edit.text.as_str()).collect::<Vec<_>>(), ["  hands    player\n"]);
}

#[test]
fn a_range_lays_out_the_items_it_touches() {
    let analysis = Analysis::of("own.purfle", UNTIDY, &[]);
    let at = UNTIDY.find("look").expect("it is there") as u32;
    let after = edited(UNTIDY, &format_range(&analysis, FileId::OWN, at, at));
    assert!(after.starts_with("part a \"A\"\n  look b  \"B?\"  yes or no\n"), "{after}");
    assert!(after.ends_with("work d \"D\" 1 h    once\n"), "{after}");
}
