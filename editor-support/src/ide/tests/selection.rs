//! A selection that grows.

use purfle_lang::span::FileId;

use super::at;
use super::shop::with;
use crate::ide::selection::selection;

#[test]
fn a_selection_grows_from_the_word_to_the_text() {
    let (analysis, offset) = at(&with("urgency  halt if", "  urgency  halt if sits is pulling-out and instrument.str§ung"));
    let grown: Vec<&str> = selection(&analysis, FileId::OWN, offset).iter().map(|span| analysis.written(*span)).collect();
    assert_eq!(grown[..3], ["strung", "instrument.strung", "urgency  halt if sits is pulling-out and instrument.strung"]);
    assert!(grown[3].starts_with("finding button-loose") && grown[3].ends_with("\"common practice\""));
    assert_eq!(grown.last().copied(), Some(analysis.text(FileId::OWN)));
}
