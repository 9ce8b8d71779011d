//! What weighing came to, as plain words for every form of the report; as JSON it is version 1 of its shape.

use purfle_lang::compare::{Beside, HouseItem, How, ItemChange, Stand};
use purfle_lang::span::Span;
use serde::Serialize;

use crate::load::Loaded;
use crate::witness::Fields;

/// The version of the shape.
pub const VERSION: u32 = 1;

/// What weighing came to.
#[derive(Debug, Serialize)]
pub struct WeighedView {
    /// The version of the shape.
    pub purfle: u32,
    /// The old rulebook.
    pub old: BookView,
    /// The new one.
    pub new: BookView,
    /// What is said differently, by name.
    pub items: Vec<ItemView>,
    /// What can come out differently; none where the two cut some look too finely together for that to be asked.
    pub proven: Option<ProvenView>,
    /// What past records come to, where some were given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counted: Option<CountedView>,
    /// How a house stands to the new edition, where that is what is weighed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub house: Option<HouseView>,
}

/// A house rulebook and a new edition of the one it is built on.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct HouseView {
    /// The rulebook it is built on.
    pub builds_on: String,
    /// The edition it was written against.
    pub was: String,
    /// The new edition.
    pub now: String,
    /// Its changes, in its order.
    pub items: Vec<HouseItemView>,
    /// What is wrong with it on the new edition. Where that is no more than leaving out what is gone, it is compared without
    /// those lines; else nothing is compared.
    pub errors: Vec<String>,
}

/// A change that a house makes.
#[derive(Debug, Serialize)]
pub struct HouseItemView {
    /// `alter`, `without`, or nothing for what it writes itself.
    pub doing: &'static str,
    /// What it is.
    pub kind: &'static str,
    /// Its name.
    pub name: String,
    /// `applies`, `idle` or `clash`.
    pub stand: &'static str,
    /// Why.
    pub why: String,
}

impl HouseItemView {
    /// A change in words.
    pub fn new(item: &HouseItem) -> Self {
        let stand = match item.stand {
            Stand::Applies => "applies",
            Stand::Idle => "idle",
            Stand::Clash => "clash",
        };
        Self { doing: item.doing, kind: item.kind.word(), name: item.name.clone(), stand, why: item.why.clone() }
    }
}

/// What past records come to by either rulebook.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct CountedView {
    /// How many were read.
    pub read: u64,
    /// How many both rulebooks judged.
    pub judged: u64,
    /// How many of these come out as before, but for what they cost now and if left.
    pub unmoved: u64,
    /// How many cost more, at one end at least.
    pub dearer: u64,
    /// How many cost less, at one end at least.
    pub cheaper: u64,
    /// How many cost more if left, at one end at least.
    pub dearer_if_left: u64,
    /// How many cost less if left, at one end at least.
    pub cheaper_if_left: u64,
    /// What all of them cost.
    pub cost: TotalView,
    /// What all of them cost if left.
    pub left: TotalView,
    /// What each fund pays where it is the one that is asked: funds do not stack, so they are not added up.
    pub funds: Vec<FundView>,
    /// From which step to which, and how many.
    pub moves: Vec<MoveView>,
    /// Those that moved, in the order of the files.
    pub moved: Vec<MovedView>,
    /// Those that one of the two refused, or both.
    pub refused: Vec<RefusedView>,
}

/// A sum before and after.
#[derive(Debug, Serialize)]
pub struct TotalView {
    /// By the old rulebook.
    pub was: SumView,
    /// By the new one.
    pub now: SumView,
}

/// What a fund pays, before and after: for certain, and at the most.
#[derive(Debug, Serialize)]
pub struct FundView {
    /// Its name.
    pub fund: String,
    /// By the old rulebook; none where that has no such fund.
    pub was: Option<SumView>,
    /// By the new one; none where that has no such fund.
    pub now: Option<SumView>,
}

/// A sum from its least to its greatest.
#[derive(Debug, Serialize)]
pub struct SumView {
    /// Least.
    pub from: String,
    /// Greatest.
    pub to: String,
    /// The money.
    pub money: String,
    /// Whether its ends are reached; else they only enclose it.
    pub exact: bool,
    /// Whether there may be more to it, which is hidden or known only on sight.
    pub more: bool,
}

/// How many moved from one step to another.
#[derive(Debug, Serialize)]
pub struct MoveView {
    /// The step, or steps, by the old rulebook.
    pub was: String,
    /// By the new one.
    pub now: String,
    /// How many.
    pub count: u64,
}

