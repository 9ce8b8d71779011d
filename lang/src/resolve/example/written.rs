//! A worked example as it was written: cut into entries, names and values, with nothing looked up.

use crate::book::StateWord;
use crate::span::{Span, Spanned};

/// A name, and where it stands.
pub type Name = Spanned<String>;

/// Names joined by points: `button`, `button.gap`, `peg.E.turns`, `crack.1.length`. The place of a part whose places are
/// as found is a number.
pub type Path = Vec<Name>;

/// An example.
#[derive(Debug, Clone)]
pub struct WrittenExample {
    /// Its words.
    pub words: Spanned<String>,
    /// The entries of its `record` clauses.
    pub record: Vec<Spanned<Entry>>,
    /// Its other clauses.
    pub expects: Vec<Spanned<Expected>>,
}

/// One entry of a record.
#[derive(Debug, Clone)]
pub enum Entry {
    /// `instrument.strung`, `post.lean is 6.5 deg`, `button is good`, `post.lean not told`, `last post.lean is 3 deg`
    Said {
        /// Whether it begins with `last`.
        last: bool,
        /// Of what.
        path: Path,
        /// What.
        says: Says,
    },
    /// `no crack`
    No(Name),
    /// `the rest is good`
    RestGood,
    /// `quoted is 240 USD`: the text after `is`.
    Quoted(Spanned<String>),
    /// `inspected-on is 2026-03-02`: the text after `is`.
    InspectedOn(Spanned<String>),
}

/// What an entry says of its path.
#[derive(Debug, Clone)]
pub enum Says {
    /// Nothing more: `instrument.strung`.
    Alone,
    /// `is …`: the text after it, up to the next comma that stands outside of quotes, as written.
    Is(Spanned<String>),
    /// `not told`
    NotTold,
    /// `does not apply`
    DoesNotApply,
    /// `may be more`
    MayBeMore,
}

/// One thing an example expects.
#[derive(Debug, Clone)]
pub enum Expected {
    /// `finds F on PLACE at STEP to STEP`, and the same with `clear`, `open` and `suspects`.
    Finding {
        /// The word of the clause.
        state: StateWord,
        /// The finding.
        finding: Name,
        /// The place: `E`, `peg.E` or `1`.
        on: Option<Path>,
        /// The steps.
        at: Option<Rungs>,
    },
    /// `finds nothing else`
    NothingElse,
    /// `urgency STEP [to STEP]`
    Urgency(Rungs),
    /// `played yes`, `no` or `open`
    Played(Name),
    /// `cost RANGE`: the text after the word.
    Cost(Spanned<String>),
    /// `left RANGE`: the text after the word.
    Left(Spanned<String>),
    /// `tier T [to T]`
    Tier(Rungs),
    /// `hands H [to H]`; either may be `none`.
    Hands(Rungs),
    /// `due DATE [to DATE]`: the text after the word.
    Due(Spanned<String>),
    /// `looks LOOK`, `looks not LOOK`
    Looks {
        /// Whether `not` was written.
        not: bool,
        /// The look.
        path: Path,
    },
    /// `counsel NAME found`, `clear` or `open`
    Counsel(Name, Name),
    /// `aid NAME eligible`, `refused` or `open`
    Aid(Name, Name),
    /// `refused`
    Refused,
}

/// One rung of a ladder, or from one to another.
#[derive(Debug, Clone)]
pub struct Rungs {
    /// The first.
    pub from: Name,
    /// The last, where `to` was written.
    pub to: Option<Name>,
}

impl Rungs {
    /// Where both stand.
    pub fn span(&self) -> Span {
        self.to.as_ref().map_or(self.from.span, |to| self.from.span.to(to.span))
    }
}

/// Where a whole path stands.
pub fn path_span(path: &[Name]) -> Span {
    path.first().zip(path.last()).map_or(Span::default(), |(first, last)| first.span.to(last.span))
}

/// A path as text.
pub fn path_text(path: &[Name]) -> String {
    path.iter().map(|name| name.value.as_str()).collect::<Vec<_>>().join(".")
}
