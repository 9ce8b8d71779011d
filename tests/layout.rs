//! The canonical layout: laying out twice is laying out once, nothing but spaces changes, and what cannot be read stays.

pub mod mangle;

use std::path::{Path, PathBuf};

use purfle_lang::diagnostic::Edit;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_lang::tidy::{Tidied, tidy};

use crate::random::rulebook::rulebook;
use crate::reference::blocks::blocks;
use mangle::{harmless, wild};
use purfle_tests::dice::Dice;

/// How many random rulebooks are tried.
const RULEBOOKS: u64 = 40;
/// How often each text is disturbed.
const TIMES: u64 = 3;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Every rulebook in a folder and those below it.
fn below(folder: &Path, into: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display())) {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            below(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "purfle") {
            into.push((path.display().to_string(), std::fs::read_to_string(&path).expect("UTF-8")));
        }
    }
}

/// The blocks of a page that are whole items.
fn shown(page: &str) -> Vec<(String, String)> {
    let name = |line: usize| format!("{page}:{line}");
    let text = std::fs::read_to_string(root().join(page)).expect("the page");
    let whole = |kind: &str| matches!(kind, "" | "shop" | "with shop" | "builds on shop");
    let blocks = blocks(&text).into_iter().filter(|block| whole(&block.kind));
    blocks.map(|block| (name(block.line), block.text)).collect()
}

/// Every text in the language that this project holds.
pub fn texts() -> Vec<(String, String)> {
    let mut texts = Vec::new();
    for folder in ["rulebooks", "tests", "interpreter/tests"] {
        below(&root().join(folder), &mut texts);
    }
    texts.extend(shown("lang/reference.md"));
    for entry in std::fs::read_dir(root().join("lang/pages")).expect("the pages about faults") {
        let path = entry.expect("an entry").path();
        let page = std::fs::read_to_string(&path).expect("the page");
        let blocks = page.split("```").skip(1).step_by(2).filter_map(|block| block.split_once('\n'));
        texts.extend(blocks.map(|(_, block)| (path.display().to_string(), block.to_owned())));
    }
    assert!(texts.len() > 100, "the texts are found");
    texts
}

/// What is told of a text, and its comments.
fn read(text: &str) -> (Vec<&'static str>, Vec<String>) {
    let parsed = parse(FileId(0), text);
    let mut slugs: Vec<&'static str> = parsed.diagnostics.iter().map(|diagnostic| diagnostic.slug).collect();
    slugs.sort_unstable();
    let comments = parsed.tree.comments.iter().map(|comment| text[comment.span.range()].trim_end().to_owned());
    (slugs, comments.collect())
}

fn applied(text: &str, edits: &[Edit]) -> String {
    let mut text = text.to_owned();
    for edit in edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

/// The first line in which two texts differ.
fn difference(one: &str, other: &str) -> String {
    let (mut one, mut other, mut at) = (one.split('\n'), other.split('\n'), 1);
    loop {
        match (one.next(), other.next()) {
            (None, None) => return "nowhere".to_owned(),
            (one, other) if one != other => return format!("line {at}:\n{one:?}\n{other:?}"),
            _ => at += 1,
        }
    }
}

/// What is wrong with the layout of a text; nothing if all is well.
fn faults(text: &str) -> Vec<String> {
    let tidied = Tidied::new(text);
    let once = tidied.text();
    let mut faults = Vec::new();
    let twice = tidy(&once);
    if twice != once {
        faults.push(format!("twice is not once: {}", difference(&once, &twice)));
    }
    if !Tidied::new(&once).was_tidy() {
        faults.push("what was laid out is not tidy".to_owned());
    }
    if !parse(FileId(0), text).tree.says_as(&parse(FileId(0), &once).tree) {
        faults.push("it says something else".to_owned());
    }
    if read(text) != read(&once) {
        faults.push(format!("something else is told of it: {:?} {:?}", read(text), read(&once)));
    }
    let written = |text: &str| text.chars().filter(|&char| !char.is_whitespace() && char != '\u{feff}').collect::<String>();
    if written(text) != written(&once) {
        faults.push("something else is written".to_owned());
    }
    if applied(text, &tidied.edits(0..text.len())) != once {
        faults.push("the edits make something else of it".to_owned());
    }
    if read(text).0.is_empty() && !tidied.left().is_empty() {
        faults.push(format!("sound items stay as they are: {:?}", tidied.left()));
    }
    for &at in tidied.left() {
        let start = at as u32;
        let items = parse(FileId(0), text).tree.items;
        let item = items.iter().find(|item| (item.entry.line.start..item.entry.line.end).contains(&start));
        let kept = item.map_or("", |item| &text[item.entry.span.range()]);
        if !once.contains(kept) {
            faults.push(format!("an item that cannot be read was changed:\n{kept}"));
        }
    }
    faults
}

fn assert_well(told: &[String]) {
    assert!(told.is_empty(), "{}", told.iter().take(3).map(String::as_str).collect::<Vec<_>>().join("\n\n"));
}

#[test]
fn every_text_is_laid_out_for_good() {
    let told: Vec<String> =
        texts().iter().flat_map(|(name, text)| faults(text).into_iter().map(move |fault| format!("{name}: {fault}"))).collect();
    assert_well(&told);
}

#[test]
fn what_we_ship_and_show_is_tidy() {
    let mut shipped = shown("lang/reference.md");
    below(&root().join("rulebooks"), &mut shipped);
    assert!(shipped.len() > 10, "the texts are found");
    let untidy: Vec<String> = shipped
        .iter()
        .filter(|(_, text)| !Tidied::new(text).was_tidy() || !Tidied::new(text).left().is_empty())
        .map(|(name, text)| format!("{name}: run `purfle tidy`: {}", difference(text, &tidy(text))))
        .collect();
    assert_well(&untidy);
}

/// The texts that are disturbed: the project's own but for the largest, and random ones.
fn to_disturb() -> Vec<(String, String)> {
    const LARGE: usize = 20_000;
    let own = texts().into_iter().filter(|(_, text)| text.len() < LARGE);
    let random = (0..RULEBOOKS).map(|number| (format!("random rulebook {number}"), rulebook(number)));
    own.chain(random).collect()
}

#[test]
fn random_rulebooks_are_laid_out_for_good() {
    let told: Vec<String> = (0..RULEBOOKS * 2)
        .flat_map(|number| faults(&rulebook(number)).into_iter().map(move |fault| format!("rulebook {number}: {fault}")))
        .collect();
    assert_well(&told);
}

#[test]
fn spaces_indentation_and_line_ends_make_no_difference() {
    let mut told = Vec::new();
    for (name, text) in to_disturb() {
        if !Tidied::new(&text).left().is_empty() {
            continue;
        }
        let once = tidy(&text);
        for number in 0..TIMES {
            let mangled = harmless(&text, &mut Dice::new(number));
            let again = tidy(&mangled).replace("\r\n", "\n");
            if again != once {
                told.push(format!("{name}, {number}: {}\n\n{mangled}", difference(&once, &again)));
            }
        }
    }
    assert_well(&told);
}

#[test]
fn a_disturbed_text_is_laid_out_for_good() {
    let mut told = Vec::new();
    for (name, text) in to_disturb() {
        for number in 0..TIMES {
            let mangled = wild(&text, &mut Dice::new(number));
            let faults = faults(&mangled);
            if !faults.is_empty() {
                told.push(format!("{name}, {number}: {}\n\n{mangled}", faults.join("\n")));
            }
        }
    }
    assert_well(&told);
}
