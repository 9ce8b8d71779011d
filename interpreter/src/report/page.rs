//! The batch page: the order of work, how many at each step, what must not be played, what all of it costs.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::fmt::Write;

use purfle_lang::book::{Book, PlayedWord, StateWord};

use super::brief::{Brief, BriefSum, Gravity};
use super::figures::{NOTHING, due_words, minor_range};
use super::layout::{Ink, Paint, column, paragraph, sides};
use super::text::{plain, shown};
use super::triage::Totals;
use crate::outcome::Range;

/// The most instruments that the order of work lists; the gravest stay.
pub const MOST_IN_ORDER: usize = 500;

/// What a batch comes to, gathered record by record.
pub struct Page {
    at_least: Vec<u64>,
    at_most: Vec<u64>,
    not_played: u64,
    perhaps_not_played: u64,
    not_settled: u64,
    apart_not_used: u64,
    seen_again: u64,
    nothing_to_do: u64,
    /// Of which enough was seen, and of which something is not ruled out because nobody looked.
    sums: [Sums; 2],
    order: BinaryHeap<Reverse<Ranked>>,
    needing_work: u64,
    met: u64,
}

/// What several instruments come to together.
#[derive(Clone, Copy, Default)]
struct Sums {
    instruments: u64,
    cost: BriefSum,
    left: BriefSum,
}

impl Sums {
    fn add(&mut self, other: &Sums) {
        self.instruments += other.instruments;
        self.cost.add(&other.cost);
        self.left.add(&other.left);
    }
}

/// A brief by its gravity; of two alike the one read first comes first.
struct Ranked(Gravity, Reverse<u64>, Brief);

impl PartialEq for Ranked {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Ranked {}
impl PartialOrd for Ranked {
    fn partial_cmp(&self, other: &Self) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Ranked {
    fn cmp(&self, other: &Self) -> std::cmp::Ordering {
        (self.0, self.1).cmp(&(other.0, other.1))
    }
}

impl Page {
    /// Nothing gathered yet.
    pub fn new(book: &Book) -> Self {
        Self {
            at_least: vec![0; book.steps.len()],
            at_most: vec![0; book.steps.len()],
            not_played: 0,
            perhaps_not_played: 0,
            not_settled: 0,
            apart_not_used: 0,
            seen_again: 0,
            nothing_to_do: 0,
            sums: Default::default(),
            order: BinaryHeap::new(),
            needing_work: 0,
            met: 0,
        }
    }

    /// Gathers one record more.
    pub fn add(&mut self, brief: Brief) {
        // What was seen since counts, not what was seen before.
        if brief.seen_again {
            self.seen_again += 1;
            return;
        }
        self.met += 1;
        if let Some(count) = self.at_least.get_mut(brief.urgency.from.index()) {
            *count += 1;
        }
        if let Some(count) = self.at_most.get_mut(brief.urgency.to.index()) {
            *count += 1;
        }
        match brief.played {
            PlayedWord::No => self.not_played += 1,
            PlayedWord::Open if brief.pointed => self.perhaps_not_played += 1,
            PlayedWord::Open => self.not_settled += 1,
            PlayedWord::Yes => {}
        }
        if brief.apart.iter().any(|(_, word)| *word == PlayedWord::No) {
            self.apart_not_used += 1;
        }
        self.sums[usize::from(brief.unseen)].add(&Sums { instruments: 1, cost: brief.cost, left: brief.left });
        if brief.needs_work() {
            self.needing_work += 1;
            self.order.push(Reverse(Ranked(brief.gravity(), Reverse(self.met), brief)));
            if self.order.len() > MOST_IN_ORDER {
                self.order.pop();
            }
        } else if brief.urgency.to.index() == 0 {
            self.nothing_to_do += 1;
        }
    }

