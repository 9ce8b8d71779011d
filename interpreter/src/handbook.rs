//! The handbook: a rulebook as a document to read and to print.
//!
//! A handbook is made once, as chapters of plain values ([`document`]), and laid out as a page or as Markdown. What is
//! said of a condition comes from `lang`'s wording, what a finding costs from the judge.

mod changes;
mod chapters;
pub mod document;
mod drawing;
mod html;
mod maker;
mod markdown;
mod numbering;
mod uses;

use purfle_lang::book::Book;
use purfle_lang::chain::merge;
use purfle_lang::syntax::tree::Tree;

use crate::by_itself::Figures;
pub use document::Handbook;
pub use html::html;
use maker::Maker;
pub use markdown::markdown;

/// The handbook of a rulebook. `trees` are those of the chain that the book was read from, `figures` those of the book.
pub fn handbook(book: &Book, trees: &[Tree], figures: &Figures) -> Handbook {
    let merged = merge(trees);
    chapters::all(&Maker::new(book, trees, &merged, figures))
}
