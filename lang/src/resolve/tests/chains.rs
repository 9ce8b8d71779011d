//! House rulebooks built on another.

use super::*;

/// What is said of a house rulebook with these lines, built on [`HEAD`] with `parent` after it.
#[track_caller]
fn house(parent: &str, lines: &str) -> (Resolved, String) {
    let house = format!("rulebook house \"House\"\n  edition 1\n  builds on trial edition 1\n{lines}");
    let (house_tree, parent_tree) = (parse(FileId(0), &house), parse(FileId(1), &format!("{HEAD}\n{parent}")));
    for parsed in [&house_tree, &parent_tree] {
        assert!(parsed.diagnostics.is_empty(), "the parser refuses it: {:#?}", parsed.diagnostics);
    }
    (resolve(&[house_tree.tree, parent_tree.tree]), house)
}

#[track_caller]
fn house_says(parent: &str, lines: &str, expected: &[(&str, u16)]) -> Resolved {
    let (resolved, house) = house(parent, lines);
    let said: Vec<(&str, u16)> =
        resolved.diagnostics.iter().map(|diagnostic| (diagnostic.slug, diagnostic.span.file.0)).collect();
    assert_eq!(said, expected, "{house}\n{:#?}", resolved.diagnostics);
    resolved
}

#[test]
fn a_house_takes_over_what_it_leaves_alone() {
    let resolved = house_says(&signs("turns"), "alter hand luthier 95 USD per h because \"Our rate.\"\n", &[]);
    let Some(book) = resolved.book else { panic!("a book") };
    assert_eq!(book.money.code(), "USD");
    assert_eq!(book.hands[1].rate, Some(crate::number::Number::from_integer(95)));
    assert_eq!(book.parents[0].name, "trial");
    assert_eq!(book.findings[0].origin.rulebook, "trial");
    assert_eq!(book.hands[1].origin.changes[0].because, "Our rate.");
}

#[test]
fn what_refers_to_a_dropped_item_is_told_where_it_stands() {
    let other = signs("turns").replace("trouble", "other").replace("cost nothing", "work mend");
    house_says(&other, "without work mend because \"We send it out.\"\n", &[("still-used", 0)]);
}

#[test]
fn hands_that_become_less_skilled_are_told() {
    let alter = |hand: &str| format!("alter finding trouble because \"Trained.\"\n  hands {hand}\n");
    house_says(&signs("turns"), &alter("player"), &[("hands-less-skilled", 0)]);
    house_says(&signs("turns"), &alter("luthier"), &[]);
}

#[test]
fn a_parents_example_that_cannot_run_here_is_told_and_left_out() {
    let example = "example \"it turns\"\n  record nut.turns\n  finds trouble at soon\n";
    let parent = format!("{}{example}", signs("turns"));
    let kept = house_says(&parent, "", &[]);
    assert_eq!(kept.book.map(|book| book.inherited_examples.len()), Some(1));
    let left = house_says(&parent, "without finding trouble because \"Not ours.\"\n", &[("example-left-out", 1)]);
    assert_eq!(left.book.map(|book| book.inherited_examples.len()), Some(0));
}
