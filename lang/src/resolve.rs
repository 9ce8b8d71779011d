//! From the merged tree to the book: every name looked up, every unit converted, every error at once.

mod altered;
mod bounds;
#[cfg(test)]
mod by_hand;
mod caused;
mod cheaper;
mod choices;
pub mod circles;
mod condition;
mod costs;
mod define;
mod draft;
mod dropped;
pub mod example;
mod expression;
mod finding;
mod goodness;
mod head;
mod ladder_order;
mod ladders;
mod look;
mod money;
pub mod names;
mod only_when;
mod operand;
mod part;
mod places;
mod quantity;
mod read;
mod reckon;
mod rest;
mod rows;
mod scope;
mod single;
mod table;
#[cfg(test)]
mod tests;
mod typed;
mod uses;
mod warnings;
mod ways;
mod work;

use crate::book::Book;
use crate::chain::merge;
use crate::diagnostic::Diagnostic;
use crate::syntax::tree::Tree;

/// A book, if there is no error, and everything there is to say.
#[derive(Debug)]
pub struct Resolved {
    /// The book; none where anything stops the rulebook from running.
    pub book: Option<Book>,
    /// Errors and warnings, in the order of the text.
    pub diagnostics: Vec<Diagnostic>,
}

/// Resolves a rulebook together with the ones it is built on: `chain[0]` is the rulebook, `chain[1]` its parent, and so
/// on. What the parser found wrong is the caller's to count as well.
pub fn resolve(chain: &[Tree]) -> Resolved {
    let merged = merge(chain);
    let Some(mut draft) = head::draft(&merged) else { return Resolved { book: None, diagnostics: merged.diagnostics } };
    let read = read::read(&mut draft, &merged);
    draft.sink.extend(merged.diagnostics);
    check(&draft, &read);
    if draft.book.findings.iter().any(altered::changes_hands)
        && let Some(parent) = chain.get(1..).and_then(|parents| resolve(parents).book)
    {
        draft.sink.extend(altered::check(&draft.book, &parent));
    }
    let sound = draft.sink.errors() == 0;
    let (book, found) = (draft.book, draft.sink.into_inner());
    let mut diagnostics = caused::once(dropped::gathered(found, &draft.names.dropped));
    diagnostics.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
    Resolved { book: sound.then_some(book), diagnostics }
}

/// What can only be seen once everything is read.
fn check(draft: &draft::Draft, read: &read::Read) {
    let (book, sink, troubled) = (&draft.book, &draft.sink, &draft.troubled);
    if read.ladders_sound {
        sink.extend(ladder_order::steps(&book.steps));
        sink.extend(ladder_order::tiers(&book.tiers, book.money));
    }
    sink.extend(circles::circles(book));
    sink.extend(rows::check(book, &read.rows, read.applies_known));
    sink.extend(cheaper::check(book, &|work| !troubled.works.contains(&work)));
    sink.extend(warnings::check(book, &|finding| !troubled.findings.contains(&finding)));
}
