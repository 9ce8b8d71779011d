//! Diagnostics of a rulebook as people and programs read them: one value, several renderings.

pub mod json;
mod position;
mod told;

use std::io::{self, IsTerminal, Write};

use miette::{GraphicalReportHandler, GraphicalTheme, NarratableReportHandler};
use purfle_lang::diagnostic::Severity;

pub use self::position::Lines;
use self::told::{Texts, Told};
use crate::load::Loaded;
use crate::report::{Paint, shown};

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

/// Writes all diagnostics of a rulebook for people.
pub fn human(out: &mut dyn Write, loaded: &Loaded, style: Style) -> io::Result<()> {
    let texts = Texts::new(&loaded.sources);
    for diagnostic in &loaded.diagnostics {
        writeln!(out, "{}", Told::new(diagnostic, &texts).drawn(style)?.trim_end())?;
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
pub fn line(out: &mut dyn Write, loaded: &Loaded) -> io::Result<()> {
    let lines: Vec<Lines<'_>> = loaded.sources.iter().map(|source| Lines::new(&source.text)).collect();
    for diagnostic in &loaded.diagnostics {
        let file = diagnostic.span.file.0 as usize;
        let (Some(source), Some(lines)) = (loaded.sources.get(file), lines.get(file)) else { continue };
        let at = lines.position(diagnostic.span.start as usize);
        let help = if diagnostic.help.is_empty() { String::new() } else { format!(" {}", diagnostic.help) };
        let severity = severity(diagnostic.severity);
        let says = format!("{}{help}", diagnostic.says);
        let name = shown(&source.name);
        writeln!(out, "{name}:{}:{}: {severity}[{}]: {}", at.line, at.column, diagnostic.slug, shown(&says))?;
    }
    Ok(())
}

/// `error` or `warning`.
pub fn severity(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    }
}

/// One line on a rulebook: how many errors and warnings.
pub fn summary(name: &str, loaded: &Loaded) -> String {
    let errors = loaded.errors();
    let warnings = loaded.diagnostics.len() - errors;
    let count = |count: usize, noun: &str| format!("{count} {noun}{}", if count == 1 { "" } else { "s" });
    format!("{}: {}, {}", shown(name), count(errors, "error"), count(warnings, "warning"))
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
    let _ = human(&mut err, loaded, style);
    let _ = writeln!(err, "{}. A rulebook with errors does not run.", summary(name, loaded));
}
