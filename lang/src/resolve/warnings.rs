//! What a rulebook may do and a careful one does not: a finding without a source, a repair by a player without a caution,
//! two examples that nobody can tell apart by their words.

use rustc_hash::FxHashMap;

use crate::book::{Book, Example, Finding, FindingId, HandId};
use crate::diagnostic::Diagnostic;
use crate::span::Span;

/// Warnings about the findings that were read without an error (`known` says which), and about the examples. Where hands
/// that became less skilled are told, the caution that is missing is told with them.
pub fn check(book: &Book, known: &dyn Fn(FindingId) -> bool, less_skilled: &[Diagnostic]) -> Vec<Diagnostic> {
    let findings = book.findings.iter().enumerate();
    let sound = findings.filter(|(index, _)| known(FindingId::from_index(*index))).map(|(_, finding)| finding);
    let told = |diagnostic: &Diagnostic| less_skilled.iter().any(|told| told.span == diagnostic.span);
    sound
        .flat_map(|finding| [no_basis(finding), care_missing(book, finding).filter(|missing| !told(missing))])
        .flatten()
        .chain(example_twice(&book.examples))
        .collect()
}

fn no_basis(finding: &Finding) -> Option<Diagnostic> {
    let says = format!("`{}` does not say what it rests on.", finding.name);
    let help = "Add a `basis`: a published source, or \"common practice\".";
    if finding.basis.is_empty() { own("no-basis", finding, says, help) } else { None }
}

/// A warning at the finding, or where the rulebook itself altered it; none about what a parent wrote and nobody altered.
fn own(slug: &'static str, finding: &Finding, says: String, help: &str) -> Option<Diagnostic> {
    let span = finding.origin.own()?;
    let diagnostic = Diagnostic::warning(slug, span, says).help(help);
    Some(if span == finding.origin.span { diagnostic } else { diagnostic.place(finding.origin.span, "first written here") })
}

fn care_missing(book: &Book, finding: &Finding) -> Option<Diagnostic> {
    let cost = finding.counted_cost();
    // Where only one hand works, it is nobody's first try.
    let least_skilled = book.hands.len() > 1 && finding.counted_hands() == HandId::from_index(0);
    if !least_skilled || !finding.care.is_empty() || (cost.work.is_empty() && cost.goods.is_empty()) {
        return None;
    }
    let hand = book.hands.first().map_or("", |hand| hand.name.as_str());
    let says = format!("`{}` is mended by the least skilled hand, `{hand}`, and carries no caution.", finding.name);
    own("care-missing", finding, says, "Add a `care` that says what can go wrong.")
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
