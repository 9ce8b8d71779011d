//! What clauses say.

use super::{Cond, Entry, Expr, Name, Path, Quantity, Text};
use crate::book::{AidWord, PlayedWord, StateWord};
use crate::span::{Span, Spanned};

/// What a clause says. The word it is written with stands in front.
#[derive(Debug, Clone, PartialEq)]
pub enum Says {
    /// It could not be read; that was reported.
    Broken,
    /// `step`, `hand`, `tier`, `place`, `look`, `way`: a clause with a name of its own.
    Entry(Box<Entry>),

    /// `edition E`, as text: 2026.1 is not 2026.10.
    Edition(Name),
    /// `keeper "…"`
    Keeper(Text),
    /// `money CODE`
    Money(Name),
    /// `language "…"`
    Language(Text),
    /// `notice "…"`
    Notice(Text),
    /// `least charge MONEY`
    LeastCharge(Quantity),
    /// `builds on NAME edition E [from "file"] [seal "…"]`
    BuildsOn(BuildsOn),

    /// `includes W, …`
    Includes(Vec<Name>),
    /// `row a, b  VALUE or RANGE`
    Row(Row),

    /// `only when COND`
    OnlyWhen(Cond),
    /// `places as found`
    PlacesAsFound,
    /// `how "…"`
    How(Text),
    /// `care "…"`
    Care(Text),
    /// `private`
    Private,
    /// `good …`
    Good(Good),

    /// `on PART`, `on each PART` of a finding.
    On(On),
    /// `on PART, …` of a raise.
    OnParts(Vec<Name>),
    /// `signs COND`
    Signs(Cond),
    /// `unless COND`
    Unless(Cond),
    /// `urgency STEP [if COND]` of a finding.
    Urgency(UrgencyLine),
    /// `hands HAND` of a finding or a way.
    Hands(Name),
    /// `work W, …`
    Work(Vec<Name>),
    /// `goods "…" MONEY`
    Goods(Goods),
    /// `cost on sight`
    CostOnSight,
    /// `cost nothing`
    CostNothing,
    /// `left becomes F [odds N %] [within DURATION]`
    Left(Arrow),
    /// `again in DURATION`
    Again(Quantity),
    /// `yields to F, …`
    YieldsTo(Vec<Name>),
    /// `first "…"`
    First(Text),
    /// `tell "…"`
    Tell(Text),
    /// `refer "…"`
    Refer(Text),
    /// `basis "…"`
    Basis(Text),

    /// `when COND`
    When(Cond),
    /// `by N steps, no higher than STEP`
    By {
        /// How many steps, as text.
        steps: Spanned<String>,
        /// No higher than this.
        cap: Option<Name>,
    },

    /// `for COND`
    For(Cond),
    /// `covers above MONEY`
    CoversAbove(Quantity),
    /// `covers F, …`
    Covers(Vec<Name>),
    /// `pays N %`
    Pays(Quantity),
    /// `cap MONEY`
    Cap(Quantity),
    /// `family pays at least MONEY`
    FamilyPays(Quantity),
    /// `not beyond N % of LOOK`
    NotBeyond(Quantity, Path),
    /// `needs LOOK, …`
    Needs(Vec<Path>),

    /// `record …`
    Record(Vec<RecordEntry>),
    /// What an example expects.
    Expect(Expect),
}

/// `builds on NAME edition E [from "file"] [seal "…"]`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BuildsOn {
    /// The parent's name.
    pub name: Spanned<String>,
    /// The edition it was written against, as text.
    pub edition: Spanned<String>,
    /// The file the parent stands in.
    pub from: Option<Spanned<String>>,
    /// The seal of the parent, as written.
    pub seal: Option<Spanned<String>>,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Choices, places or `any`, one for each thing the table is by.
    pub keys: Vec<Name>,
    /// What it gives.
    pub value: Expr,
}