    /// The page as text.
    pub fn write(self, book: &Book, totals: &Totals, paint: Paint) -> String {
        let mut out = String::new();
        let title = format!("{} {}: {}", book.name, shown(&book.edition), plain(&book.title));
        paragraph(&mut out, "", &paint.ink(Ink::Heading, &title));
        let refused = if totals.refused == 0 {
            "none refused".to_owned()
        } else {
            paint.ink(Ink::Warn, &format!("{} refused", totals.refused))
        };
        let noun = if totals.read == 1 { "record" } else { "records" };
        let _ = writeln!(out, "{} {noun} read: {} judged, {refused}.", totals.read, totals.done);
        if self.seen_again > 0 {
            let (inspections, were) = if self.seen_again == 1 { ("inspection", "was") } else { ("inspections", "were") };
            let again =
                format!("{} older {inspections} of instruments that {were} seen again: not counted below.", self.seen_again);
            paragraph(&mut out, "", &again);
        }
        if totals.done > 0 {
            self.played(&mut out, paint);
            self.steps(&mut out, book, paint);
            self.costs(&mut out, book, paint);
            self.order(&mut out, book, paint);
        }
        out
    }

    fn played(&self, out: &mut String, paint: Paint) {
        let ink = |count: u64, ink: Ink, text: String| if count > 0 { paint.ink(ink, &text) } else { text };
        let _ = writeln!(out, "\n{}", paint.ink(Ink::Heading, "Must not be played"));
        let _ = writeln!(out, "  {}", ink(self.not_played, Ink::Grave, format!("{:>6}  for certain", self.not_played)));
        let perhaps = format!("{:>6}  perhaps, by what was seen: not before a closer look", self.perhaps_not_played);
        let _ = writeln!(out, "  {}", ink(self.perhaps_not_played, Ink::Warn, perhaps));
        if self.not_settled > 0 {
            let _ = writeln!(out, "  {:>6}  not settled: too little was looked at to say", self.not_settled);
        }
        if self.apart_not_used > 0 {
            let _ = writeln!(out, "  {:>6}  with a piece, such as the bow, that must not be used", self.apart_not_used);
        }
    }

    fn steps(&self, out: &mut String, book: &Book, paint: Paint) {
        let heading = format!("{:48}{:>12}{:>12}", "How soon", "by what is", "at the");
        let below = format!("{:48}{:>12}{:>12}", "", "certain", "worst");
        let _ = writeln!(out, "\n{}\n{}", paint.ink(Ink::Heading, &heading), paint.ink(Ink::Heading, &below));
        for (at, step) in book.steps.iter().enumerate().rev() {
            let words = column(&plain(&step.words), 46);
            let _ = writeln!(out, "  {words}{:>12}{:>12}", self.at_least[at], self.at_most[at]);
        }
    }

    fn costs(&self, out: &mut String, book: &Book, paint: Paint) {
        let _ = writeln!(out, "\n{}", paint.ink(Ink::Heading, "Cost of all of them"));
        let [seen, unseen] = &self.sums;
        let mut all = *seen;
        all.add(unseen);
        let both = |out: &mut String, sums: &Sums, words: fn(&Book, &BriefSum) -> String| {
            paragraph(out, "  now      ", &words(book, &sums.cost));
            paragraph(out, "  if left  ", &words(book, &sums.left));
        };
        if unseen.instruments == 0 {
            return both(out, &all, between);
        }
        both(out, &all, least);
        if seen.instruments > 0 {
            let _ = writeln!(out, "  Of that, where enough was seen ({} of {}):", seen.instruments, all.instruments);
            both(out, seen, between);
        }
        let text = match unseen.instruments {
            1 => "What nobody looked at on 1 instrument may add to it; its slip says how much.".to_owned(),
            count => format!("What nobody looked at on {count} instruments may add to it; their slips say how much."),
        };
        paragraph(out, "  ", &text);
    }

