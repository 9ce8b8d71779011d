//! What a rulebook may do and a careful one does not: a finding without a source, a repair by a player without a caution,
//! two examples that nobody can tell apart by their words.

use rustc_hash::FxHashMap;

use crate::book::{Book, Example, Finding, FindingId, HandId};
use crate::diagnostic::Diagnostic;
use crate::span::Span;

/// Warnings about the findings that were read without an error (`known` says which), and about the examples.
pub fn check(book: &Book, known: &dyn Fn(FindingId) -> bool) -> Vec<Diagnostic> {
    let findings = book.findings.iter().enumerate();
    let sound = findings.filter(|(index, _)| known(FindingId::from_index(*index))).map(|(_, finding)| finding);
    sound
        .flat_map(|finding| [no_basis(finding), care_missing(book, finding)])
        .flatten()
        .chain(example_twice(&book.examples))
        .collect()
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

/// Examples are told of by their words. What an example of a parent is called may be said again.
fn example_twice(examples: &[Example]) -> Vec<Diagnostic> {
    let mut first: FxHashMap<&str, Span> = FxHashMap::default();
    let mut told = Vec::new();
    for example in examples {
        let span = example.origin.span;
        match first.get(example.words.as_str()) {
            None => drop(first.insert(&example.words, span)),
            Some(first) => told.push(
                Diagnostic::warning("example-twice", span, format!("Two examples are called \"{}\".", example.words))
                    .label("the same words")
                    .help("Say in one of them what makes it another case, or take it out.")
                    .place(*first, "first written here"),
            ),
        }
    }
    told
}
