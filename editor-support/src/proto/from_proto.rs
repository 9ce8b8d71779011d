//! From the protocol's terms to ours.

use std::path::{Path, PathBuf};

use tower_lsp::lsp_types::{Range, TextDocumentContentChangeEvent, Url};

/// A change of a text: a part of it, or the whole of it, becomes another text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The part; none for the whole.
    pub range: Option<Range>,
    /// What stands there afterwards.
    pub text: String,
}

/// The changes of a notification, in their order.
pub fn changes(told: Vec<TextDocumentContentChangeEvent>) -> Vec<Change> {
    told.into_iter().map(|change| Change { range: change.range, text: change.text }).collect()
}

/// The file that a text is; for a text that was never saved, one of its name in `folder`.
pub fn path(uri: &Url, folder: &Path) -> PathBuf {
    uri.to_file_path().unwrap_or_else(|()| {
        let name = uri.path().rsplit('/').next().unwrap_or_default();
        let path = folder.join(if name.is_empty() { "untitled" } else { name });
        std::path::absolute(&path).unwrap_or(path)
    })
}