    fn order(self, out: &mut String, book: &Book, paint: Paint) {
        let (nothing, needing) = (self.nothing_to_do, self.needing_work);
        let unsure = self.met - needing - nothing;
        let _ = writeln!(out, "\n{}", paint.ink(Ink::Heading, "Order of work, gravest first"));
        let listed = self.order.into_sorted_vec();
        for (at, Reverse(Ranked(_, _, brief))) in listed.iter().enumerate() {
            line(out, book, at + 1, brief, paint);
        }
        let more = needing - listed.len() as u64;
        if more > 0 {
            let _ = writeln!(out, "  and {more} more, none of them graver; they are in --as csv and --as json");
        }
        if needing == 0 {
            out.push_str("  nothing to be done for certain\n");
        }
        if unsure > 0 {
            let (show, their) = if unsure == 1 { ("shows", "its slip") } else { ("show", "their slips") };
            let text = format!("{unsure} more {show} nothing so far, and not enough was looked at to be sure; see {their}");
            paragraph(out, "  ", &text);
        }
        if nothing > 0 {
            let _ = writeln!(out, "  {nothing} with nothing to be done");
        }
    }
}

/// A sum of which only the least is known.
fn least(book: &Book, sum: &BriefSum) -> String {
    if sum.from == 0 { "nothing for certain".to_owned() } else { format!("at least {}", minor_range(book, sum.from, sum.from)) }
}

/// A sum from its least to its greatest.
fn figure(book: &Book, sum: &BriefSum) -> String {
    if (sum.from, sum.to) == (0, 0) { NOTHING.to_owned() } else { minor_range(book, sum.from, sum.to) }
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

fn line(out: &mut String, book: &Book, number: usize, brief: &Brief, paint: Paint) {
    let tag = brief.tag.as_deref().map(|tag| format!(" ({})", shown(tag))).unwrap_or_default();
    let stops = book[brief.urgency.from].not_played;
    let step = if stops {
        // Said by what follows: what must not be played or used.
        String::new()
    } else if brief.urgency.from.0 > 0 {
        plain(&book[brief.urgency.from].words).into_owned()
    } else {
        format!("suspected: {}", plain(&book[brief.suspected].words))
    };
    let may = match brief.played {
        PlayedWord::No => paint.ink(Ink::Grave, "NOT TO BE PLAYED"),
        PlayedWord::Open if brief.pointed => paint.ink(Ink::Warn, "perhaps NOT TO BE PLAYED"),
        PlayedWord::Open => "playing not settled".to_owned(),
        PlayedWord::Yes => String::new(),
    };
    let stopped = brief.apart.iter().filter(|(_, word)| *word == PlayedWord::No);
    let apart: Vec<String> = stopped.map(|(part, _)| format!("{} NOT TO BE USED", plain(&book[*part].words))).collect();
    let apart = paint.ink(Ink::Grave, &apart.join("; "));
    // The day of the step that is certain; a graver one may turn out, and the slip says so.
    let certain = Range { from: brief.urgency.from, to: brief.urgency.from };
    let due = due_words(book, certain, &Range { from: brief.due.to, to: brief.due.to }).unwrap_or_default();
    // What nobody looked at would drown what was seen.
    let open = brief.unseen && brief.cost.from != brief.cost.to;
    let mut cost = if open { least(book, &brief.cost) } else { figure(book, &brief.cost) };
    if brief.cost.more && !brief.unseen {
        cost.push_str(" and more");
    }
    sides(out, &format!("{number:>4}. "), &format!("{}{tag}", shown(&brief.record)), &cost);
    let about: Vec<String> = [may, apart, step, due].into_iter().filter(|text| !text.is_empty()).collect();
    paragraph(out, "      ", &about.join("; "));
    if let Some((finding, state)) = brief.gravest {
        let state = if state == StateWord::Suspected { "suspected: " } else { "" };
        let more = if brief.findings > 1 { format!(", and {} more", brief.findings - 1) } else { String::new() };
        paragraph(out, "      ", &format!("{state}{}{more}", plain(&book[finding].words)));
    }
}
