//! What can be folded away: items, the looks and ways within them, and comments of several lines.

use std::ops::Range;

use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Entry, Says};

use crate::analysis::Analysis;

/// What is folded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FoldKind {
    /// An item or an entry.
    Entry,
    /// Lines of comment.
    Comment,
}

/// A stretch of lines that folds to its first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Fold {
    /// From the first line that stays to the end of the last that goes.
    pub span: Span,
    /// What it is.
    pub kind: FoldKind,
}

/// All that can be folded, in the order of the text.
pub fn folding(analysis: &Analysis, file: FileId) -> Vec<Fold> {
    let text = analysis.text(file);
    let mut folds = Vec::new();
    for item in analysis.items(file) {
        entry(text, &item.entry, &mut folds);
    }
    folds.extend(comments(analysis, file));
    folds.sort_by_key(|fold| (fold.span.start, fold.span.end));
    folds
}

fn entry(text: &str, of: &Entry, folds: &mut Vec<Fold>) {
    if goes_over_lines(text, of.span.range()) {
        folds.push(Fold { span: of.span, kind: FoldKind::Entry });
    }
    for clause in &of.clauses {
        if let Says::Entry(inner) = &clause.says {
            entry(text, inner, folds);
        }
    }
}

fn goes_over_lines(text: &str, range: Range<usize>) -> bool {
    text.get(range).is_some_and(|written| written.contains(['\n', '\r']))
}

/// Comments that stand alone on lines right below each other.
fn comments(analysis: &Analysis, file: FileId) -> Vec<Fold> {
    let text = analysis.text(file);
    let mut runs: Vec<Span> = Vec::new();
    for comment in analysis.tree(file).into_iter().flat_map(|tree| &tree.comments).filter(|comment| comment.alone) {
        let follows = |run: &Span| {
            let between = text.get(run.range().end..comment.span.range().start).unwrap_or("x");
            between.trim().is_empty() && between.replace("\r\n", "\n").matches(['\n', '\r']).count() == 1
        };
        match runs.last_mut() {
            Some(run) if follows(run) => *run = run.to(comment.span),
            _ => runs.push(comment.span),
        }
    }
    runs.retain(|run| goes_over_lines(text, run.range()));
    runs.into_iter().map(|span| Fold { span, kind: FoldKind::Comment }).collect()
}
