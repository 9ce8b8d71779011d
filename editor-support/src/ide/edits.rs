//! Changes of files.

use std::path::PathBuf;

use purfle_lang::diagnostic::Edit;

/// The edits of one file, in the order of its text; each span's file is 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileEdits {
    /// The file.
    pub path: PathBuf,
    /// The edits.
    pub edits: Vec<Edit>,
}
