//! The two highlighting grammars of the editor clients: they know every word of the language, find no fault in valid text,
//! keep a mistake where it is, say the same of each byte, and are what their sources make.

mod generated;
mod mistakes;
mod textmate;
mod tree;
mod words;

use std::path::PathBuf;
use std::process::Command;

use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_lang::syntax::tree::{Says, Tree};

use crate::layout::texts;

/// What a byte of a text is shown as, as far as both grammars say it in the same way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shown {
    /// A word of the language.
    Word,
    Text,
    Comment,
    Number,
    Unit,
    /// Anything else: names, signs, spaces.
    Plain,
    /// The mark of a text that cannot be read.
    Fault,
}

/// A folder of the clients.
fn clients(folder: &str) -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/../editor-support/clients")).join(folder)
}

/// The texts in which the language's own reader finds no fault of writing, with the names of their places.
fn valid() -> Vec<(String, String)> {
    let mut all = texts();
    all.retain(|(_, text)| {
        let parsed = parse(FileId(0), text);
        parsed.diagnostics.is_empty() && !says_how_soon(&parsed.tree)
    });
    assert!(all.len() > 300, "the valid texts are found");
    all
}

/// Whether a step of the ladder stands there in several words, of which only the resolver tells that there is no such step.
fn says_how_soon(tree: &Tree) -> bool {
    let mut clauses = tree.items.iter().flat_map(|item| &item.entry.clauses);
    clauses.any(|clause| matches!(&clause.says, Says::Urgency(line) if line.step.value.contains(' ')))
}

/// Whether node is there; where it is not, says that a test was not run.
fn node(test: &str) -> bool {
    let there = Command::new("node").arg("--version").output().is_ok_and(|output| output.status.success());
    if !there {
        say(&format!("not run: {test}: it needs node, from https://nodejs.org or Debian's package `nodejs`"));
    }
    there
}

/// Says that a test was not run, past what the runner keeps to itself; a failure where PURFLE_EDITORS is `must`.
fn say(words: &str) {
    use std::io::Write;
    assert!(std::env::var_os("PURFLE_EDITORS").is_none_or(|said| said != "must"), "{words}");
    let _ = writeln!(std::io::stderr(), "{words}");
}
