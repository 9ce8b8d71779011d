//! What a house rulebook makes of the one it is built on: hands that become less skilled.

use crate::book::{Book, Finding};
use crate::diagnostic::Diagnostic;
use crate::span::FileId;

/// Findings of which an `alter` hands the work to somebody less skilled than the parent does, and gives no caution.
pub fn check(book: &Book, parent: &Book) -> Vec<Diagnostic> {
    book.findings
        .iter()
        .filter(|finding| changes_hands(finding))
        .filter_map(|finding| less_skilled(book, parent, finding))
        .collect()
}

/// Whether an `alter` of the rulebook itself wrote hands anew, or a way that may have its own.
pub fn changes_hands(finding: &Finding) -> bool {
    let words = |what: &String| what == "hands" || what.split(' ').next() == Some("way");
    let own = finding.origin.changes.iter().filter(|change| change.span.file == FileId::OWN);
    own.into_iter().any(|change| change.what.iter().any(words))
}

fn less_skilled(book: &Book, parent: &Book, finding: &Finding) -> Option<Diagnostic> {
    let before = &parent[parent[parent.find_finding(&finding.name)?].counted_hands()];
    // The house may have a ladder of its own; hands are compared on that.
    let place = book.hands.iter().position(|hand| hand.name == before.name)?;
    let now = finding.counted_hands();
    let change = finding.origin.changes.last()?;
    // Whoever gave it to them has thought of what can go wrong.
    let cautioned = finding.origin.changes.iter().any(|change| change.what.iter().any(|what| what == "care"));
    (now.index() < place && !cautioned).then(|| {
        let says = format!(
            "`{}` was work for `{}`, and is given to `{}`, who is less skilled.",
            finding.name, before.name, book[now].name
        );
        Diagnostic::warning("hands-less-skilled", change.span, says)
            .help("Add a `care` that says what can go wrong, or leave the hands as they were.")
            .place(finding.origin.span, "first written here")
    })
}
