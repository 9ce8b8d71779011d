//! Diagnostics as JSON, version 1 of their shape.

use std::io::{self, Write};

use purfle_lang::diagnostic::{Diagnostic, Edit, Fix};
use serde::Serialize;

use super::place::{Place, Places};
use super::position::Position;
use super::{Severities, witnesses};
use crate::load::Loaded;
use crate::records::Unusable;
use crate::report::write_json;
use crate::witness::{Fields, Shown};

/// The version of the shape.
const VERSION: u32 = 1;

/// Diagnostics of several rulebooks.
#[derive(Serialize)]
pub struct Report {
    purfle: u32,
    diagnostics: Vec<DiagnosticView>,
    quieted: Vec<QuietedView>,
    mended: Vec<MendView>,
    unmended: Vec<UnmendedView>,
    unusable: Vec<UnusableView>,
}

#[derive(Serialize)]
struct UnusableView {
    file: String,
    why: Vec<String>,
}

#[derive(Serialize)]
struct MendView {
    file: String,
    slug: &'static str,
    title: String,
    /// Where, in the mended file.
    at: Position,
}

#[derive(Serialize)]
struct UnmendedView {
    file: String,
    why: String,
}

#[derive(Serialize)]
struct DiagnosticView {
    slug: &'static str,
    severity: &'static str,
    /// Whether it is a warning of itself, and an error because all warnings are taken as errors.
    strict: bool,
    #[serde(flatten)]
    place: PlaceView,
    says: String,
    help: String,
    label: String,
    places: Vec<LabelView>,
    /// A record that shows the matter, as a record file says it; none for what is seen in the text alone.
    witness: Option<Fields>,
    /// The record before that one, where it matters.
    #[serde(rename = "witness-before")]
    witness_before: Option<Fields>,
    /// The same record as an example says it.
    #[serde(rename = "witness-words")]
    witness_words: Option<String>,
    /// What comes of it.
    #[serde(rename = "witness-outcome")]
    witness_outcome: Option<String>,
    fixes: Vec<FixView>,
}

#[derive(Serialize)]
struct QuietedView {
    slug: &'static str,
    #[serde(flatten)]
    place: PlaceView,
    says: String,
    because: String,
}

#[derive(Serialize)]
struct PlaceView {
    file: String,
    from: Position,
    to: Position,
}

impl From<Place<'_>> for PlaceView {
    fn from(place: Place<'_>) -> Self {
        Self { file: place.file.to_owned(), from: place.from, to: place.to }
    }
}

#[derive(Serialize)]
struct LabelView {
    #[serde(flatten)]
    place: PlaceView,
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
    #[serde(flatten)]
    place: PlaceView,
    text: String,
}

impl Default for Report {
    /// Nothing told yet.
    fn default() -> Self {
        Self {
            purfle: VERSION,
            diagnostics: Vec::new(),
            quieted: Vec::new(),
            mended: Vec::new(),
            unmended: Vec::new(),
            unusable: Vec::new(),
        }
    }
}

impl Report {
    /// Adds a file that could not be used.
    pub fn unusable(&mut self, unusable: &Unusable) {
        self.unusable.push(UnusableView { file: unusable.file.clone(), why: unusable.why.clone() });
    }

    /// Adds a fix that was made: in which file, of what, its title, and where in the mended file.
    pub fn mended(&mut self, file: &str, slug: &'static str, title: &str, at: Position) {
        self.mended.push(MendView { file: file.to_owned(), slug, title: title.to_owned(), at });
    }

    /// Adds a file that was not mended, and why.
    pub fn unmended(&mut self, file: &str, why: &str) {
        self.unmended.push(UnmendedView { file: file.to_owned(), why: why.to_owned() });
    }

    /// Adds all diagnostics of one rulebook.
    pub fn add(&mut self, loaded: &Loaded, severities: Severities) {
        let view = View { places: Places::new(loaded), severities };
        let shown = witnesses(loaded);
        let diagnostics = loaded.diagnostics.iter().zip(shown);
        self.diagnostics.extend(diagnostics.filter_map(|(diagnostic, shown)| view.diagnostic(diagnostic, shown)));
        self.quieted.extend(loaded.quieted.iter().filter_map(|quieted| {
            let place = view.places.of(quieted.diagnostic.span)?.into();
            let (slug, says) = (quieted.diagnostic.slug, quieted.diagnostic.says.clone());
            Some(QuietedView { slug, place, says, because: quieted.reason.clone() })
        }));
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
    places: Places<'a>,
    severities: Severities,
}

impl View<'_> {
    fn diagnostic(&self, diagnostic: &Diagnostic, shown: Option<Shown>) -> Option<DiagnosticView> {
        let place = self.places.of(diagnostic.span)?.into();
        let places = diagnostic.places.iter().filter_map(|label| {
            let place = self.places.of(label.span)?.into();
            Some(LabelView { place, says: label.says.clone() })
        });
        let (witness, witness_before) = shown.map(|shown| (shown.record, shown.before)).unzip();
        Some(DiagnosticView {
            slug: diagnostic.slug,
            severity: self.severities.word(diagnostic),
            strict: self.severities.raises(diagnostic),
            place,
            says: diagnostic.says.clone(),
            help: diagnostic.help.clone(),
            label: diagnostic.label.clone(),
            places: places.collect(),
            witness,
            witness_before: witness_before.flatten(),
            witness_words: diagnostic.witness.as_ref().map(|witness| witness.record.clone()),
            witness_outcome: diagnostic.witness.as_ref().map(|witness| witness.outcome.clone()),
            fixes: diagnostic.fixes.iter().map(|fix| self.fix(fix)).collect(),
        })
    }

    fn fix(&self, fix: &Fix) -> FixView {
        let edit = |edit: &Edit| Some(EditView { place: self.places.of(edit.span)?.into(), text: edit.text.clone() });
        FixView { title: fix.title.clone(), safe: fix.safe, edits: fix.edits.iter().filter_map(edit).collect() }
    }
}
