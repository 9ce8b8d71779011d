//! What a rulebook may do and a careful one does not: a finding without a source, a repair by a player without a caution.

use crate::book::{Book, Finding, FindingId, HandId};
use crate::diagnostic::Diagnostic;

/// Warnings about the findings that were read without an error (`known` says which).
pub fn check(book: &Book, known: &dyn Fn(FindingId) -> bool) -> Vec<Diagnostic> {
    let findings = book.findings.iter().enumerate();
    let sound = findings.filter(|(index, _)| known(FindingId::from_index(*index))).map(|(_, finding)| finding);
    sound.flat_map(|finding| [no_basis(finding), care_missing(book, finding)]).flatten().collect()
}

fn no_basis(finding: &Finding) -> Option<Diagnostic> {
    finding.basis.is_empty().then(|| {
        Diagnostic::warning("no-basis", finding.origin.span, format!("`{}` does not say what it rests on.", finding.name))
            .help("Add a `basis`: a published source, or \"common practice\".")
    })
}

fn care_missing(book: &Book, finding: &Finding) -> Option<Diagnostic> {
    let cost = finding.counted_cost();
    let least_skilled = finding.counted_hands() == HandId::from_index(0);
    if !least_skilled || !finding.care.is_empty() || (cost.work.is_empty() && cost.goods.is_empty()) {
        return None;
    }
    let hand = book.hands.first().map_or("", |hand| hand.name.as_str());
    let says = format!("`{}` is mended by the least skilled hand, `{hand}`, and carries no caution.", finding.name);
    Some(Diagnostic::warning("care-missing", finding.origin.span, says).help("Add a `care` that says what can go wrong."))
}
