//! What a rulebook's conditions and values read like.

use super::Wording;
use crate::book::{Book, PartId};
use crate::resolve::resolve;
use crate::span::FileId;
use crate::syntax::parse;
use crate::unit::Dimension;

const SHOP: &str = r#"
rulebook trial "A trial"
  edition 1
  money   USD

urgency
  step fine "Nothing to do"
  step soon "This week"     within 7 days
  step halt "Do not play"   at once, not to be played

hands
  hand player  "The player"
  hand luthier "A luthier"  60 USD per h

tiers
  tier low  "Low"  up to 100 USD
  tier high "High" beyond

context instrument "The instrument"
  look kind   "Which is it?"  one of violin, cello
  look strung "Is it strung?" yes or no
  look worth  "What is it worth?" priced from 0 to 9000 USD

context room "The room"
  look humidity    "How damp is it?" measured in % from 0 to 100
  look temperature "How warm is it?" measured in degC from -10 to 45

table slowness "Bench time" by instrument.kind
  row cello 1.5
  row any   1

part button "Tail button, of hard wood"
  look gap    "How wide is the gap?" measured in mm from 0 to 8, give or take 0.2
  look sits   "How does it sit?"     one of straight, crooked, out "Out of its hole"
  look marks  "What shows?"          some of dent, scratch
  look fitted "When was it fitted?"  dated

part peg "Peg"
  place G "The G peg"
  place D "The D peg"
  look turns "How does it turn?" one of smoothly, slips

work refit "Refit it" 0.3 to 0.5 h * slowness once

reckon age "Its age" as days from button.fitted to inspected-on

finding torn "It is torn"
  on      button
  signs   SIGNS
  urgency soon
  hands   luthier
  work    refit

finding slips "It slips"
  on      each peg
  signs   turns is slips and place is not G
  urgency soon
  hands   luthier
  cost    nothing

counsel worth-it "Is it worth it?"
  when    WHEN
  tell    "Ask."
"#;

fn book(signs: &str, when: &str) -> Book {
    let parsed = parse(FileId::OWN, &SHOP.replace("SIGNS", signs).replace("WHEN", when));
    let resolved = resolve(&[parsed.tree]);
    resolved.book.unwrap_or_else(|| panic!("{signs}; {when}: {:?} {:?}", parsed.diagnostics, resolved.diagnostics))
}

fn signs(written: &str) -> String {
    let book = book(written, "instrument.strung");
    let finding = &book.findings[0];
    Wording::on(&book, finding.on).sentence(&finding.signs).to_string()
}

fn when(written: &str) -> String {
    let book = book("sits is crooked", written);
    Wording::new(&book).sentence(&book.counsels[0].when).to_string()
}

#[test]
fn every_test_reads_as_a_sentence() {
    for (written, expected) in [
        ("sits is crooked", "“How does it sit?” is crooked"),
        ("sits is not out", "“How does it sit?” is not “Out of its hole”"),
        ("sits is one of crooked, out", "“How does it sit?” is crooked or “Out of its hole”"),
        ("not sits is one of crooked, out", "“How does it sit?” is none of crooked and “Out of its hole”"),
        ("instrument.strung", "“Is it strung?” is yes"),
        ("not instrument.strung", "“Is it strung?” is no"),
        ("instrument.strung is no", "“Is it strung?” is no"),
        ("marks has dent", "“What shows?” has dent"),
        ("marks has any of dent, scratch", "“What shows?” has dent or scratch"),
        ("not marks has any of dent, scratch", "“What shows?” has none of dent and scratch"),
        ("fitted is none", "“When was it fitted?” has no date"),
        ("gap is above 0.2 mm", "“How wide is the gap?” is above 0.2 mm"),
        ("gap is above 0.1 inch", "“How wide is the gap?” is above 2.54 mm"),
        ("not gap is above 0.2 mm", "“How wide is the gap?” is at most 0.2 mm"),
        ("gap is from 0.2 to 0.5 mm", "“How wide is the gap?” is from 0.2 mm to 0.5 mm"),
        ("not gap is from 0.2 to 0.5 mm", "“How wide is the gap?” is below 0.2 mm or above 0.5 mm"),
        ("gap is above last gap + 0.3 mm", "“How wide is the gap?” is above “How wide is the gap?” the time before + 0.3 mm"),
        (
            "gap is above higher of 0.2 mm and last gap",
            "“How wide is the gap?” is above the higher of 0.2 mm and “How wide is the gap?” the time before",
        ),
        ("gap is at most 1/2 * 3 mm", "“How wide is the gap?” is at most 1.5 mm"),
        ("age is above 365 days", "“Its age” is above 365 days"),
        ("found slips", "“It slips” is found"),
        ("any peg with turns is slips", "“Peg”, at any place: “How does it turn?” is slips"),
        ("no peg with turns is slips", "“Peg”, at no place: “How does it turn?” is slips"),
        ("at least 2 peg with turns is slips", "“Peg”, at 2 places or more: “How does it turn?” is slips"),
        ("not at least 2 peg with turns is slips", "“Peg”, at fewer than 2 places: “How does it turn?” is slips"),
        ("peg.G.turns is slips", "“How does it turn?” (Peg) at “The G peg” is slips"),
        (
            "sits is crooked and (gap is above 1 mm or instrument.strung)",
            "“How does it sit?” is crooked, and (“How wide is the gap?” is above 1 mm, or “Is it strung?” is yes)",
        ),
        ("not (sits is crooked and instrument.strung)", "“How does it sit?” is not crooked, or “Is it strung?” is no"),
        (
            "at least 2 of\n    - sits is crooked\n    - gap is above 1 mm\n    - instrument.strung",
            "at least 2 of these: “How does it sit?” is crooked; “How wide is the gap?” is above 1 mm; “Is it strung?” is yes",
        ),
        (
            "wood-moisture(room.humidity, room.temperature) is below 6 %",
            "the moisture that wood comes to in air of “How damp is it?” and “How warm is it?” is below 6 %",
        ),
    ] {
        assert_eq!(signs(written), expected, "{written}");
    }
}

