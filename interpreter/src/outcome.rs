//! What comes out for one instrument: plain values that every report is made from.

use purfle_lang::book::{
    AidId, AidWord, CounselId, FindingId, HandId, LookId, PartId, PlayedWord, RecordPath, StateWord, StepId, TierId,
};
use purfle_lang::number::Number;

/// From the least to the greatest a figure can still be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Range<T> {
    /// Least.
    pub from: T,
    /// Greatest.
    pub to: T,
}

/// A sum of money from its least to its greatest, exact fractions of the major unit, not yet rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sum {
    /// Least.
    pub from: Number,
    /// Greatest.
    pub to: Number,
    /// Whether both ends are reached by some case; if not, they only enclose the figure.
    pub exact: bool,
    /// Places as found may hide more of it.
    pub or_more: bool,
    /// Something in it is known only on sight.
    pub and_more: bool,
}

/// The outcome of one record.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// Whether the instrument may be played.
    pub played: PlayedWord,
    /// The same for pieces that stand apart, such as the bow; only those that are not a plain yes.
    pub apart: Vec<(PartId, PlayedWord)>,
    /// Urgency over the cases.
    pub urgency: Range<StepId>,
    /// The urgency if all that is suspected held: between the two ends.
    pub suspected: StepId,
    /// Whether the urgency, played and hands were only enclosed.
    pub urgency_exact: bool,
    /// By which day, earliest and latest; none where the step has no limit or the record no date.
    pub due: Range<Option<i64>>,
    /// When to look again.
    pub again: Option<i64>,
    /// The most skilled hands needed; none where nothing is to be done.
    pub hands: Range<Option<HandId>>,
    /// What to do before anything else, gravest finding first.
    pub first: Vec<Said>,
    /// What it costs now.
    pub cost: Sum,
    /// Tiers of the printed ends.
    pub tier: Range<TierId>,
    /// What it costs if left.
    pub left: Sum,
    /// Tiers of the printed ends if left.
    pub left_tier: Range<TierId>,
    /// The shop's own price, where the record gives one.
    pub quoted: Option<Number>,
    /// Findings found or suspected: certain ones first, graver before milder, then in the book's order.
    pub findings: Vec<Judged>,
    /// Findings that are merely not ruled out because nobody looked; none where they were only to be counted.
    pub not_ruled_out: Vec<Judged>,
    /// How many of these there are, listed or not.
    pub open: usize,
    /// Parts of which nothing was looked at (and that surely apply or may).
    pub unseen: Vec<PartId>,
    /// What to look at next, in order.
    pub looks: Vec<NextLook>,
    /// Counsels found or open.
    pub counsel: Vec<(CounselId, StateWord)>,
    /// What each fund says.
    pub aid: Vec<AidOutcome>,
}

/// Words of a finding or counsel that the report prints.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Said {
    /// The `first` lines of a finding.
    Finding(FindingId),
    /// The `first` lines of a counsel.
    Counsel(CounselId),
}

/// Where a finding was judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum At {
    /// The part as a whole.
    Part,
    /// A fixed or recorded place.
    Place(RecordPath),
    /// A place as found that nobody has named.
    Unnamed,
}

/// One finding at one place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// Which.
    pub finding: FindingId,
    /// Where.
    pub at: At,
    /// `Found`, `Suspected` or `Open` (not ruled out).
    pub state: StateWord,
    /// Its urgency, raises included, over the cases in which it holds.
    pub urgency: Range<StepId>,
    /// The finding, holding in every case too, that it is listed under.
    pub yields_to: Option<FindingId>,
    /// What it costs if it were the only job.
    pub cost: Sum,
    /// What it costs by itself if left.
    pub left: Sum,
    /// What each way of mending it costs by itself, in the finding's order; nothing for a finding with one way, and
    /// only the first for one that nobody looked at.
    pub ways: Vec<Sum>,
    /// The expected extra if left, before the least charge; none unless every arrow of its chain has odds.
    pub expected_extra: Option<Range<Number>>,
}

/// One look to take next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NextLook {
    /// The look.
    pub look: LookId,
    /// Where; none for part-wide ones.
    pub at: At,
    /// What it can still change.
    pub can: FigureSet,
    /// Whether it was seen already and is undecided by its reading error, or could not be told.
    pub again: bool,
}

/// A figure that a look can still change, in the order they matter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Figure {
    /// Whether it may be played.
    Played,
    /// Urgency.
    Urgency,
    /// Hands.
    Hands,
    /// Cost now.
    Cost,
    /// Cost if left.
    Left,
    /// Aid.
    Aid,
    /// Counsel.
    Counsel,
}

impl Figure {
    /// All of them.
    const ALL: [Self; 7] = [Self::Played, Self::Urgency, Self::Hands, Self::Cost, Self::Left, Self::Aid, Self::Counsel];
}

/// Some figures, a bit each, the gravest the lowest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct FigureSet(u8);

impl FigureSet {
    /// These.
    pub const fn of(figures: &[Figure]) -> Self {
        let mut set = 0;
        let mut at = 0;
        while at < figures.len() {
            set |= 1 << figures[at] as u8;
            at += 1;
        }
        Self(set)
    }

    /// Those of bits as [`Self::bits`] gives them.
    pub fn from_bits(bits: u8) -> Self {
        Self(bits)
    }

    /// A bit each.
    pub const fn bits(self) -> u8 {
        self.0
    }

    /// The figures, gravest first.
    pub fn iter(self) -> impl Iterator<Item = Figure> + Clone {
        Figure::ALL.into_iter().filter(move |figure| self.0 >> *figure as u8 & 1 == 1)
    }
}

/// What one fund says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AidOutcome {
    /// Which fund.
    pub aid: AidId,
    /// Eligible, refused or open.
    pub state: AidWord,
    /// What it pays.
    pub pays: Range<Number>,
    /// The most it pays of what the work is known to cost: less than `pays` says where some of it is known only on sight.
    pub known: Number,
    /// The most it pays whatever the work costs; none where neither a cap nor the worth bounds it.
    pub bound: Option<Number>,
    /// Whether it can come to more than `pays`: some of the work is known only on sight, and nothing bounds it.
    pub and_more: bool,
    /// Whether both ends of `pays` are reached.
    pub exact: bool,
    /// Looks it needs that were not answered.
    pub missing: Vec<LookId>,
    /// Why it is refused; none where it is not.
    pub why: Option<Unaided>,
}

/// Why a fund does not pay; the first that applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unaided {
    /// It is for other owners or schools.
    NotForThese,
    /// What it needs was answered with no.
    Denied,
    /// Nothing that holds is covered, or the work stays below what it covers.
    NothingCovered,
    /// The work costs more than the share of the worth that it allows.
    BeyondWorth,
}

/// Why a record cannot be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Impossible {
    /// The fields that disagree, as paths with their values, fewest that do.
    pub fields: Vec<String>,
    /// One sentence.
    pub why: String,
}
