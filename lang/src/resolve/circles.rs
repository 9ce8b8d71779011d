//! Circles: findings that become, yield to or ask for each other, bench steps that include each other, and looks and
//! reckonings that need each other before they are known.
//!
//! A circle has no first member to begin with, so each is an error. It is told once, whole and in order, at the name
//! that closes it; the other names are labelled.

mod needs;
mod search;
mod written;

use crate::book::Book;
use crate::diagnostic::Diagnostic;
use crate::span::Span;
use search::Arrow;
pub use written::Written;

/// The most members that a message names, and the most places it points at.
const MOST_NAMED: usize = 12;

/// Every circle of a book. The book may still be in the making: what refers to nothing is left out.
pub fn circles(book: &Book, written: &Written) -> Vec<Diagnostic> {
    let mut diagnostics = becoming(book);
    diagnostics.extend(yielding(book, written));
    diagnostics.extend(including(book, written));
    diagnostics.extend(needs::circles(book, written));
    diagnostics
}

fn becoming(book: &Book) -> Vec<Diagnostic> {
    let arrows = book.findings.iter().enumerate().flat_map(|(from, finding)| {
        finding.becomes.iter().map(move |arrow| Arrow { from, to: arrow.to.index(), span: arrow.span })
    });
    let kind = Kind {
        slug: "circle-in-left",
        what: "What is left alone goes round in a circle",
        verb: "becomes",
        help: "Take one of these `left becomes` lines out.",
        help_alone: "Name what it becomes, or take the line out.",
    };
    tell_all(&kind, &arrows.collect::<Vec<_>>(), &finding_names(book))
}

fn yielding(book: &Book, written: &Written) -> Vec<Diagnostic> {
    let kind = Kind {
        slug: "circle-in-yields",
        what: "Findings that yield to each other would all step aside",
        verb: "yields to",
        help: "Take one of these `yields to` lines out: the finding that is left standing has none.",
        help_alone: "Name the finding it stands behind, or take the `yields to` out.",
    };
    tell_all(&kind, &written.yields, &finding_names(book))
}

fn including(book: &Book, written: &Written) -> Vec<Diagnostic> {
    let kind = Kind {
        slug: "circle-in-includes",
        what: "Bench steps that include each other would all fall away",
        verb: "includes",
        help: "Take one of these `includes` out: the greater step includes the lesser one.",
        help_alone: "Name the lesser step it includes, or take the `includes` out.",
    };
    let names: Vec<String> = book.works.iter().map(|work| work.name.clone()).collect();
    tell_all(&kind, &written.includes, &names)
}

fn finding_names(book: &Book) -> Vec<String> {
    book.findings.iter().map(|finding| finding.name.clone()).collect()
}

/// How circles of one kind are told.
struct Kind {
    slug: &'static str,
    what: &'static str,
    verb: &'static str,
    help: &'static str,
    /// What to do where there is only one member.
    help_alone: &'static str,
}

fn tell_all(kind: &Kind, arrows: &[Arrow], names: &[String]) -> Vec<Diagnostic> {
    let name = |node: usize| names.get(node).map_or("", String::as_str);
    search::circles(names.len(), arrows)
        .into_iter()
        .map(|circle| {
            let steps: Vec<(&str, Span)> = circle.iter().map(|&at| (name(arrows[at].from), arrows[at].span)).collect();
            tell(kind, &steps)
        })
        .collect()
}

/// One circle: the members in order, each with the place that names the next one.
fn tell(kind: &Kind, steps: &[(&str, Span)]) -> Diagnostic {
    // It begins where the author's own file, or else the one nearest to it, first speaks of it.
    let first = (0..steps.len()).min_by_key(|&at| steps[at].1).unwrap_or(0);
    let step = |at: usize| steps[(first + at) % steps.len()];
    let says_of = |at: usize| format!("`{}` {} `{}`", step(at).0, kind.verb, step(at + 1).0);
    if steps.len() == 1 {
        let says = format!("`{}` {} itself.", step(0).0, kind.verb);
        return Diagnostic::error(kind.slug, step(0).1, says).help(kind.help_alone);
    }
    let named = steps.len().min(MOST_NAMED);
    let mut chain = format!("`{}`", step(0).0);
    for at in 1..named {
        let which = if at == 1 { "" } else { ", which" };
        chain.push_str(&format!("{which} {} `{}`", kind.verb, step(at).0));
    }
    if steps.len() > named {
        chain.push_str(&format!(", and so on through {} in all, until one {} `{}`", steps.len(), kind.verb, step(0).0));
    } else {
        chain.push_str(&format!(", which {} `{}`", kind.verb, step(0).0));
    }
    let diagnostic =
        Diagnostic::error(kind.slug, step(0).1, format!("{}: {chain}.", kind.what)).label(says_of(0)).help(kind.help);
    (1..named).fold(diagnostic, |diagnostic, at| diagnostic.place(step(at).1, says_of(at)))
}

#[cfg(test)]
mod tests;