#[test]
fn totals_are_said_by_their_rungs() {
    for (written, expected) in [
        ("total cost is above instrument.worth * 0.5", "the total cost is above 50 % of “What is it worth?”"),
        ("total cost is above 50 % * instrument.worth", "the total cost is above 50 % of “What is it worth?”"),
        ("total cost is above 100 USD", "the total cost is above 100 USD"),
        ("total cost is at most 99.5 USD", "the total cost is at most 99.50 USD"),
        ("total urgency is at least soon", "the urgency of the whole is at least “This week”"),
        ("not total urgency is at least soon", "the urgency of the whole is below “This week”"),
        ("total urgency is at most soon", "the urgency of the whole is at most “This week”"),
        ("total tier is low", "the tier of the total cost is “Low”"),
        ("total tier is not low", "the tier of the total cost is not “Low”"),
    ] {
        assert_eq!(when(written), expected, "{written}");
    }
}

#[test]
fn the_place_in_hand_is_named() {
    let book = book("sits is crooked", "instrument.strung");
    let finding = &book.findings[1];
    let words = Wording::on(&book, finding.on).sentence(&finding.signs).to_string();
    assert_eq!(words, "“How does it turn?” is slips, and the place is not “The G peg”");
}

#[test]
fn amounts_are_in_the_unit_they_are_said_in() {
    let book = book("sits is crooked", "instrument.strung");
    let words = Wording::on(&book, PartId(0)).value(&book.works[0].amount, Dimension::TIME).to_string();
    assert_eq!(words, "18 to 30 min × “Bench time”");
}

#[test]
fn looks_say_what_they_take_and_what_is_good() {
    let good = SHOP
        .replace("give or take 0.2", "give or take 0.2\n    good 0 to 0.1 mm")
        .replace("measured in degC from -10 to 45", "measured in degF from 14 to 113, give or take 2")
        .replace("one of smoothly, slips", "one of smoothly, slips\n    good smoothly")
        .replace("some of dent, scratch", "some of dent, scratch \"A scratch\"\n    good none");
    let parsed = parse(FileId::OWN, &good.replace("SIGNS", "gap is above 1 mm").replace("WHEN", "instrument.strung"));
    let book = resolve(&[parsed.tree]).book.expect("a sound rulebook");
    let said = |path: &str| {
        let look = book.looks.iter().enumerate().find(|(at, _)| book.look_path(crate::book::LookId::from_index(*at)) == path);
        let (_, look) = look.expect("the look");
        let words = Wording::new(&book);
        let good = look.good.as_ref().map(|good| words.good(look, good).to_string()).unwrap_or_default();
        (words.answer(look), good)
    };
    for (path, answer, good) in [
        ("button.gap", "0 to 8 mm, to be read give or take 0.2 mm.", "0 to 0.1 mm"),
        ("button.sits", "One of: straight; crooked; \u{201c}Out of its hole\u{201d} (out).", ""),
        ("button.marks", "All that is so of: dent; \u{201c}A scratch\u{201d} (scratch); or none.", "none"),
        ("button.fitted", "A date, or none.", ""),
        ("instrument.worth", "A sum, 0 to 9000 USD.", ""),
        ("room.temperature", "14 to 113 degF, to be read give or take 2 degF.", ""),
        ("peg.turns", "One of: smoothly; slips.", "smoothly"),
    ] {
        assert_eq!(said(path), (answer.to_owned(), good.to_owned()), "{path}");
    }
}