/// What a good instrument shows.
#[derive(Debug, Clone, PartialEq)]
pub enum Good {
    /// `good a`, `good a, b`, `good no`, `good none`. A single name under a look that holds a number is a table or
    /// a reckoning.
    Choices(Vec<Name>),
    /// `good 0 mm`, `good 24 to 26 mm`, `good some-table * 2`
    Value(Expr),
}

/// `on PART`, `on each PART`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct On {
    /// Written with `each`.
    pub each: bool,
    /// The part.
    pub part: Name,
}

/// `urgency STEP [if COND]`
#[derive(Debug, Clone, PartialEq)]
pub struct UrgencyLine {
    /// The step.
    pub step: Name,
    /// When it counts.
    pub when: Option<Cond>,
}

/// `goods "…" MONEY`
#[derive(Debug, Clone, PartialEq)]
pub struct Goods {
    /// What.
    pub words: Text,
    /// Its price.
    pub price: Expr,
}

/// `left becomes F [odds N %] [within DURATION]`
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arrow {
    /// What it becomes.
    pub to: Name,
    /// How likely.
    pub odds: Option<Quantity>,
    /// How soon.
    pub within: Option<Quantity>,
}

/// One entry of an example's record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordEntry {
    /// What it says.
    pub says: RecordSays,
    /// Where.
    pub span: Span,
}

/// What an entry of a record says. Values are text still: the saying parser reads them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RecordSays {
    /// `path is …`: a look and what is said of it. `good` has a variant of its own.
    Is(Path, Spanned<String>),
    /// `path` alone: a yes-or-no look that is yes.
    Yes(Path),
    /// `path is good`: a part, a place of it, or a look that has a choice of that name.
    Good(Path),
    /// `path not told`: looked, and could not tell.
    NotTold(Path),
    /// `path does not apply`: a look, a place or a part.
    DoesNotApply(Path),
    /// `last path is …`: the same look in the record before; without `is`, yes.
    Last(Path, Option<Spanned<String>>),
    /// `no PART`: looked, and there are none.
    NoPlaces(Name),
    /// `PART may be more`
    MayBeMore(Name),
    /// `the rest is good`
    RestGood,
    /// `quoted is …`
    Quoted(Spanned<String>),
    /// `inspected-on is …`
    InspectedOn(Spanned<String>),
}

/// Two ends; both the same where one was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ends<T> {
    /// Least.
    pub from: T,
    /// Greatest.
    pub to: T,
}

/// One thing an example expects.
#[derive(Debug, Clone, PartialEq)]
pub enum Expect {
    /// `finds F [on PLACE] [at STEP [to STEP]]`; `clear`, `open` and `suspects` without steps.
    Finding {
        /// Found, clear, open or suspected.
        state: StateWord,
        /// Which.
        finding: Name,
        /// `on PLACE`: a place's name, the number of a place as found, or either after the part's name and a point.
        place: Option<Path>,
        /// `at STEP [to STEP]`
        at: Option<Ends<Name>>,
    },
    /// `finds nothing else`
    NothingElse,
    /// `urgency STEP [to STEP]`
    Urgency(Ends<Name>),
    /// `played yes`, `played no`, `played open`
    Played(PlayedWord),
    /// `cost RANGE`
    Cost(Expr),
    /// `left RANGE`
    Left(Expr),
    /// `tier T [to T]`
    Tier(Ends<Name>),
    /// `hands H [to H]`; `none` where nobody is needed.
    Hands(Ends<Name>),
    /// `due DATE [to DATE]`, as text.
    Due(Ends<Spanned<String>>),
    /// `looks LOOK`, `looks not LOOK`
    Looks {
        /// Written with `not`.
        not: bool,
        /// The look, with its place where it has one.
        look: Path,
    },
    /// `counsel NAME found|clear|open`
    Counsel(Name, StateWord),
    /// `refused`
    Refused,
    /// `aid A eligible|refused|open`
    Aid(Name, AidWord),
}
