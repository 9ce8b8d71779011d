//! Names that nothing has, that two things have, and that something of another kind has.

use super::*;

#[test]
fn an_unknown_look_gets_the_nearest_one() {
    says(&signs("stete is worn"), &[("unknown-name", "stete")]);
    fix_settles(&signs("stete is worn"));
    assert!(only(&signs("stete is worn")).fixes[0].safe, "one slip, and nothing else is as near");
}

#[test]
fn nothing_is_offered_that_is_not_near() {
    let diagnostic = only(&signs("varnish is worn"));
    assert_eq!(diagnostic.slug, "unknown-name");
    assert!(diagnostic.fixes.is_empty());
    assert!(diagnostic.help.starts_with("Write one of `gap`"), "{}", diagnostic.help);
}

#[test]
fn a_look_of_another_part_is_named_in_full() {
    says(&signs("length is above 3 mm"), &[("unknown-name", "length")]);
    says(&signs("strung"), &[("unknown-name", "strung")]);
    fix_settles(&signs("strung"));
}

#[test]
fn a_look_of_the_outer_part_is_named_in_full_inside_a_count() {
    fix_settles(&signs("any peg with (turns is stiff and state is worn)"));
}

#[test]
fn every_kind_of_name_is_looked_up() {
    for (text, at) in [
        (finding("  on nutt\n  signs turns"), "nutt"),
        (finding("  on nut\n  signs turns\n  left becomes truble"), "truble"),
        (finding("  on nut\n  signs turns\n  yields to truble"), "truble"),
        (finding("  on nut\n  signs found truble"), "truble"),
        (finding("  on nut\n  signs turns\n  urgency halp if gap is above 3 mm"), "halp"),
        ("work other \"Other\" 1 h by luthierr once\n".to_owned(), "luthierr"),
        ("work other \"Other\" 1 h once\n  includes mendd\n".to_owned(), "mendd"),
        ("raise more \"More\"\n  when instrument.strung\n  on nat\n  by 1 step\n".to_owned(), "nat"),
        ("raise more \"More\"\n  when instrument.strung\n  on nut\n  by 1 step, no higher than sson\n".to_owned(), "sson"),
    ] {
        says(&text, &[("unknown-name", at)]);
    }
}

#[test]
fn a_name_of_another_kind_is_told_as_such() {
    let table = "table slowness \"Slowness\" by instrument.kind\n  row any 1\n";
    let text = format!("{table}work other \"Other\" 1 h by slowness once\n");
    let diagnostic = only(&text);
    assert_eq!(diagnostic.slug, "wrong-kind");
    assert_eq!(diagnostic.says, "`slowness` is a table, and a hand stands here.");
    says(&format!("{table}{}", finding("  on nut\n  signs turns\n  yields to slowness")), &[("wrong-kind", "slowness")]);
    says(&signs("gap is above mend"), &[("wrong-kind", "mend")]);
}

#[test]
fn a_finding_is_asked_for_with_found() {
    let other = finding("  on nut\n  signs turns").replace("finding trouble", "finding other");
    fix_settles(&format!("{other}{}", signs("other")));
}

#[test]
fn a_name_stands_once_in_a_list() {
    says(&signs("state is one of worn, worn"), &[("name-twice", "worn")]);
    let text = finding("  on nut\n  signs turns").replace("cost nothing", "work mend, mend");
    says(&text, &[("name-twice", "mend")]);
}

#[test]
fn a_table_and_a_reckoning_share_their_names() {
    let text = "table same \"Same\" by instrument.kind\n  row any 1\nreckon same \"Same\" as 1\n";
    says(text, &[("name-twice", "same")]);
}

#[test]
fn a_name_defined_by_a_broken_item_is_known() {
    let text = finding("  on nut\n  signs gap is above 3 USD\n  left becomes trouble").replace("left becomes trouble", "");
    let other = finding("  on nut\n  signs turns\n  yields to trouble").replace("finding trouble", "finding other");
    says(&format!("{text}{other}"), &[("unit-mismatch", "3 USD")]);
}

/// What is said of a text by the resolver alone, where the parser has told of an error.
#[track_caller]
fn said_beside_the_parser(text: &str) -> Vec<&'static str> {
    let parsed = parse(FileId(0), &format!("{HEAD}\n{text}"));
    assert!(!parsed.diagnostics.is_empty(), "the parser has nothing against it");
    let resolved = resolve(&[parsed.tree]);
    assert!(resolved.diagnostics.is_empty() || resolved.book.is_none());
    resolved.diagnostics.iter().map(|diagnostic| diagnostic.slug).collect()
}

#[test]
fn nothing_is_said_of_what_was_lost_to_an_error() {
    let other = finding("  on nut\n  signs turns\n  left becomes lost");
    for lost in [
        format!(
            "finding \"Lost\"\n  on nut\n  signs turns\n  urgency soon\n  hands luthier\n  cost nothing\n  basis \"b\"\n{other}"
        ),
        format!("part \"Saddle\"\n  look up \"Up?\" yes or no\n{}", finding("  on saddle\n  signs up")),
        format!("part saddle \"Saddle\"\n  look \"Up?\" yes or no\n{}", finding("  on saddle\n  signs up")),
        format!("work \"Lost\" 1 h once\n{}", finding("  on nut\n  signs turns").replace("cost nothing", "work lost")),
        format!("part saddle \"Saddle\"\n  look up \"Up?\" maybe\n{}", finding("  on saddle\n  signs up is high")),
        format!("table limit \"Limit\" instrument.kind\n  row any 3 mm\n{}", signs("gap is above limit")),
    ] {
        assert_eq!(said_beside_the_parser(&lost), Vec::<&str>::new(), "{lost}");
    }
}

#[test]
fn a_hand_whose_rate_was_lost_is_told_once() {
    let text = "work big \"Big\" 3 h by lost once\n  includes mend\n";
    let whole = HEAD.replace("hand luthier", "hand lost \"Lost\" 9 USD\n  hand luthier");
    let parsed = parse(FileId(0), &format!("{whole}\n{text}"));
    assert_eq!(parsed.diagnostics.len(), 1);
    assert!(resolve(&[parsed.tree]).diagnostics.is_empty());
}
