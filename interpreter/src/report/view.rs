//! One instrument's slip as plain values: every sentence ready, nothing laid out. The terminal and the page for the
//! family and the luthier are made from it.

mod aid;
mod bar;
mod cost;
mod finding;
mod look;
mod observed;
mod page;
mod verdict;

use purfle_lang::book::{Book, PartId, StateWord};
use purfle_lang::unit::format_date;

pub use aid::Aids;
pub use bar::Bar;
pub use cost::Costs;
pub use finding::{FindingView, LeftView};
pub use look::{LookNext, Looks};
pub use observed::{Observed, Said, saying_words};
pub use page::{CostLines, OrderLine, PageView};
pub use verdict::{Verdict, step_words};

use super::brief::partly_seen;
use super::cautions::cautions;
use super::slip::first_lines;
use super::text::{plain, shown};
use crate::outcome::Outcome;
use crate::record::Record;

/// A slip. All texts are ready to be printed.
pub struct SlipView {
    /// The inspection's mark.
    pub record: String,
    /// The instrument's mark.
    pub tag: Option<String>,
    /// The day it was inspected on.
    pub inspected_on: Option<String>,
    /// The day of a newer inspection of the same instrument.
    pub seen_again: Option<String>,
    /// What the record says.
    pub observed: Observed,
    /// May it be played, how soon, by whom.
    pub verdict: Verdict,
    /// What to do before anything else.
    pub first: Vec<String>,
    /// What is certain.
    pub found: Vec<FindingView>,
    /// What something that was seen points to.
    pub suspected: Vec<FindingView>,
    /// What is not ruled out, because nobody looked.
    pub open: OpenView,
    /// What it costs.
    pub costs: Costs,
    /// What to look at next.
    pub looks: Looks,
    /// Counsels that apply: their words, and what they tell.
    pub counsel: Vec<(String, Vec<String>)>,
    /// Counsels that may apply; none where too much is unseen for that to tell anybody anything.
    pub counsel_open: Vec<String>,
    /// What each fund says.
    pub aids: Aids,
    /// The standing cautions that belong here.
    pub cautions: Vec<&'static str>,
    /// What the rulebooks print on every slip.
    pub notices: Vec<String>,
    /// By which rulebook.
    pub rulebook: String,
}

/// What nobody looked at.
pub struct OpenView {
    /// How many findings are not ruled out.
    pub findings: usize,
    /// Parts of which nothing was looked at.
    pub unseen: Vec<PartName>,
    /// Parts of which not everything was.
    pub partly: Vec<PartName>,
}

/// A part, by its name in records and in a word or two.
pub struct PartName {
    /// Name.
    pub name: String,
    /// Its words up to their first comma, for lists.
    pub short: String,
}

impl SlipView {
    /// The slip of one outcome.
    pub fn of(book: &Book, without_names: bool, record: &Record, outcome: &Outcome) -> Self {
        let of = |wanted: StateWord| outcome.counsel.iter().filter(move |(_, state)| *state == wanted);
        // While much is unseen nearly every counsel is open, and to say so tells nobody anything.
        let much_unseen = !outcome.not_ruled_out.is_empty();
        Self {
            record: shown(&record.id).into_owned(),
            tag: record.tag.as_deref().map(|tag| shown(tag).into_owned()),
            inspected_on: record.inspected_on.map(format_date),
            seen_again: record.seen_again.map(format_date),
            observed: Observed::of(book, record, without_names),
            verdict: Verdict::of(book, record, outcome),
            first: first_lines(book, outcome).into_iter().map(|line| plain(line).into_owned()).collect(),
            found: finding::of(book, outcome, StateWord::Found),
            suspected: finding::of(book, outcome, StateWord::Suspected),
            open: OpenView::of(book, outcome),
            costs: Costs::of(book, outcome),
            looks: Looks::of(book, outcome),
            counsel: of(StateWord::Found).map(|(id, _)| (plain(&book[*id].words).into_owned(), lines(&book[*id].tell))).collect(),
            counsel_open: of(StateWord::Open)
                .filter(|_| !much_unseen)
                .map(|(id, _)| plain(&book[*id].words).into_owned())
                .collect(),
            aids: Aids::of(book, outcome),
            cautions: cautions(book, outcome),
            notices: lines(&book.notices),
            rulebook: super::slip::rulebook_line(book),
        }
    }
}

impl OpenView {
    fn of(book: &Book, outcome: &Outcome) -> Self {
        let names = |parts: &[PartId]| parts.iter().map(|part| PartName::of(book, *part)).collect();
        Self { findings: outcome.not_ruled_out.len(), unseen: names(&outcome.unseen), partly: names(&partly_seen(book, outcome)) }
    }

    /// Whether everything was looked at.
    pub fn is_nothing(&self) -> bool {
        self.findings == 0 && self.unseen.is_empty()
    }
}

impl PartName {
    /// The name of a part.
    pub fn of(book: &Book, part: PartId) -> Self {
        let words = plain(&book[part].words);
        Self { name: book[part].name.clone(), short: words.split(',').next().unwrap_or_default().trim().to_owned() }
    }
}

/// Texts of a rulebook, each made safe to print.
fn lines(texts: &[String]) -> Vec<String> {
    texts.iter().map(|text| plain(text).into_owned()).collect()
}