/// A record that comes out differently.
#[derive(Debug, Serialize)]
pub struct MovedView {
    /// Its mark.
    pub record: String,
    /// The instrument's.
    pub tag: Option<String>,
    /// What of the outcome is another.
    pub what: Vec<String>,
    /// The findings that make it so.
    pub because: Vec<String>,
}

/// A record that was refused.
#[derive(Debug, Serialize)]
pub struct RefusedView {
    /// By which rulebook: `old`, `new` or `both`.
    pub by: &'static str,
    /// The file.
    pub source: String,
    /// The row or line.
    pub row: u64,
    /// Its mark, where it has one.
    pub record: Option<String>,
    /// Why, a sentence for each fault; where both refused it, those that both name.
    pub why: Vec<String>,
    /// Where both refused it, what only the old one names.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub old: Vec<String>,
    /// Where both refused it, what only the new one names.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub new: Vec<String>,
}

/// What can come out differently, over all records that both rulebooks take.
#[derive(Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ProvenView {
    /// How many findings can come out differently.
    pub can: usize,
    /// How many more may, which was not decided.
    pub not_decided: usize,
    /// How many are proved to come out the same in every record.
    pub same: usize,
    /// What a record may say by one of the two and not by the other.
    pub looks: Vec<LookView>,
    /// Looks of one name that are taken for two, so that what hangs on them may be told as not decided.
    pub apart: Vec<String>,
    /// Looks that apply in other cases by the one rulebook than by the other.
    pub applies: Vec<String>,
    /// Looks of which the two take a reading with another error.
    pub readings: Vec<String>,
    /// The findings that can, or may, come out differently.
    pub findings: Vec<FindingView>,
    /// The figures of the whole outcome.
    pub outcome: Vec<FigureView>,
    /// What is said otherwise beside these figures, finding by finding.
    pub beside: Vec<BesideView>,
}

/// A finding of both rulebooks of which something is said otherwise that no figure of an outcome hangs on.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct BesideView {
    /// Its name.
    pub finding: String,
    /// What: `ways` that do not count in sums, `odds` with which it becomes another, or the time of that.
    pub what: Vec<&'static str>,
}

impl BesideView {
    /// The same in words.
    pub fn new(Beside { finding, ways, becomes }: Beside) -> Self {
        let what = [(ways, "ways"), (becomes, "odds")];
        Self { finding, what: what.into_iter().filter_map(|(differs, word)| differs.then_some(word)).collect() }
    }
}

/// A difference in what a record may say.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct LookView {
    /// The look, or the part.
    pub look: String,
    /// What differs.
    pub says: String,
    /// Findings that can hold only with what one of the two alone takes here.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<BeyondView>,
}

/// A finding that can hold only with what one of the two alone takes; the record is one for that rulebook.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct BeyondView {
    /// Its name.
    pub finding: String,
    /// `newly-found` with what the new rulebook takes, `no-longer-found` with what the old one took.
    #[serde(flatten)]
    pub way: WayView,
}

/// A finding that can, or may, come out differently.
#[derive(Debug, Serialize)]
pub struct FindingView {
    /// Its name.
    pub finding: String,
    /// Each way in which it can or may; what is not listed is proved never to happen.
    pub ways: Vec<WayView>,
}

/// A figure of the whole outcome.
#[derive(Debug, Serialize)]
pub struct FigureView {
    /// `urgency`, `hands`, `played`, `cost`, `left`, `tier`, `due`, `aid NAME`, `counsel NAME`, `played PART`.
    pub figure: String,
    /// `same` (proved), `can` differ, or `not-decided`.
    pub known: &'static str,
    /// Each way in which it can or may.
    pub ways: Vec<WayView>,
}

impl FigureView {
    /// A figure that is the same as far as is known.
    pub fn same(figure: &str) -> Self {
        Self { figure: figure.to_owned(), known: "same", ways: Vec::new() }
    }

    /// Says what its ways come to.
    pub fn settle(&mut self) {
        if self.ways.iter().any(|way| way.known == "can") {
            self.known = "can";
        } else if !self.ways.is_empty() {
            self.known = "not-decided";
        }
    }
}

