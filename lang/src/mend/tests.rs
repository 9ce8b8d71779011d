//! Fixes made round by round.

use super::{MOST_ROUNDS, Mended, Stuck, mend};
use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::span::{FileId, Span};

const FILE: FileId = FileId(0);

/// A safe fix at every place where `from` stands.
fn at_each(text: &str, from: &str, into: &str) -> Vec<Diagnostic> {
    text.match_indices(from)
        .map(|(at, _)| {
            let span = Span::new(FILE, at, at + from.len());
            Diagnostic::error("wrong", span, "It is wrong.").fix(format!("Write `{into}`"), true, span, into)
        })
        .collect()
}

fn run(text: &str, mut tell: impl FnMut(&str) -> Vec<Diagnostic>) -> Result<Mended, Stuck> {
    let told = tell(text);
    mend(FILE, text, &told, tell)
}

#[test]
fn all_that_is_apart_is_mended_and_placed_in_the_mended_text() {
    let Ok(mended) = run("a bb a bb a", |text| {
        let mut told = at_each(text, "bb", "c");
        told.extend(at_each(text, "a", "dddd"));
        told.sort_by_key(|diagnostic| diagnostic.span.start);
        told
    }) else {
        panic!("it settles")
    };
    assert_eq!(mended.text, "dddd c dddd c dddd");
    let places: Vec<&str> = mended.mends.iter().map(|mend| &mended.text[mend.at..=mend.at]).collect();
    assert_eq!(places, ["d", "c", "d", "c", "d"]);
}

#[test]
fn where_two_overlap_the_second_waits_and_is_asked_anew() {
    let mut rounds = 0;
    let Ok(mended) = run("abc", |text| {
        rounds += 1;
        let mut told = at_each(text, "ab", "x");
        told.extend(at_each(text, "bc", "y"));
        told
    }) else {
        panic!("it settles")
    };
    assert_eq!((mended.text.as_str(), mended.mends.len(), rounds), ("xc", 1, 2));
}

#[test]
fn what_was_mended_before_moves_with_the_text() {
    let Ok(mended) = run("one two", |text| {
        if text.contains("two") {
            at_each(text, "two", "2")
        } else {
            at_each(text, "one", "a long one, by far".get(..1).unwrap_or(""))
        }
    }) else {
        panic!("it settles")
    };
    assert_eq!(mended.text, "a 2");
    let places: Vec<usize> = mended.mends.iter().map(|mend| mend.at).collect();
    assert_eq!(places, [0, 2]);
}

#[test]
fn nothing_unsafe_and_nothing_of_another_file_is_made() {
    let span = |file: u16| Span::new(FileId(file), 0, 1);
    let told = vec![
        Diagnostic::error("wrong", span(0), "It is wrong.").fix("Guess", false, span(0), "x"),
        Diagnostic::error("wrong", span(1), "It is wrong.").fix("Write `y`", true, span(1), "y"),
        Diagnostic::error("wrong", span(0), "It is wrong.").fix("Write `z` elsewhere", true, span(1), "z"),
        Diagnostic::error("wrong", span(0), "It is wrong.").fix("Past the end", true, Span::new(FILE, 90, 99), "z"),
    ];
    let Ok(mended) = run("abc", |_| told.clone()) else { panic!("there is nothing to make") };
    assert_eq!((mended.text.as_str(), mended.mends.len()), ("abc", 0));
}

#[test]
fn a_fix_with_several_edits_is_made_whole_or_waits() {
    let both = |text: &str| {
        let edit = |at: &str, into: &str| {
            text.find(at).map(|start| Edit { span: Span::new(FILE, start, start + at.len()), text: into.to_owned() })
        };
        let Some((first, last)) = edit("a", "1").zip(edit("c", "3")) else { return Vec::new() };
        let mut told = Diagnostic::error("wrong", Span::new(FILE, 0, 1), "It is wrong.");
        told.fixes.push(Fix { title: "Write figures".to_owned(), safe: true, edits: vec![first, last] });
        let mut all = at_each(text, "c", "C");
        all.push(told);
        all
    };
    let Ok(mended) = run("abc", both) else { panic!("it settles") };
    assert_eq!(mended.text, "abC", "the first took the `c`, so the second was never made");
}

#[test]
fn line_breaks_stay_as_they_are() {
    let Ok(mended) = run("a\r\nb\r\n", |text| at_each(text, "b", "c\nd")) else { panic!("it settles") };
    assert_eq!(mended.text, "a\r\nc\r\nd\r\n");
}

#[test]
fn what_never_settles_is_given_up() {
    let mut asked = 0;
    let stuck = run("a", |text| {
        asked += 1;
        if text == "a" { at_each(text, "a", "b") } else { at_each(text, "b", "a") }
    });
    assert!(matches!(stuck, Err(Stuck::NewError { .. } | Stuck::Unsettled { .. })), "{stuck:?}");
    let mut warned = 0;
    let stuck = run("a", |text| {
        warned += 1;
        let mut told = at_each(text, "a", "aa");
        told.iter_mut().for_each(|told| told.severity = crate::diagnostic::Severity::Warning);
        told.truncate(1);
        told
    });
    assert!(matches!(stuck, Err(Stuck::Unsettled { .. })), "{stuck:?}");
    assert_eq!(warned, MOST_ROUNDS + 1, "it is asked once before, and once after every round");
    let idle = run("a", |text| at_each(text, "a", "a"));
    assert!(matches!(idle, Err(Stuck::Unsettled { .. })), "{idle:?}");
}

#[test]
fn an_error_that_a_fix_brings_is_told() {
    let stuck = run("one One", |text| {
        if text == "one One" {
            at_each(text, "One", "one")
        } else {
            vec![Diagnostic::error("name-twice", Span::new(FILE, 4, 7), "There are two.")]
        }
    });
    let Err(Stuck::NewError { title, error }) = stuck else { panic!("{stuck:?}") };
    assert_eq!((title.as_str(), error.slug), ("Write `one`", "name-twice"));
}

#[test]
fn an_error_that_the_fix_uncovers_beside_it_is_none_of_its_making() {
    let Ok(mended) = run("look = x", |text| {
        let mut told = at_each(text, "=", "is");
        if told.is_empty() {
            told.push(Diagnostic::error("unknown-name", Span::new(FILE, 8, 9), "Nobody knows `x`."));
        }
        told
    }) else {
        panic!("it settles")
    };
    assert_eq!(mended.text, "look is x");
}
