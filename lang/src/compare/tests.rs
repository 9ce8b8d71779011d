//! What two small rulebooks are told to differ in.

use super::{How, ItemChange, items};
use crate::chain::merge;
use crate::span::FileId;
use crate::syntax::parse;

const OLD: &str = include_str!("tests/old.purfle");

fn told(new: &[&str]) -> Vec<ItemChange> {
    let trees = |texts: &[&str]| -> Vec<_> { (0..).zip(texts).map(|(file, text)| parse(FileId(file), text).tree).collect() };
    items(&merge(&trees(&[OLD])), &merge(&trees(new)))
}

/// `changed finding loose: signs, urgency`, each with `~` before it where it is words alone.
fn line(change: &ItemChange) -> String {
    let of = format!("{} {}", change.kind.word(), change.name);
    match &change.how {
        How::Added(_) => format!("added {of}"),
        How::Dropped(_) => format!("dropped {of}"),
        How::Changed(clauses) => {
            let words = clauses.iter().map(|clause| format!("{}{}", if clause.only_words { "~" } else { "" }, clause.word));
            format!("changed {of}: {}", words.collect::<Vec<_>>().join(", "))
        }
    }
}

fn lines(new: &str) -> Vec<String> {
    told(&[new]).iter().map(line).collect()
}

#[test]
fn a_rulebook_is_the_same_as_itself_however_it_is_laid_out() {
    assert!(lines(OLD).is_empty());
    let otherwise = OLD.replace("  signs    gap is above 0.2 mm", "  signs gap is above\n    0.20 mm # as ever\n");
    assert_ne!(otherwise, OLD);
    assert!(lines(&otherwise).is_empty());
}

#[test]
fn each_thing_that_is_changed_is_told_under_its_name() {
    for (from, to, expected) in [
        ("above 0.2 mm", "above 0.3 mm", "changed finding loose: signs"),
        ("urgency  book\n", "urgency  book if instrument.strung\n", "changed finding loose: urgency"),
        ("\"It is loose\"", "\"It sits loosely\"", "changed finding loose: ~words"),
        ("tell     \"Small now.\"", "tell     \"Small today.\"", "changed finding loose: ~tell"),
        ("goods    \"Button\"  5 to 12 USD", "goods    \"A button\"  5 to 12 USD", "changed finding loose: ~goods"),
        ("goods    \"Button\"  5 to 12 USD", "goods    \"Button\"  5 to 13 USD", "changed finding loose: goods"),
        ("row cello  1.5", "row cello  1.6", "changed table slowness: row cello"),
        ("85 USD per h", "90 USD per h", "changed hand luthier: rate"),
        ("within 30 days", "within 20 days", "changed step book: within"),
        ("up to 30 USD", "up to 40 USD", "changed tier pocket: limit"),
        ("0.2 to 0.4 h  each", "0.2 to 0.5 h  each", "changed work refit: amount"),
        ("least charge 40 USD", "least charge 50 USD", "changed rulebook first: least charge"),
        ("from 0 to 8", "from 0 to 9", "changed look button.gap: kind of answer"),
        ("good  0 mm", "good  0 to 0.1 mm", "changed look button.gap: good"),
        ("one of violin, cello", "one of violin, cello \"A cello\"", "changed look instrument.kind: ~kind of answer"),
        ("one of violin, cello", "one of violin, cello, bass", "changed look instrument.kind: kind of answer"),
        ("notice \"Ask.\"", "notice \"Ask us.\"", "changed rulebook first: ~notice"),
        ("by 1 steps", "by 2 steps", "changed raise strung: by"),
    ] {
        let new = OLD.replacen(from, to, 1);
        assert_ne!(new, OLD, "{from}");
        assert_eq!(lines(&new), [expected], "{from} -> {to}");
    }
}

#[test]
fn what_one_alone_has_is_added_or_dropped_and_a_ladder_has_its_order() {
    let more = OLD.replacen("  hand luthier", "  hand teacher \"A teacher\"\n  hand luthier", 1);
    assert_eq!(lines(&more), ["changed hands : order", "added hand teacher"]);
    let without = OLD.replacen("work refit ", "work seat ", 1);
    assert_eq!(lines(&without), ["dropped work refit", "added work seat"]);
    let turned = OLD.replacen("  hand player  \"The player\"\n", "", 1).replacen(
        "85 USD per h\n",
        "85 USD per h\n  hand player  \"The player\"\n",
        1,
    );
    assert_eq!(lines(&turned), ["changed hands : order"]);
}

#[test]
fn the_way_that_counts_is_told_by_its_place() {
    let ways = |ways: &[&str]| {
        let one = |name: &&str| format!("  way {name} \"So\"\n    cost 5 USD\n");
        OLD.replacen("  basis    \"common practice\"\n", &ways.iter().map(one).collect::<String>(), 1)
    };
    let told = |old: &[&str], new: &[&str]| {
        let merged = |text: &str| merge(&[parse(FileId(0), text).tree]);
        let changes = items(&merged(&ways(old)), &merged(&ways(new)));
        changes.iter().map(line).collect::<Vec<_>>()
    };
    assert_ne!(ways(&["plug"]), OLD);
    assert_eq!(told(&["plug", "fill"], &["plug", "fill"]), [""; 0]);
    assert_eq!(told(&["plug", "fill"], &["fill", "plug"]), ["changed finding loose: order"]);
    assert_eq!(told(&["plug"], &["plug", "fill"]), ["added way loose.fill"]);
    assert_eq!(told(&["plug"], &["fill", "plug"]), ["changed finding loose: order", "added way loose.fill"]);
}

#[test]
fn a_row_counts_wherever_it_stands() {
    let turned = OLD.replacen("  row cello  1.5\n  row any    1\n", "  row any    1\n  row cello  1.5\n", 1);
    assert_ne!(turned, OLD);
    assert!(lines(&turned).is_empty());
}

#[test]
fn a_house_gives_its_reasons() {
    let house = "rulebook house \"House\"\n  edition 1\n  money USD\n  builds on first edition 1\n\
        alter hand luthier 95 USD per h because \"Our rate.\"\n\
        alter finding loose because \"Ours are looser.\"\n  signs gap is above 0.4 mm\n\
        without raise strung because \"We slacken them.\"\n";
    let changes = told(&[house, OLD]);
    let told: Vec<String> = changes.iter().map(line).collect();
    let reasons = |at: usize| changes[at].reasons.iter().map(|(of, why)| format!("{of}: {why}")).collect::<Vec<_>>();
    let of = |wanted: &str| told.iter().position(|line| line.starts_with(wanted)).unwrap_or_else(|| panic!("{wanted}: {told:?}"));
    assert_eq!(reasons(of("changed hand luthier: rate")), ["house: Our rate."]);
    assert_eq!(reasons(of("changed finding loose: signs")), ["house: Ours are looser."]);
    assert_eq!(reasons(of("dropped raise strung")), ["house: We slacken them."]);
}
