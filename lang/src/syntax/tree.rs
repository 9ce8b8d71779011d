//! The tree: what a rulebook says, clause by clause, before any name is looked up.
//!
//! Every entry of a rulebook has the same outer shape ([`Entry`]): a word that says what it is, a name, words in
//! quotes, a head of its own and clauses. Items are entries; so are the clauses that carry a name (`step`, `hand`,
//! `tier`, `place`, `look`, `way`). What could not be read is kept as [`Says::Broken`] or as an absent part of the
//! head, and has been reported already: whoever reads the tree stays silent about it.

mod clause;
mod condition;
mod expression;
mod says;
mod take_out;
mod walk;

pub use clause::{Arrow, BuildsOn, Ends, Expect, Good, Goods, On, RecordEntry, RecordSays, Row, Says, UrgencyLine};
pub use condition::{Cond, CondKind, Count, LadderTest, Total};
pub use expression::{Expr, ExprKind, Path, Quantity};
pub(crate) use says::{Meant, means_as, meant};
pub(crate) use walk::{Visit, Walk};

use std::sync::Arc;

use crate::span::{FileId, Span, Spanned};

/// A name as written.
pub type Name = Spanned<String>;

/// Text as meant: quotes off, escapes read, texts side by side joined with a space. The span covers all of them.
pub type Text = Spanned<String>;

/// One rulebook text, read.
#[derive(Debug, Clone, Default)]
pub struct Tree {
    /// The text it was read from.
    pub file: FileId,
    /// Its items, in the order written.
    pub items: Vec<Item>,
    /// Its comments, in the order written.
    pub comments: Vec<Comment>,
    /// Whether something in it could not be read; that was reported.
    pub lost: bool,
}

/// A comment: from `#` to the end of the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Comment {
    /// Where, the `#` included and the line break not.
    pub span: Span,
    /// Whether nothing but spaces stands before it on its line.
    pub alone: bool,
}

/// An item: something written at the start of a line.
#[derive(Debug, Clone)]
pub struct Item {
    /// Whether it writes something, alters it or drops it.
    pub doing: Doing,
    /// What. For an `alter`, only what is written again; for a `without`, only kind and name.
    pub entry: Arc<Entry>,
}

/// What an item does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Doing {
    /// It writes the entry.
    Writes,
    /// `alter … because "…"`
    Alters {
        /// The word `alter`.
        keyword: Span,
        /// The reason; absent only where that was reported.
        because: Option<Text>,
    },
    /// `without … because "…"`
    Drops {
        /// The word `without`.
        keyword: Span,
        /// The reason; absent only where that was reported.
        because: Option<Text>,
    },
}

/// Anything with a word, a name and clauses.
#[derive(Debug, Clone)]
pub struct Entry {
    /// What it is.
    pub kind: Kind,
    /// The word that says so.
    pub keyword: Span,
    /// Its name. Ladders and examples have none; otherwise absent only where it could not be read.
    pub name: Option<Name>,
    /// What stands before the dot in `alter look PART.LOOK`, `without place PART.PLACE`, `without way FINDING.WAY`.
    pub owner: Option<Name>,
    /// The words in quotes (a look's question, an example's words).
    pub words: Option<Text>,
    /// What else stands on its own line.
    pub head: Head,
    /// Its clauses, in the order written.
    pub clauses: Vec<Clause>,
    /// Its own line, without its clauses: from the word to the last thing written.
    pub line: Span,
    /// All of it, its clauses included.
    pub span: Span,
    /// Whether its own line could not be read whole; that was reported.
    pub broken: bool,
}

