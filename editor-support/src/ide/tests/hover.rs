//! What is shown under the pointer.

use purfle_lang::span::FileId;

use super::at;
use super::shop::{HOUSE, SHOP, with};
use crate::ide::hover::hover;

fn shown(text: &str) -> String {
    let (analysis, offset) = at(text);
    analysis.figures();
    hover(&analysis, FileId::OWN, offset).unwrap_or_else(|| panic!("nothing is shown: {text}")).text
}

#[test]
fn a_finding_tells_its_urgency_hands_and_costs() {
    assert_eq!(
        shown(&SHOP.replace("finding button-loose", "finding §button-loose")),
        "**finding button-loose**\n\n\
         The button is loose\n\n\
         On `button`\n\n\
         Urgency: `book`, Book a luthier; `halt`, Do not play if sits is pulling-out and instrument.strung\n\n\
         Hands: A luthier\n\n\
         Cost now: 35.00 to 132.00 USD\n\n\
         Cost if left: 35.00 to 132.00 USD at the outside, and more that is known only on sight\n\n\
         Left, it becomes `button-torn`"
    );
}

#[test]
fn a_look_tells_its_question_its_kind_and_how_to_look() {
    assert_eq!(
        shown(&with("signs    gap", "  signs    g§ap is above 0.2 mm")),
        "**look button.gap**\n\n\
         Gap under the collar\n\n\
         measured, 0 to 8 mm, give or take 0.2 mm\n\n\
         Good: `0 mm`\n\n\
         How: Slide a card along it."
    );
}

/// A line is half written more often than not; its names are told all the same.
#[test]
fn a_name_in_a_line_that_cannot_be_read_is_told() {
    for (line, title) in [
        ("  signs    g§ap is abov 0.2 mm", "**look button.gap**"),
        ("  signs    button.g§ap is abov 0.2 mm", "**look button.gap**"),
        ("  signs    sits is crook§ed andd gap", "**button.sits is crooked**"),
    ] {
        let shown = shown(&with("signs    gap", line));
        assert!(shown.starts_with(title), "{line}: {shown}");
    }
}

#[test]
fn work_tells_its_share_and_who_asks_for_it() {
    assert_eq!(
        shown(&with("work     seat-button", "  work     seat-§button")),
        "**work seat-button**\n\n\
         Refit the button\n\n\
         `0.5 to 1 h * slowness`, at 60.00 USD per h, once an instrument\n\n\
         Comes to 30.00 to 120.00 USD, before the least charge\n\n\
         Asked for by button-loose"
    );
}

#[test]
fn a_table_shows_its_rows_and_a_reckoning_its_source() {
    assert!(
        shown(&with("work seat", "work seat-button \"Refit\" 0.5 to 1 h * slow§ness once"))
            .contains("```purfle\nrow cello 1.5\nrow bass 2\nrow any 1\n```")
    );
    let shown = shown(&SHOP.replace("reckon moisture", "reckon mois§ture"));
    assert!(shown.contains("as `wood-moisture(room.humidity, room.temperature)`"), "{shown}");
    assert!(shown.contains("Wood Handbook"), "{shown}");
}

#[test]
fn a_row_tells_when_it_counts() {
    assert_eq!(shown(&with("row bass", "  ro§w bass  2")), "**row of slowness**\n\n`2` where `instrument.kind` is bass");
    assert_eq!(
        shown(&with("row any", "  r§ow any  1")),
        "**row of slowness**\n\n`1` where `instrument.kind` is none of cello, bass, unless a row with fewer `any` fits"
    );
}

#[test]
fn words_and_units_are_explained_as_the_reference_does() {
    assert_eq!(
        shown(&with("hands    luthier", "  ha§nds    luthier")),
        "**hands**\n\n`hands HAND`: the least skilled hand that may do it."
    );
    assert!(shown(&with("left     becomes", "  left     bec§omes button-torn")).contains("what it turns into if it is left"));
    assert!(shown(&SHOP.replace("finding button-loose", "fin§ding button-loose")).contains("heart of a rulebook"));
    assert_eq!(
        shown(&with("signs    gap", "  signs    gap is above 0.2 m§m")),
        "**mm**\n\na length\n\nWritten in mm, cm, m or inch"
    );
    assert!(shown(&with("signs    gap", "  signs    gap is ab§ove 0.2 mm")).contains("leave the limit out"));
}

#[test]
fn a_quieting_tells_what_it_quiets_and_a_small_word_what_it_says() {
    let quiet = format!("{SHOP}\n# quiet no-ba§sis because \"x\"\nfinding f \"F\"\n");
    assert!(shown(&quiet).starts_with("A finding does not say what it rests on.\n\n"), "{}", shown(&quiet));
    assert!(shown(&with("left     becomes", "  left     becomes button-torn od§ds 20 %")).starts_with("**left**"));
}

#[test]
fn what_a_house_changed_is_told_with_the_reason() {
    let (analysis, offset) = super::at_on(&HOUSE.replace("hand luthier", "hand lut§hier"), SHOP);
    let shown = hover(&analysis, FileId::OWN, offset).expect("something").text;
    assert_eq!(
        shown,
        "**hand luthier**\n\n\
         A luthier\n\n\
         80.00 USD per h\n\n\
         2 of 2, from the least skilled\n\n\
         Written in shop\n\n\
         Altered by house (per h): our rate"
    );
}
