//! Rulebooks written out in a test.

use purfle_lang::book::Book;
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;

/// The book that a text means, with the errors it has: no book if there are any.
fn read(text: &str) -> (Option<Book>, Vec<String>) {
    let parsed = parse(FileId(0), text);
    let resolved = resolve(std::slice::from_ref(&parsed.tree));
    let errors = parsed.diagnostics.iter().chain(&resolved.diagnostics).filter(|diagnostic| diagnostic.is_error());
    let line = |at: usize| text.get(..at).map_or(0, |before| before.matches('\n').count() + 1);
    let told = errors.map(|error| {
        let at = line(error.span.range().start);
        format!("line {at}: {}: {} {}", error.slug, error.says, text.lines().nth(at - 1).unwrap_or_default().trim())
    });
    let told: Vec<String> = told.collect();
    (if told.is_empty() { resolved.book } else { None }, told)
}

/// The book that a text means. The test fails, with every error, if it has any.
pub fn book(text: &str) -> Book {
    match read(text) {
        (Some(book), _) => book,
        (None, errors) => panic!("{}\n\n{text}", errors.join("\n")),
    }
}

/// The errors of a text.
pub fn diagnostics(text: &str) -> Vec<String> {
    read(text).1
}

/// Whether a text asks for what a record brings along: its date, the record before.
pub fn brings(text: &str) -> bool {
    text.contains("inspected-on") || text.contains("last ")
}
