//! Worked examples: what an author wrote of one, looked up name by name.

mod expect;
mod from_tree;
mod left_out;
mod path;
mod record;
pub mod written;

use super::draft::Troubled;
use super::names::{Names, Sink};
use crate::book::{Book, Example, Origin};
use crate::diagnostic::Diagnostic;
use crate::saying::BadSaying;
use crate::span::{Span, Spanned};
pub use from_tree::written_example;
pub use left_out::LeftOut;
use written::WrittenExample;

/// What looking an example up needs: every name, and the parts, looks and findings read so far.
#[derive(Clone, Copy)]
pub struct Lookup<'a> {
    /// Every name.
    pub names: &'a Names,
    /// The book, as far as it is read. What had errors of its own may be missing, and is passed over here.
    pub book: &'a Book,
    /// What has errors of its own: anything may be said of it.
    pub troubled: &'a Troubled,
    /// Where diagnostics go.
    pub sink: &'a Sink,
}

/// An example with everything in it looked up. What has an error is left out, after the error was told.
pub fn example(lookup: Lookup, written: &WrittenExample, origin: Origin) -> Example {
    let record = record::record(lookup, &written.record);
    let expects = expect::expects(lookup, written);
    Example { words: written.words.value.clone(), record, expects, origin }
}

/// A diagnostic for a value that could not be read. `what` is what was being said, such as `button.gap`; the fix
/// writes `nearest`, where there is one and `as_written` can put it into a rulebook.
fn bad_value(what: &str, written: &Spanned<String>, bad: &BadSaying, as_written: impl Fn(&str) -> Option<String>) -> Diagnostic {
    let span = written.span;
    if let Some((value, next)) = run_together(&written.value) {
        let after = |bytes: usize| span.start as usize + bytes;
        let gap = Span::new(span.file, after(value.len()), after(written.value.len() - next.len()));
        let next = if next.starts_with("the ") { "the rest" } else { next.split_whitespace().next().unwrap_or_default() };
        let says = format!("`{what}` cannot be read: a comma is missing before `{next}`.");
        return Diagnostic::error("bad-value", span, says)
            .help("Put a comma before it: what a record says stands with commas between.")
            .fix("Put a comma", false, gap, ", ");
    }
    let diagnostic = Diagnostic::error("bad-value", span, format!("`{what}` cannot be read: {}.", bad.why))
        .help(format!("Write {}.", bad.allowed));
    match bad.nearest.as_deref().and_then(as_written) {
        Some(nearest) => diagnostic.fix(format!("Write `{nearest}`"), false, span, nearest),
        None => diagnostic,
    }
}

/// A value, and what follows it as if it were one more thing that the record says, with no comma before.
fn run_together(written: &str) -> Option<(&str, &str)> {
    let starts = written.match_indices(char::is_whitespace).map(|(at, space)| at + space.len());
    let next = starts.filter(|at| written[..*at].matches('"').count().is_multiple_of(2)).find(|at| {
        let mut words = written[*at..].split_whitespace();
        let first = words.next().unwrap_or_default();
        let is_path = first.starts_with(char::is_lowercase) && first.chars().all(|c| c.is_alphanumeric() || ".-".contains(c));
        let second = words.next();
        is_path && (second == Some("is") || (first, second, words.next()) == ("the", Some("rest"), Some("is")))
    })?;
    let value = written[..next].trim_end_matches(|c: char| c.is_whitespace() || c == ';');
    (!value.is_empty()).then_some((value, &written[next..]))
}

#[cfg(test)]
mod tests;