/// One way in which something comes out differently.
#[derive(Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct WayView {
    /// `newly-found`, `dearer` and so on.
    pub way: &'static str,
    /// `can`, or `not-decided`.
    pub known: &'static str,
    /// The record that shows it, as an example has it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub example: Option<String>,
    /// The same as a file of records has it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub record: Option<Fields>,
    /// The record before, where one is needed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub last: Option<Fields>,
    /// Looks in it that one of the rulebooks does not have: there the record is judged without them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub left_out: Vec<String>,
    /// What comes of it by the old rulebook.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    /// What comes of it by the new one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after: Option<String>,
}

impl WayView {
    /// A way that was neither shown nor ruled out.
    pub fn open(way: &'static str) -> Self {
        Self {
            way,
            known: "not-decided",
            example: None,
            record: None,
            last: None,
            left_out: Vec::new(),
            before: None,
            after: None,
        }
    }
}

/// One of the two rulebooks.
#[derive(Debug, Serialize)]
pub struct BookView {
    /// The file.
    pub file: String,
    /// Its name.
    pub rulebook: String,
    /// Its edition.
    pub edition: String,
}

/// An item, or an entry with a name within one, that is not the same in both.
#[derive(Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ItemView {
    /// What it is: `finding`, `look`, `row` and so on.
    pub kind: &'static str,
    /// Its name, after that of the item it is in; empty for ladders.
    pub name: String,
    /// `added`, `dropped` or `changed`.
    pub change: &'static str,
    /// Whether it is no more than words, which change no outcome.
    pub only_words: bool,
    /// The line of what was added or dropped.
    pub line: Option<String>,
    /// What is said differently of what both have.
    pub clauses: Vec<ClauseView>,
    /// Why, as the new rulebook and those it is built on say.
    pub reasons: Vec<ReasonView>,
}

/// A clause, or a piece of an item's own line, that is said differently.
#[derive(Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ClauseView {
    /// The word of the clause.
    pub clause: String,
    /// The lines of the old one.
    pub was: Vec<String>,
    /// The lines of the new one.
    pub now: Vec<String>,
    /// Whether it is no more than words.
    pub only_words: bool,
}

/// A reason that a rulebook gives for changing what it is built on.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct ReasonView {
    /// The rulebook.
    pub rulebook: String,
    /// Its reason.
    pub because: String,
}

/// What stands at places of a chain of rulebooks.
pub struct Words<'a> {
    loaded: &'a Loaded,
}

impl<'a> Words<'a> {
    /// Those of a rulebook and the ones it is built on.
    pub fn of(loaded: &'a Loaded) -> Self {
        Self { loaded }
    }

    /// The text at a span on one line, comments left out.
    pub fn at(&self, span: Span) -> String {
        let file = usize::from(span.file.0);
        let (Some(source), Some(tree)) = (self.loaded.sources.get(file), self.loaded.trees.get(file)) else {
            return String::new();
        };
        let within = |comment: Span| span.start <= comment.start && comment.end <= span.end;
        let mut pieces: Vec<&str> = Vec::new();
        let mut from = span.start as usize;
        for comment in tree.comments.iter().map(|comment| comment.span).filter(|comment| within(*comment)) {
            pieces.extend(source.text.get(from..comment.start as usize));
            from = comment.end as usize;
        }
        pieces.extend(source.text.get(from..span.end as usize));
        pieces.iter().flat_map(|piece| piece.split_whitespace()).collect::<Vec<_>>().join(" ")
    }
}

impl ItemView {
    /// A change in words.
    pub fn new(change: &ItemChange, old: &Words<'_>, new: &Words<'_>) -> Self {
        let (word, line, clauses) = match &change.how {
            How::Added(line) => ("added", Some(new.at(*line)), Vec::new()),
            How::Dropped(line) => ("dropped", Some(old.at(*line)), Vec::new()),
            How::Changed(clauses) => {
                let clause = |clause: &purfle_lang::compare::ClauseChange| ClauseView {
                    clause: clause.word.clone(),
                    was: clause.old.iter().map(|span| old.at(*span)).collect(),
                    now: clause.new.iter().map(|span| new.at(*span)).collect(),
                    only_words: clause.only_words,
                };
                ("changed", None, clauses.iter().map(clause).collect())
            }
        };
        let reason = |(rulebook, because): &(String, String)| ReasonView { rulebook: rulebook.clone(), because: because.clone() };
        Self {
            kind: change.kind.word(),
            name: change.name.clone(),
            change: word,
            only_words: change.only_words(),
            line,
            clauses,
            reasons: change.reasons.iter().map(reason).collect(),
        }
    }
}
