//! What came of the worked examples.

use std::sync::Arc;

use purfle::judge::Judge;
use purfle::plan::Plan;
use purfle::rehearse::rehearse;
use purfle_lang::book::{Book, Example, Expectation, FindingId};
use purfle_lang::span::Span;

/// What came of one example.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Came {
    /// The example's words, where they are written.
    pub span: Span,
    /// Its words.
    pub words: String,
    /// How much it expects.
    pub expects: usize,
    /// The findings that it speaks of.
    pub speaks_of: Vec<FindingId>,
    /// What was expected and did not come out; nothing where all came out as agreed.
    pub misses: Vec<Expected>,
}

/// One thing that was expected and did not come out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Expected {
    /// Where it is written.
    pub span: Span,
    /// What came out instead.
    pub came_out: String,
    /// What decides it: looks with what the record says of them.
    pub because: Vec<String>,
}

/// Runs all examples, the rulebook's own first.
pub(super) fn came(book: &Arc<Book>) -> Vec<Came> {
    let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
    if judge.warm_up().is_err() {
        return Vec::new();
    }
    book.examples.iter().chain(&book.inherited_examples).map(|example| run(book, &mut judge, example)).collect()
}

fn run(book: &Arc<Book>, judge: &mut Judge, example: &Example) -> Came {
    let misses = rehearse(book, judge, example).misses;
    let mut speaks_of: Vec<FindingId> = example
        .expects
        .iter()
        .filter_map(|(expectation, _)| match expectation {
            Expectation::Finding { finding, .. } => Some(*finding),
            _ => None,
        })
        .collect();
    speaks_of.sort_unstable();
    speaks_of.dedup();
    Came {
        span: example.origin.span,
        words: example.words.clone(),
        expects: example.expects.len(),
        speaks_of,
        misses: misses
            .into_iter()
            .map(|miss| Expected { span: miss.span, came_out: miss.came_out, because: miss.because })
            .collect(),
    }
}
