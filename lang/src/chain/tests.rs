//! A chain laid into one: what is dropped, altered, added, and what is wrong with it.

use super::*;
use crate::span::FileId;
use crate::syntax::parse;
use crate::syntax::tree::Clause;
use crate::syntax::tree::{Head, Says};

const PARENT: &str = "\
rulebook base \"Base\"
  edition 2026.1
  money USD
  notice \"Not a diagnosis.\"
urgency
  step fine \"Nothing\"
  step book \"Book\" within 30 days
hands
  hand luthier \"A luthier\" 85 USD per h
part button \"Button\"
  look gap \"Gap?\" measured in mm from 0 to 8
    how \"A card\"
    good 0 mm
  look sits \"How?\" one of straight, crooked
work refit \"Refit\" 0.2 h each
finding loose \"Loose\"
  on button
  signs any of
    - gap is above 0.2 mm
    - sits is crooked
  urgency book
  cost on sight
  tell \"One\"
  tell \"Two\"
example \"theirs\"
  record button is good
";

fn laid(child: &str) -> Merged {
    let head = "rulebook house \"House\"\n  edition 1\n  builds on base edition 2026.1\n  notice \"Ours.\"\n";
    let child = parse(FileId(0), &format!("{head}{child}"));
    let parent = parse(FileId(1), PARENT);
    assert!(child.diagnostics.is_empty() && parent.diagnostics.is_empty(), "{:?}", child.diagnostics);
    merge(&[child.tree, parent.tree])
}

fn slugs(merged: &Merged) -> Vec<&'static str> {
    merged.diagnostics.iter().map(|diagnostic| diagnostic.slug).collect()
}

fn entry<'m>(merged: &'m Merged, name: &str) -> &'m Entry {
    merged.entries.iter().find(|entry| entry.name_text() == name).unwrap_or_else(|| panic!("no {name}"))
}

#[test]
fn lines_of_one_word_are_replaced_together_and_the_rest_stays() {
    let merged = laid("alter finding loose because \"seen sooner\"\n  tell \"Ours\"\n  work refit\n");
    assert_eq!(slugs(&merged), Vec::<&str>::new());
    let loose = entry(&merged, "loose");
    let tells: Vec<&Clause> = loose.all("tell").collect();
    assert!(matches!(tells.as_slice(), [Clause { says: Says::Tell(text), .. }] if text.value == "Ours"));
    assert!(loose.has("signs") && loose.has("work") && !loose.has("cost"));
    let origin = merged.origin(loose);
    assert_eq!((origin.rulebook.as_str(), origin.span.file), ("base", FileId(1)));
    assert_eq!(origin.changes[0].what, ["tell", "work"]);
    assert_eq!(origin.changes[0].because, "seen sooner");
}

#[test]
fn a_look_keeps_its_kind_its_unit_and_its_choices() {
    let merged = laid("alter look button.gap \"How wide?\" because \"plainer\"\n  how \"Two cards\"\n");
    let look = entry(&merged, "button").entries(Kind::Look).next().expect("gap");
    assert_eq!(look.words.as_ref().map(|words| words.value.as_str()), Some("How wide?"));
    assert!(matches!(look.head, Head::Look { kind: Some(_) }) && look.has("good"));
    assert_eq!(merged.origin(look).changes[0].what, ["words", "how"]);
    for broken in [
        "alter look button.gap measured in inch from 0 to 1 because \"x\"\n",
        "alter look button.sits one of straight, bent because \"x\"\n",
        "alter part button because \"x\"\n  look gap \"Gap?\" yes or no\n",
    ] {
        assert_eq!(slugs(&laid(broken)), ["look-changes-kind"], "{broken}");
    }
}

#[test]
fn a_ladder_is_replaced_whole_and_a_hand_as_far_as_given() {
    let merged = laid(
        "alter urgency because \"ours\"\n  step fine \"Nothing\"\n  step halt \"Stop\" at once\nalter hand luthier 95 USD per h because \"rent\"\n",
    );
    assert_eq!(slugs(&merged), Vec::<&str>::new());
    let ladder = merged.entries.iter().find(|entry| entry.kind == Kind::Urgency).expect("ladder");
    let steps: Vec<&Entry> = ladder.entries(Kind::Step).collect();
    assert_eq!(steps.iter().map(|step| step.name_text()).collect::<Vec<_>>(), ["fine", "halt"]);
    assert_eq!(merged.origin(steps[0]).rulebook, "base");
    assert_eq!(merged.origin(steps[1]).rulebook, "house");
    let hands = merged.entries.iter().find(|entry| entry.kind == Kind::Hands).expect("hands");
    let luthier = hands.entries(Kind::Hand).next().expect("luthier");
    assert!(matches!(&luthier.head, Head::Hand { rate: Some(rate) } if rate.number.value == "95"));
    assert_eq!(luthier.words.as_ref().map(|words| words.value.as_str()), Some("A luthier"));
    assert_eq!(merged.origin(luthier).changes[0].what, ["per h"]);
}

