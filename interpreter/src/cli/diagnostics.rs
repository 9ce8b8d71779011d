//! Diagnostics of a rulebook as people and programs read them: one value, several renderings.

pub mod json;
mod place;
mod position;
pub mod sarif;
mod told;

use std::io::{self, IsTerminal, Write};

use miette::{GraphicalReportHandler, GraphicalTheme, NarratableReportHandler};
use purfle_lang::diagnostic::{Diagnostic, Severity, Witness};

pub use self::place::Places;
pub use self::position::{Lines, Position};
use self::told::{Texts, Told};
use crate::load::Loaded;
use crate::report::{Paint, shown};
use crate::witness::{self, Shown};

/// How wide the pictures are.
const WIDTH: usize = 80;

/// How diagnostics are shown to people.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Pictures with lines and colours.
    Colours,
    /// Pictures with lines.
    Lines,
    /// Pictures in ASCII, for what is no terminal.
    Ascii,
    /// In sentences.
    Spoken,
}

impl Style {
    /// Pictures, as the standard output can show them.
    pub fn drawn(paint: Paint) -> Self {
        match (paint.colour, io::stdout().is_terminal()) {
            (true, _) => Self::Colours,
            (false, true) => Self::Lines,
            (false, false) => Self::Ascii,
        }
    }
}

/// What counts as an error.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Severities {
    /// Errors are errors, and warnings are warnings.
    AsTheyAre,
    /// Warnings are taken as errors.
    Strict,
}

impl Severities {
    /// Whether a warning is taken as an error.
    pub fn raises(self, diagnostic: &Diagnostic) -> bool {
        self == Self::Strict && !diagnostic.is_error()
    }

    /// What a diagnostic counts as.
    pub fn of(self, diagnostic: &Diagnostic) -> Severity {
        if self.raises(diagnostic) { Severity::Error } else { diagnostic.severity }
    }

    /// The same as a word.
    pub fn word(self, diagnostic: &Diagnostic) -> &'static str {
        severity(self.of(diagnostic))
    }
}

/// `error` or `warning`.
fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    }
}

/// The witnesses of a rulebook's diagnostics as records, each marked by its diagnostic and their number.
fn witnesses(loaded: &Loaded) -> Vec<Option<Shown>> {
    let with: Vec<(usize, &Diagnostic, &Witness)> = loaded
        .diagnostics
        .iter()
        .enumerate()
        .filter_map(|(at, diagnostic)| Some((at, diagnostic, diagnostic.witness.as_ref()?)))
        .collect();
    let mut all = vec![None; loaded.diagnostics.len()];
    if !with.is_empty() {
        let marked: Vec<(String, &Witness)> = with
            .iter()
            .zip(1..)
            .map(|((_, diagnostic, witness), number)| (format!("{}-{number}", diagnostic.slug), *witness))
            .collect();
        for ((at, ..), shown) in with.iter().zip(witness::shown(&loaded.trees, &marked)) {
            all[*at] = shown;
        }
    }
    all
}

/// Writes all diagnostics of a rulebook for people.
pub fn human(out: &mut dyn Write, loaded: &Loaded, style: Style, severities: Severities) -> io::Result<()> {
    let texts = Texts::new(&loaded.sources);
    for diagnostic in &loaded.diagnostics {
        writeln!(out, "{}", Told::new(diagnostic, &texts, severities).drawn(style)?.trim_end())?;
        writeln!(out)?;
    }
    Ok(())
}

/// A diagnostic for people.
fn draw(diagnostic: &dyn miette::Diagnostic, style: Style) -> io::Result<String> {
    let mut text = String::new();
    let theme = match style {
        Style::Colours => Some(GraphicalTheme::unicode()),
        Style::Lines => Some(GraphicalTheme::unicode_nocolor()),
        Style::Ascii => Some(GraphicalTheme::none()),
        Style::Spoken => None,
    };
    let drawn = match theme {
        Some(theme) => {
            GraphicalReportHandler::new_themed(theme).with_width(WIDTH).with_links(false).render_report(&mut text, diagnostic)
        }
        None => NarratableReportHandler::new().render_report(&mut text, diagnostic),
    };
    drawn.map_err(io::Error::other)?;
    Ok(text)
}

/// Writes one line for each diagnostic: file, line, column, severity, slug, sentence.
pub fn line(out: &mut dyn Write, loaded: &Loaded, severities: Severities) -> io::Result<()> {
    let places = Places::new(loaded);
    for diagnostic in &loaded.diagnostics {
        let Some(place) = places.of(diagnostic.span) else { continue };
        let mut says = diagnostic.says.clone();
        if !diagnostic.help.is_empty() {
            says.push_str(&format!(" {}", diagnostic.help));
        }
        if severities.raises(diagnostic) {
            says.push_str(&format!(" ({RAISED}.)"));
        }
        let (severity, slug) = (severities.word(diagnostic), diagnostic.slug);
        let Position { line, column } = place.from;
        writeln!(out, "{}:{line}:{column}: {severity}[{slug}]: {}", shown(place.file), shown(&says))?;
    }
    Ok(())
}

/// What is said of a warning that counts as an error.
const RAISED: &str = "a warning, taken as an error by --strict";

/// A number of things.
pub fn count(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// One line on a rulebook: how many errors and warnings, and how many warnings are quieted.
pub fn summary(name: &str, loaded: &Loaded, severities: Severities) -> String {
    let errors = loaded.errors();
    let warnings = loaded.diagnostics.len() - errors;
    let taken = match (severities, warnings) {
        (Severities::AsTheyAre, _) | (_, 0) => "",
        (Severities::Strict, 1) => " taken as an error",
        (Severities::Strict, _) => " taken as errors",
    };
    let quieted = match loaded.quieted.len() {
        0 => String::new(),
        quieted => format!(", {quieted} quieted"),
    };
    format!("{}: {}, {}{taken}{quieted}", shown(name), count(errors, "error"), count(warnings, "warning"))
}

/// Says on the standard error why a rulebook does not run.
pub fn refuse(loaded: &Loaded) {
    let mut err = io::stderr();
    let terminal = err.is_terminal();
    let style = match (super::paint(terminal).colour, terminal) {
        (true, _) => Style::Colours,
        (false, true) => Style::Lines,
        (false, false) => Style::Ascii,
    };
    let name = loaded.sources.first().map_or("", |source| source.name.as_str());
    // If even this cannot be written, nobody is there to read it.
    let _ = human(&mut err, loaded, style, Severities::AsTheyAre);
    let summary = summary(name, loaded, Severities::AsTheyAre);
    let _ = writeln!(err, "{summary}. A rulebook with errors does not run.");
}
