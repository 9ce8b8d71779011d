//! The resolved book: every name looked up, every unit converted, every chain of rulebooks laid into one.
//!
//! All numbers are in base units: mm, deg, % , min, months, degC and the rulebook's money in its major unit.
//! A book exists only when its rulebook has no errors, so whoever reads one need not doubt it.

mod condition;
mod example;
mod finding;
mod id;
mod look;
mod value;

use indexmap::IndexMap;

pub use condition::{Comparison, Condition, Count, Test};
pub use example::{AidWord, Example, Expectation, ExpectedRange, PlayedWord, RecordEntry, RecordPath, StateWord};
pub use finding::{Aid, Arrow, Cost, Counsel, Finding, Goods, Raise, UrgencyLine, Way};
pub use id::{AidId, CounselId, FindingId, HandId, LookId, PartId, PlaceId, RaiseId, ReckonId, StepId, TableId, TierId, WorkId};
pub use look::{Choice, Good, Look, LookKind, Part, Place, Places};
pub use value::{ArithmeticSign, Formula, LookAt, PlaceAt, Reckon, Row, RowKey, Table, TableKey, Value};

use crate::number::{Number, order};
use crate::seal::Seal;
use crate::span::{FileId, Span};
use crate::unit::{Currency, Dimension, Duration};

/// A resolved rulebook.
#[derive(Debug, Clone)]
pub struct Book {
    /// The name after `rulebook`.
    pub name: String,
    /// Its title.
    pub title: String,
    /// Its edition, as text.
    pub edition: String,
    /// What it says, in short.
    pub seal: Seal,
    /// Who keeps it.
    pub keeper: Option<String>,
    /// The money everything is reckoned in.
    pub money: Currency,
    /// The language of its texts, as a BCP 47 tag.
    pub language: Option<String>,
    /// What is printed on every slip: the furthest ancestor's notice first, this rulebook's last.
    pub notices: Vec<String>,
    /// The least a visit with any work costs.
    pub least_charge: Option<Number>,
    /// The rulebooks this one is built on, nearest first.
    pub parents: Vec<Parent>,
    /// The ladder of urgency, mildest first.
    pub steps: Vec<Step>,
    /// Who may do the work, least skilled first.
    pub hands: Vec<Hand>,
    /// Cost tiers, cheapest first; the last has no upper end.
    pub tiers: Vec<Tier>,
    /// Parts and contexts, in the order written.
    pub parts: Vec<Part>,
    /// All looks of all parts, in the order written.
    pub looks: Vec<Look>,
    /// Tables.
    pub tables: Vec<Table>,
    /// Reckonings.
    pub reckons: Vec<Reckon>,
    /// Bench steps.
    pub works: Vec<Work>,
    /// Findings, in the order written.
    pub findings: Vec<Finding>,
    /// Raises.
    pub raises: Vec<Raise>,
    /// Counsels.
    pub counsels: Vec<Counsel>,
    /// Repair funds.
    pub aids: Vec<Aid>,
    /// Worked examples of this rulebook itself.
    pub examples: Vec<Example>,
    /// Worked examples of the parents, run against this book for show.
    pub inherited_examples: Vec<Example>,
    /// Part by name.
    pub part_names: IndexMap<String, PartId>,
    /// Finding by name.
    pub finding_names: IndexMap<String, FindingId>,
}

/// A rulebook further up the chain.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parent {
    /// Its name.
    pub name: String,
    /// Its edition.
    pub edition: String,
    /// What it says, in short.
    pub seal: Seal,
}

/// Where an item of the book was written, and how a house rulebook changed it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Origin {
    /// The item's name where it was first written.
    pub span: Span,
    /// The rulebook that first wrote it.
    pub rulebook: String,
    /// The changes made to it further down the chain, in order.
    pub changes: Vec<Change>,
}

impl Origin {
    /// Where the rulebook itself wrote the item, or last altered it. None where it stands as a parent left it: what there
    /// is to tell of it is then told of the parent.
    pub fn own(&self) -> Option<Span> {
        let altered = self.changes.iter().rev().map(|change| change.span);
        std::iter::once(self.span).chain(altered).find(|span| span.file == FileId::OWN)
    }
}

/// One `alter` of an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// The rulebook that changed it.
    pub rulebook: String,
    /// The `alter` line.
    pub span: Span,
    /// The clause words or names that were written again, such as `urgency` or `look gap`.
    pub what: Vec<String>,
    /// The reason given.
    pub because: String,
}

