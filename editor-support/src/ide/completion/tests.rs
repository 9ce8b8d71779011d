//! What is proposed where the pointer `§` stands, and what a line becomes when a proposal is taken.

use purfle_lang::span::FileId;

use super::{Proposal, ProposalKind, completion};
use crate::ide::tests::shop::{HOUSE, SHOP, with};
use crate::ide::tests::{at, at_on};

fn proposed(text: &str) -> Vec<Proposal> {
    let (analysis, offset) = at(text);
    completion(&analysis, FileId::OWN, offset)
}

fn labels(proposals: &[Proposal]) -> Vec<&str> {
    proposals.iter().map(|proposal| proposal.label.as_str()).collect()
}

/// The labels proposed on a line put in the place of another.
fn on(line: &str, written: &str) -> Vec<String> {
    labels(&proposed(&with(line, written))).into_iter().map(str::to_owned).collect()
}

/// The labels of one kind.
fn of(kind: ProposalKind, line: &str, written: &str) -> Vec<String> {
    let all = proposed(&with(line, written));
    all.iter().filter(|proposal| proposal.kind == kind).map(|proposal| proposal.label.clone()).collect()
}

/// The line of the pointer after the proposal of that label is taken.
fn taken(text: &str, label: &str) -> String {
    let (analysis, offset) = at(text);
    let all = completion(&analysis, FileId::OWN, offset);
    let proposal = all.iter().find(|proposal| proposal.label == label).unwrap_or_else(|| panic!("{label}: {:?}", labels(&all)));
    let mut after = analysis.text(FileId::OWN).to_owned();
    after.replace_range(proposal.replaces.range(), &proposal.plain());
    let start = after[..proposal.replaces.range().start].rfind('\n').map_or(0, |at| at + 1);
    after[start..].lines().next().unwrap_or_default().to_owned()
}

#[test]
fn a_line_at_the_margin_begins_an_item_and_what_stands_once_is_left_out() {
    let all = proposed(&format!("{SHOP}\nfi§"));
    let all = labels(&all);
    for label in ["finding", "part", "example", "finding …"] {
        assert!(all.contains(&label), "{label}: {all:?}");
    }
    for label in ["rulebook", "urgency", "hands", "tiers", "alter"] {
        assert!(!all.contains(&label), "{label}: {all:?}");
    }
    assert_eq!(taken(&format!("{SHOP}\nfi§"), "finding"), "finding");
    let (house, offset) = at_on(&format!("{HOUSE}\n§"), SHOP);
    let all = completion(&house, FileId::OWN, offset);
    assert!(["alter", "without"].iter().all(|verb| labels(&all).contains(verb)));
}

#[test]
fn a_whole_finding_has_holes_and_reads_once_they_are_filled() {
    let all = proposed(&format!("{SHOP}\nfi§"));
    let finding = all.iter().find(|proposal| proposal.label == "finding …").expect("it is there");
    assert!(finding.numbered().starts_with("finding ${1:name} \"${2:what is found}\"\n  on       ${3:part}\n"));
    let filled = finding
        .plain()
        .replace("finding name", "finding new")
        .replace("on       part", "on       button")
        .replace("condition", "gap is above 1 mm")
        .replace("urgency  step", "urgency  book")
        .replace("hands    hand", "hands    luthier");
    let (analysis, _) = at(&format!("{SHOP}\n{filled}§"));
    let errors: Vec<_> = analysis.quick().iter().filter(|told| told.is_error()).collect();
    assert!(errors.is_empty(), "{errors:?}");
}

#[test]
fn clauses_are_those_that_can_stand_in_this_item() {
    let in_finding = on("cost     nothing", "  §");
    for label in ["work", "goods", "cost", "tell", "basis", "urgency", "way"] {
        assert!(in_finding.iter().any(|known| known == label), "{label}: {in_finding:?}");
    }
    for label in ["on", "signs", "hands", "row", "look"] {
        assert!(!in_finding.iter().any(|known| known == label), "{label}: {in_finding:?}");
    }
    let under_look = on("good  smoothly", "    §");
    for label in ["good", "how", "private", "only when", "look", "place"] {
        assert!(under_look.iter().any(|known| known == label), "{label}: {under_look:?}");
    }
    assert_eq!(taken(&with("cost     nothing", "  co§"), "cost"), "  cost");
}

