//! One row for each record, whatever sheet it is written to: CSV and a workbook have the same columns.

use purfle_lang::book::{AidWord, Book, StateWord};
use purfle_lang::number::Number;

use super::figures::{minor, place_name, write_minor};
use super::json::{aid_name, played};
use super::slip::{first_lines, sealed};
use super::triage::{Settings, fault_words};
use crate::outcome::{At, Outcome, Sum};
use crate::record::Record;
use crate::records::Refused;

/// The columns. They may be added at the end, never renamed.
pub const COLUMNS: [&str; 38] = [
    "record",
    "tag",
    "inspected-on",
    "judged",
    "played",
    "urgency-from",
    "urgency-suspected",
    "urgency-to",
    "due-from",
    "due-to",
    "again",
    "hands-from",
    "hands-to",
    "first",
    "cost-from",
    "cost-to",
    "cost-note",
    "tier-from",
    "tier-to",
    "left-from",
    "left-to",
    "left-note",
    "money",
    "found",
    "suspected",
    "not-ruled-out",
    "unseen",
    "look-next",
    "counsel",
    "aid",
    "quoted",
    "why",
    "carried",
    "source",
    "row",
    "seen-again",
    "judged-by",
    "tag-note",
];

/// The most looks named in a row.
const MOST_LOOKS: usize = 5;

/// Takes the cells of one row, from the left.
pub trait Cells {
    /// A cell of our own words: names and the like, none of which needs care.
    fn word(&mut self, word: &str) {
        self.words(|out| out.push_str(word));
    }

    /// A cell put together of our own words; they are put behind what is written already.
    fn words(&mut self, write: impl FnOnce(&mut String));

    /// A cell of somebody's text.
    fn text(&mut self, text: &str);

    /// A day, or nothing.
    fn day(&mut self, day: Option<i64>);

    /// A sum of the rulebook's money in its minor unit, or nothing.
    fn money(&mut self, minor: Option<i128>, places: u32);

    /// A number of things.
    fn count(&mut self, count: u64);
}

/// A sum, rounded as printed.
pub fn sum(cells: &mut impl Cells, book: &Book, number: Option<Number>) {
    let places = book.money.minor_places();
    cells.money(number.map(|number| minor(number, places)), places);
}

/// The rulebook of every row: its name, its edition and its seal.
pub fn rules(book: &Book) -> String {
    sealed(&book.name, &book.edition, book.seal)
}

/// One judged record, but for what is said of its tag.
pub fn outcome(cells: &mut impl Cells, book: &Book, settings: &Settings, rules: &str, record: &Record, outcome: &Outcome) {
    cells.text(&record.id);
    cells.text(record.tag.as_deref().unwrap_or_default());
    cells.day(record.inspected_on);
    cells.word("yes");
    cells.word(played(outcome.played));
    for step in [outcome.urgency.from, outcome.suspected, outcome.urgency.to] {
        cells.word(&book[step].name);
    }
    cells.day(outcome.due.from);
    cells.day(outcome.due.to);
    cells.day(outcome.again);
    for hand in [outcome.hands.from, outcome.hands.to] {
        cells.word(hand.map_or("", |hand| book[hand].name.as_str()));
    }
    cells.text(&first_lines(book, outcome).join(" / "));
    for (total, tier) in [(&outcome.cost, Some(&outcome.tier)), (&outcome.left, None)] {
        sum(cells, book, Some(total.from));
        sum(cells, book, Some(total.to));
        cells.word(note(total));
        if let Some(tier) = tier {
            cells.word(&book[tier.from].name);
            cells.word(&book[tier.to].name);
        }
    }
    cells.word(book.money.code());
    for state in [StateWord::Found, StateWord::Suspected] {
        cells.words(|out| {
            for (at, judged) in outcome.findings.iter().filter(|judged| judged.state == state).enumerate() {
                let finding = &book[judged.finding];
                separate(out, at);
                out.push_str(&finding.name);
                if judged.at != At::Part
                    && let Some(place) = place_name(book, finding.on, judged.at)
                {
                    out.push(' ');
                    out.push_str(&place);
                }
            }
        });
    }
    cells.count(outcome.open as u64);
    cells.count(outcome.unseen.len() as u64);
    cells.words(|out| {
        for (at, next) in outcome.looks.iter().take(MOST_LOOKS).enumerate() {
            let look = &book[next.look];
            separate(out, at);
            out.push_str(&book[look.part].name);
            out.push('.');
            if let Some(place) = place_name(book, look.part, next.at) {
                out.push_str(&place);
                out.push('.');
            }
            out.push_str(&look.name);
        }
    });
    cells.words(|out| {
        for (at, (counsel, _)) in outcome.counsel.iter().filter(|(_, state)| *state == StateWord::Found).enumerate() {
            separate(out, at);
            out.push_str(&book[*counsel].name);
        }
    });
    cells.words(|out| {
        let places = book.money.minor_places();
        for (at, aid) in outcome.aid.iter().filter(|aid| aid.state != AidWord::Refused).enumerate() {
            separate(out, at);
            out.push_str(&book[aid.aid].name);
            out.push(' ');
            out.push_str(aid_name(aid.state));
            out.push(' ');
            write_minor(out, minor(aid.pays.from, places), places);
            out.push_str(" to ");
            write_minor(out, minor(aid.pays.to, places), places);
        }
    });
    sum(cells, book, outcome.quoted);
    cells.word("");
    if settings.without_names || record.carried.is_empty() {
        cells.word("");
    } else {
        let carried: Vec<String> = record.carried.iter().map(|(name, text)| format!("{name} = {text}")).collect();
        cells.text(&carried.join("; "));
    }
    cells.text(&record.source.file);
    cells.count(record.source.row);
    cells.day(record.seen_again);
    cells.text(rules);
}

/// What a record's tag contradicts, the last cell: it is known only when the records before are.
pub fn tag_note(cells: &mut impl Cells, note: &str) {
    cells.text(note);
}

/// Puts a mark between what is there of a list and what comes, which is at `at` of it.
fn separate(out: &mut String, at: usize) {
    if at > 0 {
        out.push_str("; ");
    }
}

/// One refused record: its marks, why, and where it stands; the figures are left empty.
pub fn refused(cells: &mut impl Cells, rules: &str, refused: &Refused) {
    cells.text(refused.record.as_deref().unwrap_or_default());
    cells.word("");
    cells.word("");
    cells.word("no");
    for _ in 4..COLUMNS.len() - 7 {
        cells.word("");
    }
    let mut why: Vec<String> = refused.faults.iter().map(fault_words).collect();
    if refused.untold > 0 {
        why.push(format!("and {} more", refused.untold));
    }
    cells.text(&why.join(" / "));
    cells.word("");
    cells.text(&refused.source.file);
    cells.count(refused.source.row);
    cells.word("");
    cells.text(rules);
    tag_note(cells, "");
}

/// What must be known of a sum beside its two ends.
pub fn note(sum: &Sum) -> &'static str {
    match (sum.exact, sum.and_more, sum.or_more) {
        (true, false, false) => "",
        (true, true, false) => "and more",
        (true, false, true) => "or more",
        (true, true, true) => "and more or more",
        (false, false, false) => "at the outside",
        (false, true, false) => "at the outside and more",
        (false, false, true) => "at the outside or more",
        (false, true, true) => "at the outside and more or more",
    }
}