/// What an entry is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// `rulebook`
    Rulebook,
    /// `urgency`
    Urgency,
    /// `hands`
    Hands,
    /// `tiers`
    Tiers,
    /// `work`
    Work,
    /// `part`
    Part,
    /// `context`
    Context,
    /// `table`
    Table,
    /// `reckon`
    Reckon,
    /// `finding`
    Finding,
    /// `raise`
    Raise,
    /// `counsel`
    Counsel,
    /// `aid`
    Aid,
    /// `example`
    Example,
    /// `step`, of the urgency ladder.
    Step,
    /// `hand`, of the hands.
    Hand,
    /// `tier`, of the tiers.
    Tier,
    /// `place`, of a part.
    Place,
    /// `look`, of a part.
    Look,
    /// `way`, of a finding.
    Way,
}

impl Kind {
    /// The word that says it.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Rulebook => "rulebook",
            Kind::Urgency => "urgency",
            Kind::Hands => "hands",
            Kind::Tiers => "tiers",
            Kind::Work => "work",
            Kind::Part => "part",
            Kind::Context => "context",
            Kind::Table => "table",
            Kind::Reckon => "reckon",
            Kind::Finding => "finding",
            Kind::Raise => "raise",
            Kind::Counsel => "counsel",
            Kind::Aid => "aid",
            Kind::Example => "example",
            Kind::Step => "step",
            Kind::Hand => "hand",
            Kind::Tier => "tier",
            Kind::Place => "place",
            Kind::Look => "look",
            Kind::Way => "way",
        }
    }
}

/// What stands on an entry's own line beside its name and words. Every part may be absent: in an `alter` because it
/// is not written again, elsewhere because it could not be read.
#[derive(Debug, Clone, PartialEq)]
pub enum Head {
    /// Nothing else.
    Plain,
    /// `work`
    Work {
        /// A time or a price.
        amount: Option<Expr>,
        /// `by HAND`
        by: Option<Name>,
        /// `once` (true) or `each` (false).
        once: Option<Spanned<bool>>,
    },
    /// `part`, `context`
    Part {
        /// `apart`
        apart: Option<Span>,
    },
    /// `table`
    Table {
        /// What its rows are chosen by: looks, or `PART.place`.
        by: Vec<Path>,
    },
    /// `reckon`
    Reckon {
        /// What it is worked out as.
        value: Option<Expr>,
    },
    /// `step`
    Step {
        /// `within DURATION` or `at once`.
        within: Option<StepWithin>,
        /// `not to be played`
        not_played: Option<Span>,
    },
    /// `hand`
    Hand {
        /// `MONEY per h`
        rate: Option<Quantity>,
    },
    /// `tier`
    Tier {
        /// `up to MONEY` or `beyond`.
        limit: Option<TierLimit>,
    },
    /// `place`
    Place {
        /// `only when COND`, on the place's own line.
        only_when: Option<Box<Cond>>,
    },
    /// `look`
    Look {
        /// The kind of answer.
        kind: Option<LookKind>,
    },
}

/// How soon a step wants to be seen to.
#[derive(Debug, Clone, PartialEq)]
pub enum StepWithin {
    /// `within DURATION`
    Duration(Quantity),
    /// `at once`
    AtOnce(Span),
}

/// The upper end of a tier.
#[derive(Debug, Clone, PartialEq)]
pub enum TierLimit {
    /// `up to MONEY`
    UpTo(Quantity),
    /// `beyond`
    Beyond(Span),
}

/// The kind of answer a look takes.
#[derive(Debug, Clone, PartialEq)]
pub enum LookKind {
    /// `yes or no`
    YesNo,
    /// `one of …`
    OneOf(Vec<ChoiceWords>),
    /// `some of …`
    SomeOf(Vec<ChoiceWords>),
    /// `measured in UNIT from LO to HI [give or take R]`; the ends may be without a unit.
    Measured {
        /// The unit.
        unit: Name,
        /// Least.
        from: Quantity,
        /// Greatest.
        to: Quantity,
        /// Reading error.
        give_or_take: Option<Quantity>,
    },
    /// `counted from LO to HI`
    Counted {
        /// Least.
        from: Quantity,
        /// Greatest.
        to: Quantity,
    },
    /// `priced from LO to HI`
    Priced {
        /// Least.
        from: Quantity,
        /// Greatest.
        to: Quantity,
    },
    /// `dated`
    Dated,
    /// `written`
    Written,
}