#[test]
fn choices_are_those_of_this_look() {
    let choices = |written: &str| of(ProposalKind::Choice, "signs    gap", written);
    assert_eq!(choices("  signs    sits is §"), ["straight", "crooked", "pulling-out"]);
    assert_eq!(choices("  signs    sits is one of crooked, §"), ["straight", "pulling-out"]);
    assert_eq!(choices("  signs    gap is above 1 mm and instrument.kind is not §"), ["violin", "viola", "cello", "bass"]);
    assert_eq!(choices("  signs    marks has §"), ["dent", "scratch"]);
    assert_eq!(choices("  signs    instrument.strung is §"), ["no"]);
    assert_eq!(of(ProposalKind::Choice, "good  smoothly", "    good  §"), ["smoothly", "slips", "stuck"]);
    assert_eq!(of(ProposalKind::Choice, "row cello", "  row §"), ["violin", "viola", "cello", "bass"]);
    assert_eq!(of(ProposalKind::Choice, "record   button", "  record   peg.E.turns is §"), ["smoothly", "slips", "stuck"]);
    assert_eq!(taken(&with("signs    gap", "  signs    sits is cr§"), "crooked"), "  signs    sits is crooked");
}

#[test]
fn units_are_those_of_its_dimension_and_the_looks_own_comes_first() {
    let units = |line: &str, written: &str| of(ProposalKind::Unit, line, written);
    assert_eq!(units("signs    gap", "  signs    gap is above 0.2 §"), ["mm", "cm", "m", "inch"]);
    assert_eq!(units("signs    gap", "  signs    room.humidity is below 30 §"), ["%"]);
    assert_eq!(units("signs    gap", "  signs    instrument.worth is above 30 §"), ["USD"]);
    assert_eq!(units("goods    ", "  goods    \"Button\"  5 to 12 §"), ["USD"]);
    assert_eq!(units("record   button", "  record   room.temperature is 20 §"), ["degC", "degF"]);
    assert_eq!(units("good  0 mm", "    good  0 §"), ["mm", "cm", "m", "inch"]);
}

#[test]
fn names_are_those_of_the_kind_that_can_stand_there() {
    let names = |line: &str, written: &str| of(ProposalKind::Name, line, written);
    assert!(!on("signs    gap", "  signs    §").contains(&"button.gap".to_owned()), "a plain name is enough");
    assert_eq!(names("on       button", "  on       §"), ["instrument", "button", "peg", "crack", "room"]);
    assert_eq!(names("on       each", "  on       each §"), ["peg", "crack"]);
    assert_eq!(names("urgency  book", "  urgency  §"), ["fine", "book", "halt"]);
    assert_eq!(names("hands    luthier", "  hands    §"), ["player", "luthier"]);
    assert_eq!(names("work     seat", "  work     §"), ["seat-button"]);
    assert_eq!(names("left     becomes", "  left     becomes §"), ["button-loose", "button-torn", "peg-slips"]);
    assert_eq!(names("signs    gap", "  signs    found §"), ["button-loose", "button-torn", "peg-slips"]);
    assert_eq!(names("signs    gap", "  signs    any §"), ["peg", "crack"]);
    assert_eq!(names("finds    ", "  finds    button-loose at §"), ["fine", "book", "halt"]);
    assert_eq!(of(ProposalKind::Place, "signs    turns", "  signs    place is §"), ["E", "A"]);
}

#[test]
fn a_path_goes_on_with_what_its_part_has() {
    let kinds = |written: &str| on("signs    gap", written);
    assert_eq!(kinds("  signs    instrument.§"), ["kind", "strung", "worth"]);
    assert_eq!(kinds("  signs    peg.§"), ["E", "A"]);
    assert_eq!(kinds("  signs    peg.E.§"), ["turns"]);
    assert_eq!(kinds("  signs    any peg with §")[0], "turns");
    assert_eq!(on("record   button", "  record   peg.§"), ["E", "A"]);
    assert_eq!(taken(&with("signs    gap", "  signs    instrument.st§"), "strung"), "  signs    instrument.strung");
}

#[test]
fn after_a_look_stands_how_such_a_look_is_asked() {
    assert_eq!(on("signs    gap", "  signs    sits §"), ["is", "is not", "is one of"]);
    assert_eq!(on("signs    gap", "  signs    marks §"), ["has", "has any of"]);
    assert_eq!(on("signs    gap", "  signs    gap §"), ["is above", "is below", "is at least", "is at most", "is from"]);
    assert_eq!(on("signs    gap", "  signs    instrument.strung §"), ["is no", "and", "or"]);
    let limits = on("signs    gap", "  signs    gap is above §");
    assert!(limits.contains(&"gap".to_owned()) && limits.contains(&"last".to_owned()), "{limits:?}");
    assert!(!limits.iter().any(|limit| limit.contains("humidity")), "only what has a length: {limits:?}");
}

