//! Diagnostics in plain words with the line they speak of, as they are reviewed.

use std::fmt::Write;

use purfle::load::Loaded;
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::source::LineIndex;
use purfle_lang::span::Span;

/// The longest piece of a line that is shown.
const LONGEST: usize = 100;

/// Everything that is told of one text.
pub fn plain(name: &str, loaded: &Loaded) -> String {
    let mut out = format!("{name}\n");
    for diagnostic in &loaded.diagnostics {
        // Writing to a text does not fail.
        let _ = tell(&mut out, loaded, diagnostic);
    }
    out
}

fn tell(out: &mut String, loaded: &Loaded, told: &Diagnostic) -> std::fmt::Result {
    let (number, line, column, wide) = place(loaded, told.span);
    let severity = if told.is_error() { "" } else { " (a warning)" };
    let file = if told.span.file.0 == 0 { "" } else { "in the standard, " };
    writeln!(out, "  {file}line {number}, {}{severity}: {}", told.slug, told.says)?;
    writeln!(out, "    | {line}")?;
    writeln!(out, "    | {}{} {}", " ".repeat(column), "^".repeat(wide), told.label)?;
    if !told.help.is_empty() {
        writeln!(out, "    {}", told.help)?;
    }
    for other in &told.places {
        writeln!(out, "    {}: `{}`", other.says, place(loaded, other.span).1.trim())?;
    }
    for fix in &told.fixes {
        let kind = if fix.safe { "made by --mend" } else { "offered" };
        let edits: Vec<String> = fix.edits.iter().map(|edit| format!("{:?}", edit.text)).collect();
        writeln!(out, "    {kind}: {} ({})", fix.title, edits.join(", "))?;
    }
    Ok(())
}

/// The number of a line from 1, the line, how many characters stand before a span, and how many are in it.
fn place(loaded: &Loaded, span: Span) -> (usize, String, usize, usize) {
    let text = loaded.sources.get(usize::from(span.file.0)).map_or("", |source| source.text.as_str());
    let range = span.range();
    let number = LineIndex::new(text).line_column(text, range.start).line;
    let begins = text[..range.start.min(text.len())].rfind('\n').map_or(0, |end| end + 1);
    let line = text[begins..].lines().next().unwrap_or_default();
    // A comment that expects the fault would say it twice.
    let shown = line.split("   # !").next().unwrap_or_default().replace('\t', " ");
    let before = text[begins..range.start].chars().count();
    let wide = text[range.clone()].lines().next().unwrap_or_default().chars().count().clamp(1, LONGEST);
    (number, shown.chars().take(LONGEST).collect(), before.min(LONGEST), wide)
}