/// One step of the urgency ladder.
#[derive(Debug, Clone)]
pub struct Step {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// How soon.
    pub within: Within,
    /// Whether the piece must not be played.
    pub not_played: bool,
    /// Where it was written.
    pub origin: Origin,
}

/// How soon a step wants to be seen to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Within {
    /// No limit.
    Whenever,
    /// Within a duration from the inspection.
    Duration(Duration),
    /// The same day.
    AtOnce,
}

/// Somebody who may do work.
#[derive(Debug, Clone)]
pub struct Hand {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// Money per hour; none for hands that are not paid by the hour.
    pub rate: Option<Number>,
    /// Where it was written.
    pub origin: Origin,
}

/// A cost tier.
#[derive(Debug, Clone)]
pub struct Tier {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// Its upper end, included; none for the last.
    pub up_to: Option<Number>,
    /// Where it was written.
    pub origin: Origin,
}

/// A bench step.
#[derive(Debug, Clone)]
pub struct Work {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// How long it takes (dimension time, in minutes) or what it costs (dimension money); may be a range.
    pub amount: Value,
    /// Whether the amount is a time, charged at the rate of `by`.
    pub timed: bool,
    /// Whose rate: what `by` says, else the most skilled hand.
    pub by: HandId,
    /// Once an instrument, or once at each place.
    pub once: bool,
    /// What doing this does as well.
    pub includes: Vec<WorkId>,
    /// Where it was written.
    pub origin: Origin,
}

impl Book {
    /// A book that says nothing yet, reckoning in this money.
    pub fn blank(money: Currency) -> Self {
        Self {
            name: String::new(),
            title: String::new(),
            edition: String::new(),
            seal: Seal::default(),
            keeper: None,
            money,
            language: None,
            notices: Vec::new(),
            least_charge: None,
            parents: Vec::new(),
            steps: Vec::new(),
            hands: Vec::new(),
            tiers: Vec::new(),
            parts: Vec::new(),
            looks: Vec::new(),
            tables: Vec::new(),
            reckons: Vec::new(),
            works: Vec::new(),
            findings: Vec::new(),
            raises: Vec::new(),
            counsels: Vec::new(),
            aids: Vec::new(),
            examples: Vec::new(),
            inherited_examples: Vec::new(),
            part_names: IndexMap::new(),
            finding_names: IndexMap::new(),
        }
    }

    /// The part of that name.
    pub fn find_part(&self, name: &str) -> Option<PartId> {
        self.part_names.get(name).copied()
    }

    /// Whether doing `outer` does `inner` as well, through any number of steps.
    pub fn includes(&self, outer: WorkId, inner: WorkId) -> bool {
        let mut waiting: Vec<WorkId> = self[outer].includes.clone();
        let mut seen: Vec<WorkId> = Vec::new();
        while let Some(work) = waiting.pop() {
            if work == inner {
                return true;
            }
            if !seen.contains(&work) {
                seen.push(work);
                waiting.extend(&self[work].includes);
            }
        }
        false
    }

    /// The finding of that name.
    pub fn find_finding(&self, name: &str) -> Option<FindingId> {
        self.finding_names.get(name).copied()
    }

    /// The look called `name` of a part.
    pub fn find_look(&self, part: PartId, name: &str) -> Option<LookId> {
        self[part].looks.iter().copied().find(|&look| self[look].name == name)
    }

    /// The look as it is written outside its part, without a place: `button.gap`.
    pub fn look_path(&self, look: LookId) -> String {
        let look = &self[look];
        format!("{}.{}", self[look.part].name, look.name)
    }

    /// The dimension of what a look holds, for looks that hold a number or a date.
    pub fn look_dimension(&self, look: LookId) -> Option<Dimension> {
        self[look].dimension()
    }

    /// The hands at the top of their ladder.
    pub fn most_skilled(&self) -> HandId {
        HandId::from_index(self.hands.len().saturating_sub(1))
    }

    /// The tier a printed sum of money falls into.
    pub fn tier_of(&self, printed: Number) -> TierId {
        let at = self.tiers.iter().position(|tier| tier.up_to.is_none_or(|limit| order(printed, limit).is_le()));
        TierId::from_index(at.unwrap_or(self.tiers.len().saturating_sub(1)))
    }
}