#[test]
fn lines_that_go_on_and_bullets_are_no_other() {
    let bullets = "  signs    any of\n    - gap is above 0.2 mm\n    - sits is §";
    assert_eq!(of(ProposalKind::Choice, "signs    gap", bullets), ["straight", "crooked", "pulling-out"]);
    let bullet = on("signs    gap", "  signs    any of\n    - §");
    assert!(bullet.contains(&"gap".to_owned()), "{bullet:?}");
    let more = of(ProposalKind::Choice, "signs    gap", "  signs    sits is one of crooked,\n           §");
    assert_eq!(more, ["straight", "pulling-out"]);
}

#[test]
fn what_is_altered_stands_in_a_parent() {
    let proposals = |line: &str| {
        let (house, offset) = at_on(&format!("{HOUSE}\n{line}"), SHOP);
        labels(&completion(&house, FileId::OWN, offset)).into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    assert!(proposals("alter §").contains(&"finding".to_owned()));
    assert!(!proposals("without §").contains(&"hand".to_owned()));
    assert_eq!(proposals("alter finding §"), ["button-loose", "button-torn", "peg-slips"]);
    assert_eq!(proposals("alter look button.§"), ["gap", "sits", "marks"]);
    assert_eq!(proposals("without place §"), ["peg.E", "peg.A"]);
    assert!(proposals("alter hand player §").contains(&"because".to_owned()));
    assert_eq!(proposals("without finding peg-slips\n  §"), ["because"]);
    assert!(proposals("alter finding button-torn because \"x\"\n  §").contains(&"urgency".to_owned()));
    assert_eq!(proposals("alter finding button-torn because \"x\"\n  signs sits is §")[..2], ["straight", "crooked"]);
    assert_eq!(proposals("alter table slowness because \"x\"\n  row §")[..2], ["violin", "viola"]);
    assert_eq!(proposals("alter part button because \"x\"\n  look §"), ["gap", "sits", "marks"]);
    assert!(proposals("al§").contains(&"alter finding …".to_owned()));
}

#[test]
fn other_items_may_be_in_error() {
    let broken = format!("{}\nfinding odd \"Odd\"\n  signs (((\n\nparrt x\n", with("signs    gap", "  signs    sits is §"));
    let all = proposed(&broken);
    let choices: Vec<&str> =
        all.iter().filter(|proposal| proposal.kind == ProposalKind::Choice).map(|proposal| proposal.label.as_str()).collect();
    assert_eq!(choices, ["straight", "crooked", "pulling-out"]);
}

#[test]
fn a_quieting_is_written_with_a_warning_that_is_told_first() {
    let text = SHOP.replace("  cost     nothing\n  basis    \"common practice\"\n", "  cost     nothing\n  # quiet §\n");
    assert_eq!(labels(&proposed(&text))[0], "no-basis");
    assert_eq!(labels(&proposed(&format!("{SHOP}\n# q§"))), ["quiet"]);
    assert_eq!(labels(&proposed(&format!("{SHOP}\n# quiet no-basis §"))), ["because"]);
}

#[test]
fn the_kind_of_answer_may_stand_below_its_look() {
    let kinds = on("look worth", "  look worth   \"Its worth?\"\n    §");
    assert!(["yes or no", "measured in", "how", "look"].iter().all(|kind| kinds.contains(&(*kind).to_owned())), "{kinds:?}");
    assert!(!on("good  smoothly", "    §").contains(&"yes or no".to_owned()));
}

#[test]
fn a_table_keeps_the_unit_of_its_rows() {
    let text = format!("{SHOP}\ntable price \"Price\" by instrument.kind\n  row cello  5 USD\n  row any    6 §\n");
    let units: Vec<String> =
        proposed(&text).into_iter().filter(|proposal| proposal.kind == ProposalKind::Unit).map(|unit| unit.label).collect();
    assert_eq!(units, ["USD"]);
}

#[test]
fn nothing_is_proposed_in_texts_comments_and_numbers() {
    for written in ["  signs    gap # it is §", "  signs    gap is above 0§", "  tell     \"So §\""] {
        assert_eq!(on("signs    gap", written), Vec::<String>::new(), "{written}");
    }
}
