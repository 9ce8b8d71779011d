//! Changes to a book, one limit, choice or step at a time, and those of them that no example notices.
//!
//! A change that no example notices is a sentence of the rulebook that nobody has agreed on yet: were it written
//! otherwise, all examples would come out the same. Order and wording are left alone, since they change no outcome.

mod conditions;
mod difference;
mod findings;
mod items;
mod limits;
mod places;
mod touched;
mod trial;
mod witness;

use purfle_lang::book::{AidId, Book, CounselId, FindingId, PartId, TableId};
use purfle_lang::span::{FileId, Span};

pub use self::difference::Difference;
pub use self::places::Texts;
pub use self::trial::{Trial, Tried, Unnoticed};

/// One change to a book.
pub struct Change {
    /// What it changes: the kind and name of an item, such as `finding button-unseated`.
    pub item: String,
    /// Where that is written.
    pub place: Span,
    /// What is changed and to what, in words that follow the text at the place.
    pub says: String,
    /// What kind of example would notice it, where no record can be shown.
    pub notice: String,
    /// Which outcomes it can change.
    reach: Reach,
    edit: Edit,
}

/// Makes a change.
type Edit = Box<dyn Fn(&mut Book) + Send + Sync>;

/// Which outcomes a change can change.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Reach {
    /// When a finding holds, or how grave it is.
    Holding(FindingId),
    /// What hangs on one of these findings once they hold: cost, hands, what they become.
    Figures(Vec<FindingId>),
    /// The urgency of findings on these parts.
    Parts(Vec<PartId>),
    /// A counsel.
    Counsel(CounselId),
    /// A repair fund.
    Aid(AidId),
    /// What a row of a table is a limit of.
    Row(TableId, usize),
    /// Anything.
    Everything,
}

impl Change {
    /// The book with the change made.
    fn made(&self, book: &Book) -> Book {
        let mut changed = book.clone();
        (self.edit)(&mut changed);
        changed
    }
}

/// Every change to what a rulebook itself writes; what its parents write is theirs.
pub fn changes(book: &Book, texts: &Texts<'_>) -> Vec<Change> {
    let mut made = findings::changes(book, texts);
    made.extend(items::changes(book, texts));
    made.retain(|change| change.place.file == FileId(0));
    made.sort_by_key(|change| change.place);
    made
}
