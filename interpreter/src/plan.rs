//! A plan: a book made ready to judge records.

pub mod build;
pub mod layout;
pub mod price;
pub mod rooms;

use std::sync::Arc;

use purfle_lang::book::{Book, PartId};
use purfle_lang::finite::unnamed::unnamed_places;

use price::Scaled;

/// A book made ready to judge records. Shared by all judges of one run.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The book.
    pub book: Arc<Book>,
    /// Money is counted in this share of the major unit.
    pub scale: Scaled,
    /// Parts with places as found, and how many unnamed places stand for "nobody looked".
    pub found: Vec<(PartId, u32)>,
}

impl Plan {
    /// Makes a book ready.
    pub fn new(book: Arc<Book>) -> Self {
        let found = unnamed_places(&book);
        Self { scale: price::scale_of(&book), found, book }
    }
}
