//! Worked examples: what an author wrote of one, looked up name by name.

mod expect;
mod from_tree;
mod left_out;
mod path;
mod record;
pub mod written;

use rustc_hash::FxHashSet;

use super::names::{Names, Sink};
use crate::book::{Book, Example, LookId, Origin};
use crate::diagnostic::Diagnostic;
use crate::saying::BadSaying;
use crate::span::Span;
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
    /// Looks with errors of their own, of which anything may be said.
    pub troubled: &'a FxHashSet<LookId>,
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
fn bad_value(what: &str, span: Span, bad: &BadSaying, as_written: impl Fn(&str) -> Option<String>) -> Diagnostic {
    let diagnostic = Diagnostic::error("bad-value", span, format!("`{what}` cannot be read: {}.", bad.why))
        .help(format!("Write {}.", bad.allowed));
    match bad.nearest.as_deref().and_then(as_written) {
        Some(nearest) => diagnostic.fix(format!("Write `{nearest}`"), false, span, nearest),
        None => diagnostic,
    }
}

#[cfg(test)]
mod tests;
