//! Which thing each name stands for, over a chain and beside errors.

use super::HEAD;
use crate::resolve::noted::{Note, Role, Target};
use crate::resolve::{Resolved, resolve};
use crate::span::{FileId, Span};
use crate::syntax::parse;

/// A chain of texts, resolved.
fn chain(texts: &[&str]) -> Resolved {
    let trees: Vec<_> = texts.iter().enumerate().map(|(file, text)| parse(FileId(file as u16), text).tree).collect();
    resolve(&trees)
}

/// The notes about one name, as `file:line role`.
fn places(texts: &[&str], name: &str) -> Vec<String> {
    let known = chain(texts).known.expect("names are known");
    let text = |span: Span| texts[usize::from(span.file.0)].get(span.range()).unwrap_or_default();
    let line = |span: Span| texts[usize::from(span.file.0)][..span.range().start].matches('\n').count();
    let all = |note: &&Note| text(note.span) == name;
    let written = |note: &Note| {
        let lines = texts[usize::from(note.span.file.0)].lines();
        let line = lines.clone().nth(line(note.span)).unwrap_or_default().trim();
        format!("{} {:?}: {line}", note.span.file.0, note.role)
    };
    known.notes().iter().filter(all).map(written).collect()
}

const PARENT: &str = "\
work clean \"Clean it\" 5 USD once
finding gap-wide \"The gap is wide\"
  on nut
  signs gap is above 1 mm and state is one of worn, broken
  urgency soon
  hands luthier
  work clean
  basis \"common practice\"
example \"wide\"
  record nut.gap is 2 mm, nut.state is broken or worn
  finds gap-wide at soon
  looks not nut.gap
";

const HOUSE: &str = "\
rulebook house \"House\"
  edition 1
  builds on trial edition 1
alter finding gap-wide because \"ours\"
  urgency halt
alter look nut.state one of sound, worn, broken, lost because \"one more\"
without part peg because \"we do not\"
raise higher \"Higher\"
  when nut.state is lost
  on nut
  by 1 step, no higher than halt
";

#[test]
fn a_finding_is_noted_where_it_is_written_altered_and_expected() {
    let parent = format!("{HEAD}{PARENT}");
    assert_eq!(
        places(&[HOUSE, &parent], "gap-wide"),
        [
            "0 Changes: alter finding gap-wide because \"ours\"",
            "1 Writes: finding gap-wide \"The gap is wide\"",
            "1 Uses: finds gap-wide at soon",
        ]
    );
}

#[test]
fn choices_are_noted_in_conditions_records_and_where_a_look_is_altered() {
    let parent = format!("{HEAD}{PARENT}");
    assert_eq!(
        places(&[HOUSE, &parent], "worn"),
        [
            "0 Writes: alter look nut.state one of sound, worn, broken, lost because \"one more\"",
            "1 Writes: look state   \"State\"    one of sound, worn, broken",
            "1 Uses: signs gap is above 1 mm and state is one of worn, broken",
            "1 Uses: record nut.gap is 2 mm, nut.state is broken or worn",
        ]
    );
    let notes = chain(&[HOUSE, &parent]).known.expect("names").notes();
    let texts = [HOUSE, &parent];
    let worn = notes.iter().filter(|note| texts[usize::from(note.span.file.0)].get(note.span.range()) == Some("worn"));
    let targets: Vec<Target> = worn.map(|note| note.target).collect();
    assert!(matches!(targets[0], Target::Choice(_, 1)) && targets.iter().all(|target| *target == targets[0]), "{targets:?}");
}

#[test]
fn what_is_dropped_is_noted_where_it_was_written_and_where_it_goes() {
    let parent = format!("{HEAD}{PARENT}");
    assert_eq!(
        places(&[HOUSE, &parent], "peg"),
        ["0 Changes: without part peg because \"we do not\"", "1 Writes: part peg \"Pegs\""]
    );
}

#[test]
fn names_are_noted_beside_errors_and_the_book_is_there_in_part() {
    let text = format!("{HEAD}{PARENT}finding odd \"Odd\"\n  on nut\n  signs gap is above\n  urgency sooon\n  work clean\n");
    let resolved = chain(&[&text]);
    assert!(resolved.book.is_none());
    assert_eq!(resolved.shown().map(|book| book.findings.len()), Some(2));
    let notes = resolved.known.expect("names").notes();
    let last = text.rfind("clean").expect("it is there");
    let note = notes.iter().find(|note| note.span.range().start == last).expect("noted");
    assert!(matches!(note.target, Target::Work(_)) && note.role == Role::Uses);
}