/// A choice where a look lists it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChoiceWords {
    /// The choice: a name, or the text between quotes.
    pub choice: Name,
    /// Its words.
    pub words: Option<Text>,
}

/// A clause.
#[derive(Debug, Clone, PartialEq)]
pub struct Clause {
    /// The clause's word or words, such as `urgency` or `only when`; one for each row of the clause tables.
    pub word: &'static str,
    /// Where that word stands (its first word).
    pub keyword: Span,
    /// All of the clause, what hangs on it included.
    pub span: Span,
    /// What it says.
    pub says: Says,
}

impl PartialEq for Entry {
    /// Entries are the same if they were written at the same place with the same content.
    fn eq(&self, other: &Self) -> bool {
        self.kind == other.kind
            && self.name == other.name
            && self.owner == other.owner
            && self.words == other.words
            && self.head == other.head
            && self.clauses == other.clauses
            && self.span == other.span
    }
}

/// The word of a clause whose word nobody knows.
pub const UNKNOWN: &str = "";

impl Entry {
    /// The clauses of that word.
    pub fn all<'a>(&'a self, word: &'a str) -> impl Iterator<Item = &'a Clause> {
        self.clauses.iter().filter(move |clause| clause.word == word)
    }

    /// The first clause of that word, broken or not.
    pub fn first(&self, word: &str) -> Option<&Clause> {
        self.clauses.iter().find(|clause| clause.word == word)
    }

    /// Whether a clause of that word is there, broken or not, or one whose word nobody knows and may have been meant
    /// for it.
    pub fn has(&self, word: &str) -> bool {
        self.clauses.iter().any(|clause| clause.word == word || clause.word == UNKNOWN)
    }

    /// The entries among its clauses that are of that kind: a part's looks, a ladder's steps.
    pub fn entries(&self, kind: Kind) -> impl Iterator<Item = &Entry> {
        self.clauses.iter().filter_map(move |clause| match &clause.says {
            Says::Entry(entry) if entry.kind == kind => Some(&**entry),
            _ => None,
        })
    }

    /// Whether its own line or one of its clauses could not be read.
    pub fn lost(&self) -> bool {
        self.broken
            || self.clauses.iter().any(|clause| match &clause.says {
                Says::Broken => true,
                Says::Entry(inner) => inner.lost(),
                _ => false,
            })
    }

    /// The name's text; empty where it could not be read.
    pub fn name_text(&self) -> &str {
        self.name.as_ref().map_or("", |name| name.value.as_str())
    }

    /// The best place to point at: the name, else the word.
    pub fn name_span(&self) -> Span {
        self.name.as_ref().map_or(self.keyword, |name| name.span)
    }
}

impl Tree {
    /// The `rulebook` item.
    pub fn rulebook(&self) -> Option<&Entry> {
        self.items.iter().map(|item| &*item.entry).find(|entry| entry.kind == Kind::Rulebook)
    }

    /// Whether it builds on another rulebook, and the line that says on which could not be read.
    pub fn lost_parent(&self) -> bool {
        self.rulebook().is_some_and(|head| head.all("builds on").any(|clause| clause.says == Says::Broken))
    }

    /// What it builds on, if on anything.
    pub fn builds_on(&self) -> Option<&BuildsOn> {
        self.rulebook()?.clauses.iter().find_map(|clause| match &clause.says {
            Says::BuildsOn(parent) => Some(parent),
            _ => None,
        })
    }

    /// Its edition, as text.
    pub fn edition(&self) -> Option<&Name> {
        self.rulebook()?.clauses.iter().find_map(|clause| match &clause.says {
            Says::Edition(edition) => Some(edition),
            _ => None,
        })
    }
}
