//! Texts with faults: each names its own faults in comments, and each fix that is offered mends what it says it mends.
//!
//! `# ! slug` at the end of a line says that the line has that fault; alone on its line it speaks of the next one.
//! Texts in the folder `whole` are rulebooks, of which everything is checked; the others are only read.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use purfle_lang::chain;
use purfle_lang::diagnostic::{Diagnostic, Fix};
use purfle_lang::resolve::resolve;
use purfle_lang::source::LineIndex;
use purfle_lang::span::FileId;
use purfle_lang::syntax::{Parsed, parse};

/// Slugs by line, sorted.
type Faults = BTreeMap<usize, Vec<String>>;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus")
}

/// The folder of whole rulebooks, in that of the corpus.
const WHOLE: &str = "whole";

fn texts() -> Vec<(String, String)> {
    let files = |folder: PathBuf| std::fs::read_dir(folder).expect("the folder of the corpus");
    let mut texts: Vec<(String, String)> = files(folder())
        .chain(files(folder().join(WHOLE)))
        .map(|entry| entry.expect("a file").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "purfle"))
        .map(|path| {
            let name = path.strip_prefix(folder()).expect("below it").to_string_lossy().into_owned();
            (name, std::fs::read_to_string(&path).expect("UTF-8"))
        })
        .collect();
    texts.sort();
    texts
}

/// What is wrong with a text itself, read and laid onto its parent in the folder of the corpus.
fn diagnose(name: &str, text: &str) -> Vec<Diagnostic> {
    let Parsed { tree, mut diagnostics } = parse(FileId(0), text);
    let parent = tree.builds_on().and_then(|parent| {
        let text = std::fs::read_to_string(folder().join(format!("{}.purfle", parent.name.value))).ok()?;
        Some(parse(FileId(1), &text).tree)
    });
    let chain: Vec<_> = std::iter::once(tree).chain(parent).collect();
    if Path::new(name).starts_with(WHOLE) {
        diagnostics.extend(resolve(&chain).diagnostics);
    } else {
        diagnostics.extend(chain::merge(&chain).diagnostics);
    }
    diagnostics.retain(|diagnostic| diagnostic.span.file == FileId(0));
    diagnostics
}

fn found(name: &str, text: &str) -> Faults {
    let index = LineIndex::new(text);
    let mut faults = Faults::new();
    for diagnostic in diagnose(name, text) {
        let line = index.line_column(text, diagnostic.span.start as usize).line;
        faults.entry(line).or_default().push(diagnostic.slug.to_owned());
    }
    faults
}

fn expected(text: &str) -> Faults {
    let index = LineIndex::new(text);
    let mut faults = Faults::new();
    for comment in parse(FileId(0), text).tree.comments {
        let said = &text[comment.span.range()];
        let Some(slugs) = said.strip_prefix("# !") else { continue };
        let line = index.line_column(text, comment.span.start as usize).line + usize::from(comment.alone);
        faults.entry(line).or_default().extend(slugs.split_whitespace().map(str::to_owned));
    }
    faults
}

#[test]
fn every_text_has_the_faults_it_names_and_no_other() {
    let mut differing: Vec<String> = Vec::new();
    for (name, text) in texts() {
        let (mut found, mut expected) = (found(&name, &text), expected(&text));
        found.values_mut().for_each(|slugs| slugs.sort());
        expected.values_mut().for_each(|slugs| slugs.sort());
        let lines: BTreeSet<&usize> = found.keys().chain(expected.keys()).collect();
        for line in lines {
            let (found, expected) = (found.get(line), expected.get(line));
            if found != expected {
                differing.push(format!("{name}:{line}: found {found:?}, expected {expected:?}"));
            }
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

fn apply(text: &str, fix: &Fix) -> String {
    let mut text = text.to_owned();
    for edit in fix.edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

/// A fix may uncover a fault that the one it mends hid, so what counts is that fixing comes to an end.
#[test]
fn fixes_settle() {
    for (name, text) in texts() {
        let mut text = text;
        let mut rounds = 0;
        while let Some(fix) = diagnose(&name, &text).iter().find_map(|diagnostic| diagnostic.fixes.first().cloned()) {
            let mended = apply(&text, &fix);
            assert_ne!(mended, text, "{name}: `{}` changes nothing", fix.title);
            text = mended;
            rounds += 1;
            assert!(rounds < 100, "{name}: `{}` never ends\n{text}", fix.title);
        }
    }
}

#[test]
fn a_safe_fix_takes_its_own_fault_away_and_adds_none() {
    for (name, text) in texts() {
        let before = diagnose(&name, &text);
        for diagnostic in &before {
            for fix in diagnostic.fixes.iter().filter(|fix| fix.safe) {
                let after = diagnose(&name, &apply(&text, fix));
                let count = |all: &[Diagnostic]| all.iter().filter(|other| other.slug == diagnostic.slug).count();
                assert!(count(&after) < count(&before), "{name}: `{}` does not mend {}", fix.title, diagnostic.slug);
            }
        }
    }
}
