//! The tree-sitter grammar of Purfle, for programs in Rust.

use tree_sitter_language::LanguageFn;

unsafe extern "C" {
    fn tree_sitter_purfle() -> *const ();
}

/// The grammar.
// SAFETY: the generated parser returns a pointer to its own constant tables.
pub const LANGUAGE: LanguageFn = unsafe { LanguageFn::from_raw(tree_sitter_purfle) };

/// What is highlighted how.
pub const HIGHLIGHTS: &str = include_str!("../queries/purfle/highlights.scm");
