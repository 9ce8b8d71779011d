//! The batch page as plain values: every sentence ready, nothing laid out.

use purfle_lang::book::{Book, PartId, PlayedWord, StateWord};

use super::super::batch::{Batch, Sums};
use super::super::brief::{Brief, BriefSum};
use super::super::figures::{NOTHING, due_words, minor_range};
use super::super::layout::Ink;
use super::super::tags::Tags;
use super::super::text::{plain, shown};
use super::super::triage::Totals;
use super::{Bar, PartName};
use crate::outcome::Range;

/// A batch page. All texts are ready to be printed.
pub struct PageView {
    /// The rulebook's name and edition.
    pub rulebook: String,
    /// Its seal.
    pub seal: String,
    /// Its title.
    pub title: String,
    /// How many records there were.
    pub totals: Totals,
    /// Older inspections, which are not counted.
    pub seen_again: u64,
    /// What is to be said of tags, a paragraph each.
    pub tags: Vec<String>,
    /// Surely not to be played.
    pub not_played: u64,
    /// Perhaps not, by what was seen.
    pub perhaps_not_played: u64,
    /// Too little was looked at to say.
    pub not_settled: u64,
    /// With a piece that must not be used.
    pub apart_not_used: u64,
    /// How many there are at each step, gravest first.
    pub steps: Vec<StepLine>,
    /// What all of them cost.
    pub costs: CostLines,
    /// The order of work, gravest first.
    pub order: Vec<OrderLine>,
    /// How many more need work.
    pub more: u64,
    /// Those that need no work for certain.
    pub others: Vec<OtherLine>,
    /// How many of those are unsure: nothing so far, and too little looked at.
    pub unsure: u64,
    /// How many of those surely need nothing.
    pub nothing: u64,
    /// What is found on each part, dearest if left first; only parts on which something is found.
    pub parts: Vec<PartLine>,
    /// How often each part was not, or not wholly, looked at; most often first.
    pub unseen: Vec<UnseenLine>,
}

/// A step of the ladder.
pub struct StepLine {
    /// Its words.
    pub words: String,
    /// How many are there by what is certain.
    pub certain: u64,
    /// How many may come there at the worst.
    pub worst: u64,
    /// Both as bars.
    pub bars: [Bar; 2],
}

/// What all instruments cost, and those of which enough was seen.
pub struct CostLines {
    /// How many there are.
    pub instruments: u64,
    /// How many of them have something that nobody looked at.
    pub unseen: u64,
    /// All of them, now and if left.
    pub all: [String; 2],
    /// Those of which enough was seen, where that is not all of them: how many, now and if left.
    pub seen: Option<(u64, [String; 2])>,
}