#[test]
fn a_dropped_name_may_be_given_anew_and_a_standing_one_may_not() {
    let anew = "without work refit because \"ours differs\"\nwork refit \"Refit our way\" 0.5 h each\n";
    let merged = laid(anew);
    assert_eq!(slugs(&merged), Vec::<&str>::new());
    assert_eq!(merged.origin(entry(&merged, "refit")).rulebook, "house");
    assert_eq!(merged.dropped[0].because, "ours differs");
    assert_eq!(slugs(&laid("work refit \"Refit\" 0.5 h each\n")), ["name-taken"]);
    assert_eq!(slugs(&laid("work a \"A\" 1 h each\nwork a \"B\" 1 h each\n")), ["name-twice"]);
    assert_eq!(slugs(&laid("alter work refitt 1 h because \"x\"\n")), ["unknown-name"]);
    let twice = "alter work refit 1 h because \"x\"\nalter work refit once because \"y\"\n";
    assert_eq!(slugs(&laid(twice)), ["altered-twice"]);
}

#[test]
fn heads_must_fit_and_notices_and_examples_are_kept_apart() {
    let merged = laid("example \"ours\"\n  record button is good\n");
    let notices: Vec<&str> = merged.notices.iter().map(|notice| notice.value.as_str()).collect();
    assert_eq!(notices, ["Not a diagnosis.", "Ours."]);
    assert_eq!((merged.examples.len(), merged.inherited_examples.len()), (1, 1));
    assert!(merged.rulebook.as_ref().is_some_and(|head| head.has("money")), "money is taken over");

    let parent = parse(FileId(1), PARENT).tree;
    let child = |head: &str| parse(FileId(0), &format!("rulebook house \"House\"\n{head}")).tree;
    let merged = merge(&[child("  builds on base edition 2026.10\n  money EUR\n"), parent.clone()]);
    assert_eq!(slugs(&merged), ["edition-differs", "money-differs"], "2026.1 is not 2026.10");
    let merged = merge(&[child("  builds on other edition 2026.1\n"), parent]);
    assert_eq!(slugs(&merged), ["parent-differs"]);
    let merged = merge(&[child("without part button because \"x\"\n")]);
    assert_eq!(slugs(&merged), ["builds-on-nothing"]);
}

/// What is told of a child, with the text it points at, and the child after every fix.
fn told(child: &str) -> (Vec<String>, String) {
    let head = "rulebook house \"House\"\n  edition 1\n  builds on base edition 2026.1\n";
    let mut text = format!("{head}{child}");
    let read = |text: &str| merge(&[parse(FileId(0), text).tree, parse(FileId(1), PARENT).tree]).diagnostics;
    let first = read(&text);
    let pointed = first.iter().map(|told| format!("{}: {}", told.slug, &text[told.span.range()])).collect();
    for told in first.iter().rev() {
        for edit in told.fixes.iter().flat_map(|fix| fix.edits.iter().rev()) {
            text.replace_range(edit.span.range(), &edit.text);
        }
    }
    (pointed, text[head.len().min(text.len())..].to_owned())
}

#[test]
fn a_clause_written_again_as_it_is_is_idle() {
    let alter =
        "alter finding loose \"Loose\" because \"seen\"\n  urgency book\n  tell \"One\"\n  tell \"Two\"\n  refer \"New\"\n";
    let (pointed, mended) = told(alter);
    assert_eq!(pointed, ["alter-idle: \"Loose\"", "alter-idle: urgency book", "alter-idle: tell \"One\""]);
    assert_eq!(mended, "alter finding loose  because \"seen\"\n  refer \"New\"\n");
    let (pointed, mended) = told("alter look button.gap \"Wide?\" measured in mm from 0.0 to 8 because \"x\"\n");
    assert_eq!(pointed, ["alter-idle: gap"]);
    assert!(mended.contains("measured"), "what has words beside it is not taken out alone");
}

#[test]
fn an_alter_that_changes_nothing_goes_whole() {
    for idle in [
        "alter finding loose because \"x\"\n  signs gap is above 0.20 mm or sits is crooked\n",
        "alter work refit 0.2 h each because \"x\"\n",
        "alter hand luthier because \"x\"\n",
        "alter hands because \"x\"\n  hand luthier \"A luthier\" 85.00 USD per h\n",
        "alter part button because \"x\"\n  look sits \"How?\" one of straight, crooked\n",
    ] {
        let (pointed, mended) = told(idle);
        let [pointed] = pointed.as_slice() else { panic!("one thing: {pointed:?}") };
        assert!(pointed.starts_with("alter-idle: alter"), "{pointed}");
        assert_eq!(mended.trim(), "", "{idle}");
    }
}

#[test]
fn an_alter_that_changes_something_is_not_idle() {
    for alter in [
        "alter finding loose because \"x\"\n  tell \"Two\"\n  tell \"One\"\n",
        "alter finding loose because \"x\"\n  tell \"One\"\n",
        "alter look button.gap because \"x\"\n  good 0 to 1 mm\n",
        "alter hands because \"x\"\n  hand luthier \"A luthier\" 86 USD per h\n",
        "alter part button because \"x\"\n  look sits \"How?\" one of straight, crooked, out\n",
    ] {
        assert_eq!(told(alter).0, Vec::<String>::new(), "{alter}");
    }
}

/// What a parent writes in vain is told of the parent.
#[test]
fn only_the_rulebooks_own_alter_is_told() {
    let below = parse(FileId(0), "rulebook below \"Below\"\n  edition 1\n  builds on house edition 1\n").tree;
    let house = "rulebook house \"House\"\n  edition 1\n  builds on base edition 2026.1\nalter work refit 0.2 h because \"x\"\n";
    let (house, base) = (parse(FileId(1), house).tree, parse(FileId(2), PARENT).tree);
    assert!(merge(&[below, house.clone(), base.clone()]).diagnostics.is_empty());
}
