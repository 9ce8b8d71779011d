//! What came of a rulebook's examples as plain words and places, for every form of the report; as JSON it is version 1
//! of its shape.

use purfle_lang::saying::entries;
use std::io::{self, Write};

use purfle_lang::book::Book;
use purfle_lang::span::Span;
use serde::Serialize;

use super::super::diagnostics::Lines;
use super::mutants::MutantsView;
use crate::load::Loaded;
use crate::records::Unusable;
use crate::rehearse::coverage::Reached;
use crate::rehearse::{Rehearsal, Rehearsed};
use crate::report::{sealed, write_json};

/// The version of the shape.
const VERSION: u32 = 1;

/// What came of all rulebooks.
#[derive(Serialize)]
pub struct Report {
    purfle: u32,
    /// Rulebooks that were read.
    pub rulebooks: Vec<RulebookView>,
    /// Files that could not be used.
    pub unusable: Vec<UnusableView>,
}

/// A file that could not be used.
#[derive(Serialize)]
pub struct UnusableView {
    /// The file.
    pub file: String,
    /// Why, one sentence each.
    pub why: Vec<String>,
}

/// What came of one rulebook's examples. One with errors has none, and says how many errors.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct RulebookView {
    /// The file.
    pub file: String,
    /// Its name; the file where it could not be read.
    pub rulebook: String,
    /// Its edition.
    pub edition: Option<String>,
    /// Its seal.
    pub seal: Option<String>,
    /// Errors that keep it from running.
    pub errors: usize,
    /// How many of its own examples do not come out as agreed.
    pub failed: usize,
    /// How many of its parents' come out differently.
    pub different: usize,
    /// Its own examples, then those of its parents.
    pub examples: Vec<ExampleView>,
    /// What the examples reach.
    pub reached: Vec<ReachedView>,
    /// What the examples notice of changes to the rulebook, where that was asked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mutants: Option<MutantsView>,
}

/// What came of one example.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ExampleView {
    /// Its words.
    pub example: String,
    /// The rulebook that wrote it.
    pub rulebook: String,
    /// Whether that is a parent.
    pub inherited: bool,
    /// Its file.
    pub file: String,
    /// Its line, from 1.
    pub line: usize,
    /// Its record.
    pub record: String,
    /// What was expected and did not come out; nothing where it is as agreed.
    pub misses: Vec<MissView>,
}

/// One thing that was expected and did not come out.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MissView {
    /// As written.
    pub expected: String,
    /// Its file.
    pub file: String,
    /// Its line, from 1.
    pub line: usize,
    /// What came out instead.
    pub came_out: String,
    /// What decides it.
    pub because: Vec<String>,
}

/// How much of one kind is reached.
#[derive(Serialize)]
pub struct ReachedView {
    /// The kind.
    pub kind: &'static str,
    /// All there are.
    pub all: usize,
    /// Those that an example reaches.
    pub reached: usize,
    /// Those that none reaches.
    pub missed: Vec<String>,
}

impl RulebookView {
    /// The rulebook, its edition and its seal; the file alone where it could not be read.
    pub fn called(&self) -> String {
        match (&self.edition, &self.seal) {
            (Some(edition), Some(seal)) => sealed(&self.rulebook, edition, seal),
            _ => self.rulebook.clone(),
        }
    }
}

impl Report {
    /// Nothing read yet.
    pub fn new() -> Self {
        Self { purfle: VERSION, rulebooks: Vec::new(), unusable: Vec::new() }
    }

    /// Adds a file that could not be used.
    pub fn unusable(&mut self, unusable: &Unusable) {
        self.unusable.push(UnusableView { file: unusable.file.clone(), why: unusable.why.clone() });
    }

    /// Adds a rulebook that does not run.
    pub fn refused(&mut self, file: &str, errors: usize) {
        self.rulebooks.push(RulebookView {
            file: file.to_owned(),
            rulebook: file.to_owned(),
            edition: None,
            seal: None,
            errors,
            failed: 0,
            different: 0,
            examples: Vec::new(),
            reached: Vec::new(),
            mutants: None,
        });
    }

    /// Writes everything as JSON.
    pub fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        let mut text = Vec::new();
        write_json(&mut text, self)?;
        text.push(b'\n');
        out.write_all(&text)
    }
}

/// The texts of a rulebook and where their lines begin.
pub struct Places<'a> {
    loaded: &'a Loaded,
    lines: Vec<Lines<'a>>,
}

impl<'a> Places<'a> {
    /// Finds the lines of all texts.
    pub fn new(loaded: &'a Loaded) -> Self {
        Self { loaded, lines: loaded.sources.iter().map(|source| Lines::new(&source.text)).collect() }
    }

    /// The file and the line at which a span begins.
    pub fn line(&self, span: Span) -> (String, usize) {
        let file = span.file.0 as usize;
        match (self.loaded.sources.get(file), self.lines.get(file)) {
            (Some(source), Some(lines)) => (source.name.clone(), lines.position(span.start as usize).line),
            _ => (String::new(), 0),
        }
    }

    /// The text at a span, on one line.
    pub fn written(&self, span: Span) -> String {
        let source = self.loaded.sources.get(span.file.0 as usize);
        let text = source.and_then(|source| source.text.get(span.range())).unwrap_or_default();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

impl RulebookView {
    /// What came of a rulebook that runs.
    pub fn new(file: &str, book: &Book, rehearsal: &Rehearsal<'_>, places: &Places<'_>) -> Self {
        let example = |rehearsed: &Rehearsed<'_>, inherited: bool| {
            let example = rehearsed.example;
            let (file, line) = places.line(example.origin.span);
            let misses = rehearsed.misses.iter().map(|miss| {
                let (file, line) = places.line(miss.span);
                MissView {
                    expected: places.written(miss.span),
                    file,
                    line,
                    came_out: miss.came_out.clone(),
                    because: miss.because.clone(),
                }
            });
            ExampleView {
                example: example.words.clone(),
                rulebook: example.origin.rulebook.clone(),
                inherited,
                file,
                line,
                record: entries(book, &example.record),
                misses: misses.collect(),
            }
        };
        let own = rehearsal.own.iter().map(|rehearsed| example(rehearsed, false));
        let inherited = rehearsal.inherited.iter().map(|rehearsed| example(rehearsed, true));
        let reached = rehearsal.coverage.kinds().into_iter();
        Self {
            file: file.to_owned(),
            rulebook: book.name.clone(),
            edition: Some(book.edition.clone()),
            seal: Some(book.seal.to_string()),
            errors: 0,
            failed: rehearsal.failed(),
            different: rehearsal.different(),
            examples: own.chain(inherited).collect(),
            reached: reached.map(|(kind, Reached { all, reached, missed })| ReachedView { kind, all, reached, missed }).collect(),
            mutants: None,
        }
    }
}
