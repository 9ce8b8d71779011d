//! The rulebook that this one builds on, as a link to its file.

use std::path::PathBuf;

use purfle_lang::span::{FileId, Span};

use crate::analysis::Analysis;

/// A link to a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// What is clicked.
    pub span: Span,
    /// Where it leads.
    pub path: PathBuf,
    /// What is shown beside it.
    pub tip: String,
}

/// The links of a text: the name after `builds on`, and the file after `from`. There are none where the file was not found.
pub fn links(analysis: &Analysis, file: FileId) -> Vec<Link> {
    let (Some(tree), Some(path)) = (analysis.tree(file), analysis.paths.get(usize::from(file.0) + 1)) else { return Vec::new() };
    let Some(builds_on) = tree.builds_on() else { return Vec::new() };
    let tip = format!("Open {}", analysis.rulebook(FileId(file.0.saturating_add(1))));
    let spans = std::iter::once(builds_on.name.span).chain(builds_on.from.as_ref().map(|from| from.span));
    spans.map(|span| Link { span, path: path.clone(), tip: tip.clone() }).collect()
}
