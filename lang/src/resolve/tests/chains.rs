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
    house_says(&signs("turns").replace("luthier", "player"), &alter("luthier"), &[]);
}

/// A warning about what a parent wrote is the parent's, unless this rulebook altered it.
#[test]
fn a_house_is_not_told_what_its_parent_has_been_told() {
    let parent = "finding trouble \"Trouble\"\n  on nut\n  signs turns\n  urgency soon\n  hands player\n  work mend\n\
                  work other \"Other\" 20 USD by luthier each\nwork packed \"Packed\" 1 h * nut.pins once\n  includes mend\n";
    house_says(parent, "", &[]);
    let altered = "alter finding trouble because \"Sooner.\"\n  urgency halt\n";
    let resolved = house_says(parent, altered, &[("no-basis", 0), ("care-missing", 0)]);
    assert_eq!(resolved.diagnostics[0].places[0].span.file, FileId(1));
    house_says(parent, "alter work other 30 USD because \"Ours.\"\n", &[("rate-unused", 0), ("unused", 0)]);
    house_says(parent, "alter work mend 0.6 h because \"Ours.\"\n", &[("includes-unproved", 0)]);
}

#[test]
fn hands_that_become_less_skilled_are_told_once() {
    let parent = signs("turns").replace("cost nothing", "work mend");
    let given = "alter finding trouble because \"Trained.\"\n  hands player\n";
    house_says(&parent, given, &[("hands-less-skilled", 0)]);
}

const TURNS: &str = "example \"it turns\"\n  record nut.turns\n  finds trouble at soon\n";

#[test]
fn parents_examples_that_cannot_run_here_are_told_where_that_is_done() {
    let parent = format!("{}{TURNS}{}", signs("turns"), TURNS.replace("it turns", "again"));
    let kept = house_says(&parent, "", &[]);
    assert_eq!(kept.book.map(|book| book.inherited_examples.len()), Some(2));
    let left = house_says(&parent, "without finding trouble because \"Not ours.\"\n", &[("example-left-out", 0)]);
    let told = &left.diagnostics[0];
    let says = "This drops the finding `trouble`, so 2 examples of trial cannot run: \"it turns\" and \"again\".";
    assert_eq!((told.says.as_str(), told.places.len()), (says, 2));
    assert!(told.places.iter().all(|place| place.span.file == FileId(1)));
    assert_eq!(left.book.map(|book| book.inherited_examples.len()), Some(0));
}

#[test]
fn each_that_keeps_an_example_from_running_is_told() {
    let parent = format!("{}{TURNS}", signs("turns"));
    let steps = "alter urgency because \"Ours.\"\n  step fine \"Nothing to do\"\n  step halt \"Do not play\" at once\n";
    let altered = format!(
        "{steps}alter finding trouble because \"Ours.\"\n  urgency halt\n  signs pins is above 2\nwithout look nut.turns because \"No.\"\n"
    );
    let left = house_says(&parent, &altered, &[("example-left-out", 0), ("example-left-out", 0)]);
    let says: Vec<&str> = left.diagnostics.iter().map(|told| told.says.as_str()).collect();
    assert_eq!(
        says,
        [
            "The ladder written anew leaves out the step `soon`, so an example of trial cannot run: \"it turns\".",
            "This drops the look `nut.turns`, so an example of trial cannot run: \"it turns\".",
        ]
    );
}

#[test]
fn a_change_that_keeps_an_example_from_running_is_found_by_its_names() {
    let example = "example \"wide\"\n  record nut.gap is 8 mm\n  finds trouble\n";
    let parent = format!("{}{example}", signs("gap is above 1 mm"));
    let narrower = "alter look nut.gap measured in mm from 0 to 4, give or take 0.2 because \"Ours.\"\n";
    let left = house_says(&parent, narrower, &[("example-left-out", 0)]);
    let told = &left.diagnostics[0];
    assert_eq!(told.says, "`nut.gap` is another here, so an example of trial cannot run: \"wide\".");
    assert!(told.places[0].says.contains("cannot be read"), "{}", told.places[0].says);
}

/// What a rulebook between the two does is told when that one is proved.
#[test]
fn only_the_rulebook_that_drops_it_is_told() {
    let below = parse(FileId(0), "rulebook below \"Below\"\n  edition 1\n  builds on house edition 1\n");
    let house = "rulebook house \"House\"\n  edition 1\n  builds on trial edition 1\nwithout finding trouble because \"No.\"\n";
    let house = parse(FileId(1), house);
    let trial = parse(FileId(2), &format!("{HEAD}\n{}{TURNS}", signs("turns")));
    let resolved = resolve(&[below.tree, house.tree, trial.tree]);
    assert_eq!(resolved.diagnostics, []);
    assert_eq!(resolved.book.map(|book| book.inherited_examples.len()), Some(0));
}