/// One instrument in the order of work.
pub struct OrderLine {
    /// Which of the judged records it is.
    pub number: u64,
    /// The inspection's mark.
    pub record: String,
    /// The instrument's.
    pub tag: Option<String>,
    /// Whether it may be played, where that is no plain yes.
    pub may: Option<(Ink, &'static str)>,
    /// Pieces that must not be used.
    pub apart: Option<String>,
    /// How soon; none where what may not be played says it.
    pub step: Option<String>,
    /// By when.
    pub due: Option<String>,
    /// The gravest finding.
    pub gravest: Option<String>,
    /// What it costs now.
    pub cost: String,
    /// What it costs if left.
    pub left: String,
}

/// One instrument that needs no work for certain.
pub struct OtherLine {
    /// Which of the judged records it is.
    pub number: u64,
    /// The inspection's mark.
    pub record: String,
    /// The instrument's.
    pub tag: Option<String>,
    /// Whether enough was looked at to be sure.
    pub sure: bool,
}

/// What is found on a part.
pub struct PartLine {
    /// The part.
    pub words: String,
    /// On how many instruments.
    pub found: u64,
    /// What it costs now and if left.
    pub costs: [String; 2],
    /// Both as bars on one scale.
    pub bars: [Bar; 2],
}

/// How often a part was not looked at.
pub struct UnseenLine {
    /// The part.
    pub words: String,
    /// On how many instruments nothing of it.
    pub unseen: u64,
    /// On how many not everything.
    pub partly: u64,
    /// Both together, as a bar.
    pub bar: Bar,
}

impl PageView {
    /// The page of a whole batch.
    pub fn of(book: &Book, totals: Totals, batch: Batch, tags: &Tags) -> Self {
        let steps = steps(book, &batch);
        let (needing, nothing, met) = (batch.needing_work, batch.nothing_to_do, batch.met);
        let mut page = Self {
            rulebook: format!("{} {}", book.name, shown(&book.edition)),
            seal: book.seal.to_string(),
            title: plain(&book.title).into_owned(),
            totals,
            seen_again: batch.seen_again,
            tags: tags.words(book),
            not_played: batch.not_played,
            perhaps_not_played: batch.perhaps_not_played,
            not_settled: batch.not_settled,
            apart_not_used: batch.apart_not_used,
            steps,
            costs: CostLines::of(book, &batch.sums),
            order: Vec::new(),
            more: 0,
            others: Vec::new(),
            unsure: met - needing - nothing,
            nothing,
            parts: parts(book, &batch),
            unseen: unseen(book, &batch),
        };
        let (order, others) = batch.order();
        page.order = order.iter().map(|brief| OrderLine::of(book, brief)).collect();
        page.more = needing - page.order.len() as u64;
        page.others = others.iter().map(OtherLine::of).collect();
        page
    }
}

fn steps(book: &Book, batch: &Batch) -> Vec<StepLine> {
    let most = batch.at_least.iter().chain(&batch.at_most).max().copied().unwrap_or_default();
    let bar = |count: u64| Bar::of(count.into(), count.into(), most.into());
    let counts = batch.at_least.iter().zip(&batch.at_most);
    let lines = book.steps.iter().zip(counts).map(|(step, (&certain, &worst))| StepLine {
        words: plain(&step.words).into_owned(),
        certain,
        worst,
        bars: [bar(certain), bar(worst)],
    });
    let mut lines: Vec<StepLine> = lines.collect();
    lines.reverse();
    lines
}

fn parts(book: &Book, batch: &Batch) -> Vec<PartLine> {
    let mut found: Vec<_> = (0..).map(PartId::from_index).zip(&batch.parts).filter(|(_, sums)| sums.found > 0).collect();
    found.sort_by_key(|(part, sums)| (std::cmp::Reverse((sums.left.to, sums.now.to)), part.index()));
    let most = found.iter().map(|(_, sums)| sums.left.to.max(sums.now.to)).max().unwrap_or_default();
    let lines = found.iter().map(|(part, sums)| PartLine {
        words: PartName::of(book, *part).short,
        found: sums.found,
        costs: [sums.now, sums.left].map(|sum| short(book, &sum)),
        bars: [sums.now, sums.left].map(|sum| Bar::of(sum.from, sum.to, most)),
    });
    lines.collect()
}

fn unseen(book: &Book, batch: &Batch) -> Vec<UnseenLine> {
    let each = (0..).map(PartId::from_index).zip(&batch.parts);
    let mut unseen: Vec<_> = each.filter(|(_, sums)| sums.unseen + sums.partly > 0).collect();
    unseen.sort_by_key(|(part, sums)| (std::cmp::Reverse((sums.unseen, sums.partly)), part.index()));
    let lines = unseen.iter().map(|(part, sums)| UnseenLine {
        words: PartName::of(book, *part).short,
        unseen: sums.unseen,
        partly: sums.partly,
        bar: Bar::of(sums.unseen.into(), (sums.unseen + sums.partly).into(), batch.met.into()),
    });
    lines.collect()
}

impl CostLines {
    fn of(book: &Book, [seen, unseen]: &[Sums; 2]) -> Self {
        let mut all = *seen;
        all.add(unseen);
        let both = |sums: &Sums, words: fn(&Book, &BriefSum) -> String| [words(book, &sums.cost), words(book, &sums.left)];
        let some_unseen = unseen.instruments > 0;
        Self {
            instruments: all.instruments,
            unseen: unseen.instruments,
            all: both(&all, if some_unseen { least } else { between }),
            seen: (some_unseen && seen.instruments > 0).then(|| (seen.instruments, both(seen, between))),
        }
    }
}

impl CostLines {
    /// What is said of what nobody looked at; none where everything was.
    pub fn unseen_words(&self) -> Option<String> {
        match self.unseen {
            0 => None,
            1 => Some("What nobody looked at on 1 instrument may add to it; its slip says how much.".to_owned()),
            count => Some(format!("What nobody looked at on {count} instruments may add to it; their slips say how much.")),
        }
    }
}

impl OrderLine {
    fn of(book: &Book, brief: &Brief) -> Self {
        let step = if book[brief.urgency.from].not_played {
            // Said by what must not be played or used.
            None
        } else if brief.urgency.from.0 > 0 {
            Some(plain(&book[brief.urgency.from].words).into_owned())
        } else {
            Some(format!("suspected: {}", plain(&book[brief.suspected].words)))
        };
        let may = match brief.played {
            PlayedWord::No => Some((Ink::Grave, "NOT TO BE PLAYED")),
            PlayedWord::Open if brief.pointed => Some((Ink::Warn, "perhaps NOT TO BE PLAYED")),
            PlayedWord::Open => Some((Ink::Faint, "playing not settled")),
            PlayedWord::Yes => None,
        };
        let stopped = brief.apart.iter().filter(|(_, word)| *word == PlayedWord::No);
        let apart: Vec<String> = stopped.map(|(part, _)| format!("{} NOT TO BE USED", plain(&book[*part].words))).collect();
        // The day of the step that is certain; a graver one may turn out, and the slip says so.
        let certain = Range { from: brief.urgency.from, to: brief.urgency.from };
        Self {
            number: brief.number,
            record: shown(&brief.record).into_owned(),
            tag: brief.tag.as_deref().map(|tag| shown(tag).into_owned()),
            may,
            apart: (!apart.is_empty()).then(|| apart.join("; ")),
            step,
            due: due_words(book, certain, &Range { from: brief.due.to, to: brief.due.to }),
            gravest: brief.gravest.map(|(finding, state)| {
                let state = if state == StateWord::Suspected { "suspected: " } else { "" };
                let more = if brief.findings > 1 { format!(", and {} more", brief.findings - 1) } else { String::new() };
                format!("{state}{}{more}", plain(&book[finding].words))
            }),
            cost: at_hand(book, brief, &brief.cost),
            left: at_hand(book, brief, &brief.left),
        }
    }
}

impl OtherLine {
    fn of(brief: &Brief) -> Self {
        Self {
            number: brief.number,
            record: shown(&brief.record).into_owned(),
            tag: brief.tag.as_deref().map(|tag| shown(tag).into_owned()),
            sure: brief.urgency.to.index() == 0,
        }
    }
}

/// A sum of one instrument. What nobody looked at would drown what was seen.
fn at_hand(book: &Book, brief: &Brief, sum: &BriefSum) -> String {
    let open = brief.open && sum.from != sum.to;
    let mut words = if open { least(book, sum) } else { figure(book, sum) };
    if sum.more && !brief.open {
        words.push_str(" and more");
    }
    words
}

/// A sum of which only the least is known.
fn least(book: &Book, sum: &BriefSum) -> String {
    if sum.from == 0 { "nothing for certain".to_owned() } else { format!("at least {}", minor_range(book, sum.from, sum.from)) }
}

/// A sum from its least to its greatest.
fn figure(book: &Book, sum: &BriefSum) -> String {
    if (sum.from, sum.to) == (0, 0) { NOTHING.to_owned() } else { minor_range(book, sum.from, sum.to) }
}

/// The same, with a word where there is more to it.
fn short(book: &Book, sum: &BriefSum) -> String {
    format!("{}{}", figure(book, sum), if sum.more { " and more" } else { "" })
}

/// The same, with what must be known of it.
fn between(book: &Book, sum: &BriefSum) -> String {
    let mut text = figure(book, sum);
    if sum.bound {
        text.push_str(" at the outside");
    }
    if sum.more {
        text.push_str(", and more that is hidden or known only on sight");
    }
    text
}
