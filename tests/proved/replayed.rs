//! Every record that shows a claim, taken into the text as an example, comes out as it says, and says no more than it
//! has to.

use std::path::Path;
use std::sync::Arc;

use purfle::judge::Judge;
use purfle::load::load;
use purfle::plan::Plan;
use purfle::rehearse::rehearse;
use purfle_lang::book::{Book, Example, RecordEntry};
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::pages::{page, slugs};
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_lang::syntax::tree::Tree;

use super::told::{Told, example};
use crate::random::rulebook::{rulebook, small};
use crate::supplied;
use crate::written::brings;

/// Claims that something never, or always, happens: no record shows them.
const WITHOUT: [&str; 11] = [
    "never",
    "always",
    "sign-never",
    "threshold-outside-look",
    "sign-always",
    "line-idle",
    "unless-idle",
    "when-never",
    "shadow",
    "finer-than-reading",
    "look-unread",
];

/// Claims that something can happen.
const WITH: [&str; 3] = ["overlap", "good-found", "gap"];

/// How many random rulebooks are tried, unless `PURFLE_PROVED` says otherwise.
const RANDOM: u64 = 150;

/// How many random rulebooks are tried.
pub fn random() -> u64 {
    std::env::var("PURFLE_PROVED").ok().and_then(|most| most.parse().ok()).unwrap_or(RANDOM)
}

/// The new example of a text, and whatever keeps it from being read.
fn added(text: &str, parents: &[Tree], diagnostic: &Diagnostic) -> Result<Option<Example>, String> {
    let Some(fix) = example(diagnostic) else { return Ok(None) };
    let mut text = text.to_owned();
    for edit in fix.edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    let parsed = parse(FileId(0), &text);
    let mut chain = vec![parsed.tree];
    chain.extend(parents.iter().cloned());
    let resolved = resolve(&chain);
    let errors: Vec<String> = parsed
        .diagnostics
        .iter()
        .chain(&resolved.diagnostics)
        .filter(|error| error.is_error())
        .map(|error| format!("{}: {}", error.slug, error.says))
        .collect();
    match (resolved.book, errors.is_empty()) {
        (Some(mut book), true) => Ok(book.examples.pop()),
        _ => Err(errors.join("; ")),
    }
}

/// A line for each claim that is not borne out.
fn broken(text: &str, parents: &[Tree], book: &Arc<Book>, diagnostics: &[Diagnostic], replayed: &mut usize) -> Vec<String> {
    let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
    let mut lines = Vec::new();
    for diagnostic in diagnostics.iter().filter(|one| WITH.contains(&one.slug) || WITHOUT.contains(&one.slug)) {
        let told = format!("{}: {}", diagnostic.slug, diagnostic.says);
        match added(text, parents, diagnostic) {
            Err(why) => lines.push(format!("{told}\n  cannot be read: {why}\n  {:?}", example(diagnostic))),
            // Whether a look applies may hang on a date or on a record before.
            Ok(None) if diagnostic.slug == "gap" && brings(text) => {}
            Ok(None) if WITH.contains(&diagnostic.slug) && !diagnostic.says.contains(" may ") => {
                lines.push(format!("{told}\n  has no record that shows it"));
            }
            Ok(None) => {}
            Ok(Some(example)) => {
                *replayed += 1;
                let record = diagnostic.witness.as_ref().map_or("", |witness| witness.record.as_str());
                let misses = rehearse(book, &mut judge, &example).misses;
                for miss in &misses {
                    lines.push(format!("{told}\n  record {record}\n  came out: {}", miss.came_out));
                }
                // That two disagree, or that nothing is found, is more than an example says.
                if misses.is_empty() && diagnostic.slug == "good-found" {
                    lines.extend(
                        longer(book, &mut judge, &example)
                            .map(|entry| format!("{told}\n  record {record}\n  could leave out entry {entry}")),
                    );
                }
            }
        }
    }
    lines
}

/// An entry of a record without which all that it shows comes out as well.
fn longer(book: &Arc<Book>, judge: &mut Judge, example: &Example) -> Option<usize> {
    // A look that something is worked out from is written down with all the rest it is worked out from.
    let worked = |entry: &RecordEntry| matches!(entry, RecordEntry::Last(..) | RecordEntry::InspectedOn(_));
    if example.record.len() < 2 || example.record.iter().any(worked) {
        return None;
    }
    (0..example.record.len()).find(|at| {
        let mut shorter = example.clone();
        shorter.record.remove(*at);
        rehearse(book, judge, &shorter).misses.is_empty()
    })
}

#[test]
fn records_that_show_something_of_random_rulebooks_come_out() {
    let (mut wrong, mut replayed) = (Vec::new(), 0);
    // Of the last one a finding that always holds hangs together with more looks than can be gone through.
    for number in (0..random()).chain([408]) {
        for text in [small(number), rulebook(number)] {
            let Some(told) = Told::of(text) else { continue };
            let lines = broken(&told.text, &[], &told.book, &told.diagnostics, &mut replayed);
            if !lines.is_empty() {
                wrong.push(format!("rulebook {number}\n{}\n\n{}", lines.join("\n"), told.text));
            }
        }
    }
    assert!(wrong.is_empty(), "{} differ\n{}", wrong.len(), wrong[..wrong.len().min(4)].join("\n--------\n"));
    assert!(replayed as u64 > random(), "{replayed} records");
}

#[test]
fn records_that_show_something_of_supplied_rulebooks_come_out() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../rulebooks");
    let mut replayed = 0;
    let mut wrong = Vec::new();
    for entry in std::fs::read_dir(folder).expect("the rulebooks") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|extension| extension == "purfle") {
            let mut loaded = load(&path.to_string_lossy()).unwrap_or_else(|unusable| panic!("{unusable}"));
            loaded.prove();
            wrong.extend(of_loaded(&loaded, &mut replayed));
        }
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus");
    for slug in WITH.iter().chain(&WITHOUT).copied().chain(["whole"]) {
        let Ok(entries) = std::fs::read_dir(folder.join(slug)) else { continue };
        for entry in entries {
            let path = entry.expect("an entry").path();
            if path.extension().is_some_and(|extension| extension == "purfle") {
                let text = std::fs::read_to_string(path).expect("UTF-8");
                wrong.extend(of_loaded(&supplied::proved(&text), &mut replayed));
            }
        }
    }
    for text in slugs().filter_map(page) {
        for block in text.split("```purfle\n").skip(1).filter_map(|rest| rest.split("```").next()) {
            wrong.extend(of_loaded(&supplied::proved(block), &mut replayed));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(replayed > 5, "{replayed} records");
}

fn of_loaded(loaded: &purfle::load::Loaded, replayed: &mut usize) -> Vec<String> {
    let Some(book) = &loaded.book else { return Vec::new() };
    let parse = |at: usize| parse(FileId(at as u16), &loaded.sources[at].text).tree;
    let parents: Vec<Tree> = (1..loaded.sources.len()).map(parse).collect();
    broken(&loaded.sources[0].text, &parents, &Arc::new(book.clone()), &loaded.diagnostics, replayed)
}
