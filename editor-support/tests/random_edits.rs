//! Ten thousand edits by chance, after each of which the server tells what a fresh look at the same text tells.

use std::path::Path;

use purfle::load::{Chain, Disk};
use purfle_lang::diagnostic::{Diagnostic, Severity};
use serde_json::{Value, json};

use crate::client::{Client, runtime};
use crate::counted::range;
use crate::dice::Dice;

const TEXT: &str = include_str!("../../interpreter/tests/small.purfle");

/// How many notifications of changes there are.
const EDITS: i32 = 10_000;

/// What may be written somewhere: words of the language, halves of things, line breaks of all kinds, wide characters.
const PIECES: [&str; 24] = [
    "\n",
    "\r\n",
    "\r",
    "  ",
    "\"",
    "#",
    "# é€𝄞\n",
    "finding x \"X\"\n",
    "  signs   any of\n",
    "    - ",
    "and ",
    "not ",
    "(",
    "post",
    "lean",
    "0.2 mm",
    "alter ",
    "  urgency book\n",
    "example \"e\"\n  record ",
    "𝄞",
    "\u{301}",
    "builds on x",
    "  # quiet never\n",
    "is above ",
];

/// A fresh look at a text: what the command line tells of it before anything is proved.
fn fresh(text: &str, utf8: bool) -> Value {
    let mut loaded = Chain::follow(Path::new("/nowhere/random.purfle"), text.to_owned(), &mut Disk).resolved();
    loaded.hear();
    let told = loaded.diagnostics.iter().filter(|told| told.slug != "quiet-nothing" && told.span.file.0 == 0);
    told.map(|told| said(told, text, utf8)).collect()
}

fn said(told: &Diagnostic, text: &str, utf8: bool) -> Value {
    json!([
        told.slug,
        if told.severity == Severity::Error { 1 } else { 2 },
        range(text, clamped(text, told.span.range()), utf8),
        told.places.iter().map(|place| range(text, clamped(text, place.span.range()), utf8)).collect::<Vec<_>>(),
    ])
}

/// A place moved to before a line break that it lies inside of.
fn clamped(text: &str, range: std::ops::Range<usize>) -> std::ops::Range<usize> {
    let inside = |at: usize| at > 0 && text.as_bytes()[at - 1] == b'\r' && text.as_bytes().get(at) == Some(&b'\n');
    let moved = |at: usize| if inside(at) { at - 1 } else { at };
    moved(range.start)..moved(range.end)
}

fn published(published: &Value) -> Value {
    let told = published["diagnostics"].as_array().expect("diagnostics");
    let one = |told: &Value| {
        let related = told["relatedInformation"].as_array().cloned().unwrap_or_default();
        let related: Vec<&Value> = related.iter().map(|place| &place["location"]["range"]).collect();
        json!([told["code"], told["severity"], told["range"], related])
    };
    told.iter().map(one).collect()
}

/// A byte between two characters and not inside a line break.
fn somewhere(text: &str, dice: &mut Dice) -> usize {
    let mut at = dice.below(text.len() + 1);
    while !text.is_char_boundary(at) || clamped(text, at..at).start != at {
        at -= 1;
    }
    at
}

/// One change, made in the text as well; now and then the whole text as it was at first.
fn change(text: &mut String, utf8: bool, dice: &mut Dice) -> Value {
    if dice.below(100) == 0 || text.len() > 3 * TEXT.len() {
        TEXT.clone_into(text);
        return json!({"text": TEXT});
    }
    let start = somewhere(text, dice);
    let longest = *dice.pick(&[1, 1, 4, 12, 12, 80, 400]);
    let mut end = (start + dice.below(longest)).min(text.len());
    while !text.is_char_boundary(end) || clamped(text, end..end).start != end {
        end += 1;
    }
    let piece = if start < end && dice.below(2) == 0 { "" } else { *dice.pick(&PIECES) };
    let change = json!({"range": range(text, start..end, utf8), "text": piece});
    text.replace_range(start..end, piece);
    change
}

fn edits(seed: u64, utf8: bool, count: i32) {
    runtime().block_on(async {
        let encodings = if utf8 { json!(["utf-8"]) } else { json!(["utf-16"]) };
        let capabilities = json!({"general": {"positionEncodings": encodings}});
        let (mut client, _) = Client::start(capabilities, json!({"proof": {"run": "never"}, "diagnostics": {"delay": 0}})).await;
        let (uri, mut dice, mut text) = ("file:///nowhere/random.purfle", Dice::new(seed), TEXT.to_owned());
        client.open(uri, 0, &text).await;
        let mut seen = 0;
        for version in 1..=count {
            let changes: Vec<Value> = (0..=dice.below(3)).map(|_| change(&mut text, utf8, &mut dice)).collect();
            client.change(uri, version, json!(changes)).await;
            client.settle().await;
            let told = client.published(uri);
            assert_eq!(told["version"], version);
            let expected = fresh(&text, utf8);
            assert_eq!(published(&told), expected, "after edit {version}, seed {seed}: {changes:?}\n{text}");
            seen += expected.as_array().map_or(0, Vec::len);
        }
        assert!(seen > 1000, "hardly anything was ever wrong");
        client.leave().await;
    });
}

#[test]
fn after_each_edit_the_server_and_a_fresh_look_agree_counting_in_utf_16() {
    edits(1, false, EDITS / 2);
}

#[test]
fn after_each_edit_the_server_and_a_fresh_look_agree_counting_in_bytes() {
    edits(2, true, EDITS / 2);
}
