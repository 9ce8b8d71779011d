//! Diagnostics as JSON, version 1 of their shape.

use std::io::{self, Write};

use purfle_lang::diagnostic::{Diagnostic, Edit, Fix};
use purfle_lang::span::Span;
use serde::Serialize;

use super::position::{Lines, Position};
use super::severity;
use crate::load::Loaded;
use crate::records::Unusable;
use crate::report::write_json;

/// The version of the shape.
const VERSION: u32 = 1;

/// Diagnostics of several rulebooks.
#[derive(Serialize)]
pub struct Report {
    purfle: u32,
    diagnostics: Vec<DiagnosticView>,
    unusable: Vec<UnusableView>,
}

#[derive(Serialize)]
struct UnusableView {
    file: String,
    why: Vec<String>,
}

#[derive(Serialize)]
struct DiagnosticView {
    slug: &'static str,
    severity: &'static str,
    file: String,
    from: Position,
    to: Position,
    says: String,
    help: String,
    label: String,
    places: Vec<PlaceView>,
    /// A record that shows the matter; none for what is seen in the text alone.
    witness: Option<()>,
    fixes: Vec<FixView>,
}

#[derive(Serialize)]
struct PlaceView {
    file: String,
    from: Position,
    to: Position,
    says: String,
}

#[derive(Serialize)]
struct FixView {
    title: String,
    safe: bool,
    edits: Vec<EditView>,
}

#[derive(Serialize)]
struct EditView {
    file: String,
    from: Position,
    to: Position,
    text: String,
}

impl Report {
    /// Nothing told yet.
    pub fn new() -> Self {
        Self { purfle: VERSION, diagnostics: Vec::new(), unusable: Vec::new() }
    }

    /// Adds a file that could not be used.
    pub fn unusable(&mut self, unusable: &Unusable) {
        self.unusable.push(UnusableView { file: unusable.file.clone(), why: unusable.why.clone() });
    }

    /// Adds all diagnostics of one rulebook.
    pub fn add(&mut self, loaded: &Loaded) {
        let view = View { loaded, lines: loaded.sources.iter().map(|source| Lines::new(&source.text)).collect() };
        self.diagnostics.extend(loaded.diagnostics.iter().filter_map(|diagnostic| view.diagnostic(diagnostic)));
    }

    /// Writes everything.
    pub fn write(&self, out: &mut dyn Write) -> io::Result<()> {
        let mut text = Vec::new();
        write_json(&mut text, self)?;
        text.push(b'\n');
        out.write_all(&text)
    }
}

struct View<'a> {
    loaded: &'a Loaded,
    lines: Vec<Lines<'a>>,
}

impl View<'_> {
    fn place(&self, span: Span) -> Option<(String, Position, Position)> {
        let file = span.file.0 as usize;
        let (source, lines) = (self.loaded.sources.get(file)?, self.lines.get(file)?);
        Some((source.name.clone(), lines.position(span.start as usize), lines.position(span.end as usize)))
    }

    fn diagnostic(&self, diagnostic: &Diagnostic) -> Option<DiagnosticView> {
        let (file, from, to) = self.place(diagnostic.span)?;
        let places = diagnostic.places.iter().filter_map(|place| {
            let (file, from, to) = self.place(place.span)?;
            Some(PlaceView { file, from, to, says: place.says.clone() })
        });
        Some(DiagnosticView {
            slug: diagnostic.slug,
            severity: severity(diagnostic.severity),
            file,
            from,
            to,
            says: diagnostic.says.clone(),
            help: diagnostic.help.clone(),
            label: diagnostic.label.clone(),
            places: places.collect(),
            witness: None,
            fixes: diagnostic.fixes.iter().map(|fix| self.fix(fix)).collect(),
        })
    }

    fn fix(&self, fix: &Fix) -> FixView {
        let edit = |edit: &Edit| {
            let (file, from, to) = self.place(edit.span)?;
            Some(EditView { file, from, to, text: edit.text.clone() })
        };
        FixView { title: fix.title.clone(), safe: fix.safe, edits: fix.edits.iter().filter_map(edit).collect() }
    }
}
