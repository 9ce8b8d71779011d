//! Findings and what hangs on them: raises, counsels and repair funds.

use super::Origin;
use super::condition::Condition;
use super::id::{FindingId, HandId, LookId, PartId, StepId, WorkId};
use super::value::Value;
use crate::number::Number;
use crate::span::Span;
use crate::unit::Duration;

/// A finding.
#[derive(Debug, Clone)]
pub struct Finding {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// The part it is found on.
    pub on: PartId,
    /// Whether each place is judged by itself. A part without places is never `each`.
    pub each: bool,
    /// The signs.
    pub signs: Condition,
    /// What lets it off: met, the finding does not hold.
    pub unless: Vec<Condition>,
    /// Urgency lines, in the order written; at least one has no `if`.
    pub urgency: Vec<UrgencyLine>,
    /// Its own hands; each way may have others.
    pub hands: HandId,
    /// What it costs, where no way is given.
    pub cost: Cost,
    /// Ways to mend it, the textbook one first; where there are any, the first one's cost and hands count.
    pub ways: Vec<Way>,
    /// What it becomes if left.
    pub becomes: Vec<Arrow>,
    /// When to look again.
    pub again: Option<Duration>,
    /// Findings under which this one is listed where they hold too.
    pub yields_to: Vec<FindingId>,
    /// What to do before anything else.
    pub first: Vec<String>,
    /// For the player.
    pub tell: Vec<String>,
    /// For the luthier.
    pub refer: Vec<String>,
    /// Cautions.
    pub care: Vec<String>,
    /// Published source, or common practice.
    pub basis: Vec<String>,
    /// Where it was written.
    pub origin: Origin,
}

impl Finding {
    /// The hand that counts: the first way's where it has ways, else its own.
    pub fn counted_hands(&self) -> HandId {
        self.ways.first().map_or(self.hands, |way| way.hands)
    }

    /// The cost that counts: the first way's where it has ways, else its own.
    pub fn counted_cost(&self) -> &Cost {
        self.ways.first().map_or(&self.cost, |way| &way.cost)
    }
}

/// `urgency STEP [if COND]`
#[derive(Debug, Clone)]
pub struct UrgencyLine {
    /// The step.
    pub step: StepId,
    /// When it counts; always where none is given.
    pub when: Option<Condition>,
    /// Where it stands.
    pub span: Span,
}

/// What a finding or a way costs.
#[derive(Debug, Clone, Default)]
pub struct Cost {
    /// Bench steps.
    pub work: Vec<WorkId>,
    /// Goods.
    pub goods: Vec<Goods>,
    /// Unknown until a luthier has seen it: totals say "and more".
    pub on_sight: bool,
}

/// Strings, a button, a bridge blank.
#[derive(Debug, Clone)]
pub struct Goods {
    /// What.
    pub words: String,
    /// Its price; money, may be a range.
    pub price: Value,
    /// Where the price stands.
    pub span: Span,
}

/// One of several ways to mend a finding.
#[derive(Debug, Clone)]
pub struct Way {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// Who does it; the finding's own hands where it says nothing.
    pub hands: HandId,
    /// What it costs.
    pub cost: Cost,
    /// For the player.
    pub tell: Vec<String>,
    /// For the luthier.
    pub refer: Vec<String>,
}

/// `left becomes F [odds N %] [within DURATION]`
#[derive(Debug, Clone)]
pub struct Arrow {
    /// What it becomes.
    pub to: FindingId,
    /// How likely, as a fraction of one.
    pub odds: Option<Number>,
    /// How soon.
    pub within: Option<Duration>,
    /// Where what it becomes is named.
    pub span: Span,
}

/// A raise of urgency over whole parts.
#[derive(Debug, Clone)]
pub struct Raise {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// When.
    pub when: Condition,
    /// On which parts' findings.
    pub on: Vec<PartId>,
    /// By how many steps.
    pub by: u32,
    /// No higher than this; the top of the ladder where nothing is said.
    pub cap: StepId,
    /// Where it was written.
    pub origin: Origin,
}

/// Advice on the whole outcome.
#[derive(Debug, Clone)]
pub struct Counsel {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// When; may use the totals.
    pub when: Condition,
    /// For the player.
    pub tell: Vec<String>,
    /// What to do before anything else.
    pub first: Vec<String>,
    /// Published source, or common practice.
    pub basis: Vec<String>,
    /// Where it was written.
    pub origin: Origin,
}

/// A repair fund.
#[derive(Debug, Clone)]
pub struct Aid {
    /// Name.
    pub name: String,
    /// Words.
    pub words: String,
    /// For whom.
    pub who: Option<Condition>,
    /// A finding is covered when by itself it costs more than this.
    pub covers_above: Option<Number>,
    /// Findings covered whatever they cost.
    pub covers: Vec<FindingId>,
    /// The share it pays, as a fraction of one.
    pub pays: Number,
    /// The most it pays.
    pub cap: Option<Number>,
    /// What the family pays at the least.
    pub family_pays: Option<Number>,
    /// Not beyond this fraction of what a priced look says.
    pub not_beyond: Option<(Number, LookId)>,
    /// Looks that must be answered, and not with "no".
    pub needs: Vec<LookId>,
    /// Where it was written.
    pub origin: Origin,
}
