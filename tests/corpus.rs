//! Texts with faults: each says beside its lines which it has, and each fix that is offered mends what it says it mends.
//!
//! A folder holds the texts about one slug, each completed by `supplied` and each giving that slug; the folders in
//! `whole` hold rulebooks as people write them at first, and nothing is supplied to those. Beside the texts of a folder
//! lies `diagnostics.snap`, all that is told of them, so that a change of wording is reviewed.
//!
//! With `PURFLE_CORPUS=rewrite` the expectations are written anew, as found; with `INSTA_UPDATE=always` the snapshots.

#[path = "corpus/expected.rs"]
mod expected;
#[path = "corpus/plain.rs"]
mod plain;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use purfle::load::Loaded;
use purfle_lang::diagnostic::{Diagnostic, Fix};
use purfle_lang::pages::page;
use purfle_lang::source::LineIndex;
use purfle_lang::span::FileId;

use self::expected::{Faults, expected, rewrite, rewritten};
use crate::supplied;

/// The folder of whole rulebooks, in that of the corpus.
const WHOLE: &str = "whole";

/// One text of the corpus.
struct Text {
    path: PathBuf,
    /// The folder it is in: a slug, or one below `whole`.
    folder: String,
    name: String,
    text: String,
}

impl Text {
    fn is_whole(&self) -> bool {
        self.folder.starts_with(WHOLE)
    }

    fn shown(&self) -> String {
        format!("{}/{}", self.folder, self.name)
    }

    /// What is told of this text, or of another in its stead. What has to be proved is only asked for where the folder
    /// is about that: of a short text nearly everything could be said that nobody speaks of.
    fn read(&self, text: &str) -> Loaded {
        if self.is_whole() {
            return supplied::read(text);
        }
        let loaded = supplied::read(&supplied::whole(text));
        let given = loaded.diagnostics.iter().any(|diagnostic| diagnostic.slug == self.folder);
        if given || loaded.book.is_none() { loaded } else { supplied::proved(text) }
    }

    /// Of what is told, that which the text itself has, by line.
    fn found(&self, text: &str) -> Faults {
        let loaded = self.read(text);
        let index = LineIndex::new(text);
        let mut faults = Faults::new();
        for diagnostic in own(&loaded) {
            let line = index.line_column(text, diagnostic.span.start as usize).line;
            faults.entry(line).or_default().push(diagnostic.slug.to_owned());
        }
        faults.values_mut().for_each(|slugs| slugs.sort());
        faults
    }
}

/// The diagnostics of the rulebook itself, not of one it builds on.
fn own(loaded: &Loaded) -> impl Iterator<Item = &Diagnostic> {
    loaded.diagnostics.iter().filter(|diagnostic| diagnostic.span.file == FileId(0))
}

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("corpus")
}

fn below(folder: &Path, into: &mut Vec<Text>) {
    for entry in std::fs::read_dir(folder).expect("a folder of the corpus") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            below(&path, into);
        } else if path.extension().is_some_and(|extension| extension == "purfle") {
            let folder = folder.strip_prefix(corpus()).expect("below it").to_string_lossy().replace('\\', "/");
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            into.push(Text { path, folder, name, text });
        }
    }
}

fn texts() -> Vec<Text> {
    let mut texts = Vec::new();
    below(&corpus(), &mut texts);
    texts.sort_by_key(Text::shown);
    let whole = texts.iter().filter(|text| text.is_whole()).count();
    assert!(whole >= 40 && texts.len() - whole >= 150, "{whole} whole texts and {} others", texts.len() - whole);
    texts
}

#[test]
fn every_text_has_the_faults_it_names_and_no_other() {
    let anew = std::env::var("PURFLE_CORPUS").is_ok_and(|value| value == "rewrite");
    let mut differing: Vec<String> = Vec::new();
    for text in texts() {
        if anew {
            if rewrite(&text.path, |other| text.found(other)) {
                differing.push(format!("{}: written anew", text.shown()));
            }
            continue;
        }
        let (found, expected) = (text.found(&text.text), expected(&text.text));
        for line in found.keys().chain(expected.keys()).collect::<std::collections::BTreeSet<_>>() {
            let (found, expected) = (found.get(line), expected.get(line));
            if found != expected {
                differing.push(format!("{}:{line}: found {found:?}, expected {expected:?}", text.shown()));
            }
        }
    }
    assert!(differing.is_empty(), "{}\nPURFLE_CORPUS=rewrite writes down what is found.", differing.join("\n"));
}

