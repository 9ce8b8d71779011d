//! Jumps and uses.

use purfle_lang::span::{FileId, Span};

use super::shop::{HOUSE, SHOP, with};
use super::{at, at_on, marked_lines};
use crate::analysis::Analysis;
use crate::ide::definition::{definition, references, references_elsewhere};

/// The line a jump leads to, marked.
fn leads_to(text: &str) -> String {
    let (analysis, offset) = at(text);
    let jump = definition(&analysis, FileId::OWN, offset).unwrap_or_else(|| panic!("no jump: {text}"));
    marked_lines(analysis.text(jump.to.file), &[jump.to])
}

#[test]
fn every_kind_of_name_leads_to_where_it_is_written() {
    for (line, pointed, expected) in [
        ("on       button", "  on       bu§tton", "part [button] \"Button\""),
        (
            "signs    gap",
            "  signs    §gap is above 0.2 mm",
            "look [gap]   \"Gap under the collar\"  measured in mm from 0 to 8, give or take 0.2",
        ),
        ("signs    turns is", "  signs    turns is sli§ps", "look turns  \"How does it turn?\"  one of smoothly, [slips], stuck"),
        (
            "urgency  halt if",
            "  urgency  halt§ if sits is pulling-out",
            "step [halt]  \"Do not play\"     at once, not to be played",
        ),
        ("hands    luthier", "  hands    luthier§", "hand [luthier]  \"A luthier\"  60 USD per h"),
        ("work     seat-button", "  work     seat-§button", "work [seat-button] \"Refit the button\" 0.5 to 1 h * slowness once"),
        ("left     becomes", "  left     becomes §button-torn", "finding [button-torn] \"The button is torn out\""),
        ("finds    button-loose", "  finds    button-loose at b§ook", "step [book]  \"Book a luthier\"  within 30 days"),
        ("row cello", "  row cel§lo  1.5", "look kind    \"Which is it?\"   one of violin, viola, [cello], bass"),
        ("signs    turns is", "  signs    peg.A§.turns is slips", "place [A]  \"The A peg\""),
    ] {
        assert_eq!(leads_to(&with(line, pointed)), expected);
    }
}

#[test]
fn an_alter_leads_to_the_parent() {
    let (analysis, offset) = at_on(&HOUSE.replace("alter finding button-loose", "alter finding button-§loose"), SHOP);
    let jump = definition(&analysis, FileId::OWN, offset).expect("a jump");
    assert_eq!(jump.to.file, FileId(1));
    assert_eq!(marked_lines(SHOP, &[jump.to]), "finding [button-loose] \"The button is loose\"");
    let (analysis, offset) = at_on(&HOUSE.replace("builds on shop", "builds on §shop"), SHOP);
    let jump = definition(&analysis, FileId::OWN, offset).expect("a jump");
    assert_eq!(marked_lines(SHOP, &[jump.to]), "rulebook [shop] \"A shop\"");
}

#[test]
fn uses_are_found_over_the_whole_chain() {
    let (analysis, offset) = at_on(&HOUSE.replace("finds    button-loose", "finds    §button-loose"), SHOP);
    let spans = |file: u16| -> Vec<Span> {
        let all = references(&analysis, FileId::OWN, offset, true);
        all.iter().map(|note| note.span).filter(|span| span.file == FileId(file)).collect()
    };
    assert_eq!(
        marked_lines(analysis.text(FileId(0)), &spans(0)),
        "alter finding [button-loose] because \"seen sooner\"\nfinds    [button-loose] at halt"
    );
    assert_eq!(marked_lines(SHOP, &spans(1)), "finding [button-loose] \"The button is loose\"\nfinds    [button-loose] at book");
}

#[test]
fn uses_in_a_house_are_found_from_the_rulebook_it_builds_on() {
    let (shop, offset) = {
        let text = SHOP.replace("finding button-loose", "finding §button-loose");
        let (plain, pointers) = super::drawn(&text);
        (Analysis::of("shop.purfle", &plain, &[]), pointers[0])
    };
    let house = Analysis::of("house.purfle", HOUSE, &[("shop.purfle", SHOP)]);
    let found = references_elsewhere(&shop, FileId::OWN, offset, &[&house]);
    let spans: Vec<Span> = found.iter().map(|(_, note)| note.span).collect();
    assert_eq!(
        marked_lines(HOUSE, &spans),
        "alter finding [button-loose] because \"seen sooner\"\nfinds    [button-loose] at halt"
    );
}

#[test]
fn names_are_known_beside_errors() {
    let broken = format!(
        "{}\nfinding odd \"Odd\"\n  on peg\n  signs turns is\n  urgency\n",
        with("hands    luthier", "  hands    lut§hier")
    );
    assert_eq!(leads_to(&broken), "hand [luthier]  \"A luthier\"  60 USD per h");
}
