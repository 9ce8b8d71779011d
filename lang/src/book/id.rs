//! Small numbers that stand for the items of a book, each good for one kind of item only.

use std::ops::Index;

use super::{Aid, Book, Counsel, Finding, Hand, Look, Part, Raise, Reckon, Step, Table, Tier, Work};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident => $field:ident : $item:ty;)*) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub struct $name(pub u32);

        impl $name {
            /// The identifier of the item at `index` of its list.
            pub fn from_index(index: usize) -> Self {
                Self(u32::try_from(index).unwrap_or(u32::MAX))
            }

            /// Its index in the book's list.
            pub fn index(self) -> usize {
                self.0 as usize
            }
        }

        impl Index<$name> for Book {
            type Output = $item;

            fn index(&self, id: $name) -> &$item {
                &self.$field[id.index()]
            }
        }
    )*};
}

ids! {
    /// A step of the urgency ladder; greater is graver.
    StepId => steps: Step;
    /// A hand; greater is more skilled.
    HandId => hands: Hand;
    /// A tier; greater is dearer.
    TierId => tiers: Tier;
    /// A part or context.
    PartId => parts: Part;
    /// A look of some part.
    LookId => looks: Look;
    /// A table.
    TableId => tables: Table;
    /// A reckoning.
    ReckonId => reckons: Reckon;
    /// A bench step.
    WorkId => works: Work;
    /// A finding.
    FindingId => findings: Finding;
    /// A raise.
    RaiseId => raises: Raise;
    /// A counsel.
    CounselId => counsels: Counsel;
    /// A repair fund.
    AidId => aids: Aid;
}

/// A fixed place of one part, by its index in that part's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PlaceId(pub u32);

impl PlaceId {
    /// Its index in the part's list of places.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}