#[test]
fn a_text_stands_in_the_folder_of_a_slug_that_it_gives() {
    let mut astray: Vec<String> = Vec::new();
    for text in texts().iter().filter(|text| !text.is_whole()) {
        let gives = text.read(&text.text).diagnostics.iter().any(|diagnostic| diagnostic.slug == text.folder);
        if !gives || page(&text.folder).is_none() {
            astray.push(text.shown());
        }
    }
    assert!(astray.is_empty(), "{astray:?}");
}

#[test]
fn what_is_told_is_reviewed() {
    let mut folders: BTreeMap<String, String> = BTreeMap::new();
    for text in texts() {
        let told = plain::plain(&text.name, &text.read(&text.text));
        let folder = folders.entry(text.folder).or_default();
        folder.push_str(&told);
        folder.push('\n');
    }
    for (folder, told) in folders {
        let mut settings = insta::Settings::clone_current();
        settings.set_snapshot_path(corpus().join(&folder));
        settings.set_prepend_module_to_snapshot(false);
        settings.set_omit_expression(true);
        settings.bind(|| insta::assert_snapshot!("diagnostics", told));
    }
}

/// A text with comments that expect other things than it has.
const MISTAKEN: &str = "part nut \"Nut\"   # ! unknown-item\n  look worn \"Is it worn?\" yes or now\n  # ! unit-missing\n\
     finding loose \"Loose\"\n  on buton   # ! unknown-choice unknown-name\n  tell \"Ask\n";

#[test]
fn expectations_are_written_anew_in_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("mistaken.purfle");
    std::fs::write(&path, MISTAKEN).expect("room for a file");
    let text = Text { path, folder: String::new(), name: String::new(), text: MISTAKEN.to_owned() };
    assert_ne!(text.found(&text.text), expected(&text.text));
    assert!(rewrite(&text.path, |other| text.found(other)), "it is written anew");
    let new = std::fs::read_to_string(&text.path).expect("it is there");
    assert_eq!(text.found(&new), expected(&new));
    insta::assert_snapshot!(new);
    assert!(!rewrite(&text.path, |other| text.found(other)), "nothing is left to write");
}

#[test]
fn expectations_stand_as_they_would_be_written() {
    for text in texts() {
        assert_eq!(rewritten(&text.text, |other| text.found(other)), text.text, "{}", text.shown());
    }
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
    for text in texts() {
        let mut mended = if text.is_whole() { text.text.clone() } else { supplied::whole(&text.text) };
        let mut rounds = 0;
        let fix = |mended: &str| own(&supplied::read(mended)).find_map(|told| told.fixes.first().cloned());
        while let Some(fix) = fix(&mended) {
            let after = apply(&mended, &fix);
            assert_ne!(after, mended, "{}: `{}` changes nothing", text.shown(), fix.title);
            mended = after;
            rounds += 1;
            assert!(rounds < 100, "{}: `{}` never ends\n{mended}", text.shown(), fix.title);
        }
    }
}

#[test]
fn a_safe_fix_takes_its_own_fault_away_and_adds_none() {
    for text in texts() {
        let whole = if text.is_whole() { text.text.clone() } else { supplied::whole(&text.text) };
        let before = supplied::read(&whole);
        for diagnostic in own(&before) {
            for fix in diagnostic.fixes.iter().filter(|fix| fix.safe) {
                let after = supplied::read(&apply(&whole, fix));
                let count = |all: &Loaded| own(all).filter(|other| other.slug == diagnostic.slug).count();
                assert!(count(&after) < count(&before), "{}: `{}` does not mend {}", text.shown(), fix.title, diagnostic.slug);
            }
        }
    }
}
