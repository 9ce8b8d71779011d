//! The CSV report: one row a record, refused ones too, and no cell that a spreadsheet would run.

use std::fmt::Write;

use purfle_lang::book::{AidWord, Book, StateWord};
use purfle_lang::unit::format_date;

use super::figures::{minor, place_name, write_minor};
use super::json::{aid_name, played};
use super::slip::first_lines;
use super::text::{shown, steers};
use super::triage::Settings;
use crate::outcome::{At, Outcome, Sum};
use crate::record::Record;
use crate::records::Refused;

/// The heading. Columns may be added at the end, never renamed.
const COLUMNS: &str = "record,tag,inspected-on,judged,played,urgency-from,urgency-suspected,urgency-to,due-from,due-to,again,\
    hands-from,hands-to,first,cost-from,cost-to,cost-note,tier-from,tier-to,left-from,left-to,left-note,money,found,suspected,\
    not-ruled-out,unseen,look-next,counsel,aid,quoted,why,carried,source,row,seen-again";

/// The most looks named in a row.
const MOST_LOOKS: usize = 5;

/// The heading row.
pub fn heading() -> String {
    format!("{COLUMNS}\r\n")
}

/// Puts the cells of one row behind each other.
struct Row<'a> {
    out: &'a mut String,
    begun: bool,
}

impl Row<'_> {
    /// A cell of our own words: names, numbers and days, none of which needs quoting.
    fn word(&mut self, word: &str) {
        self.next();
        self.out.push_str(word);
    }

    /// A cell of somebody's text.
    fn text(&mut self, text: &str) {
        self.next();
        cell(self.out, text);
    }

    fn next(&mut self) {
        if self.begun {
            self.out.push(',');
        }
        self.begun = true;
    }

    fn end(self) {
        self.out.push_str("\r\n");
    }
}

/// Writes one cell. A text that a spreadsheet would take for a formula gets an apostrophe before it, which makes it
/// text again; characters that steer are made visible; commas, marks and line ends are quoted as in RFC 4180.
fn cell(out: &mut String, text: &str) {
    let formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let plain = !text.chars().any(|character| matches!(character, ',' | '"') || steers(character));
    if plain && !formula {
        return out.push_str(text);
    }
    let lead = if formula { "'" } else { "" };
    let safe = shown(text);
    if safe.contains([',', '"']) {
        let _ = write!(out, "\"{lead}{}\"", safe.replace('"', "\"\""));
    } else {
        out.push_str(lead);
        out.push_str(&safe);
    }
}

/// One judged record.
pub fn outcome(out: &mut String, book: &Book, settings: &Settings, record: &Record, outcome: &Outcome) {
    let mut row = Row { out, begun: false };
    let day = |day: Option<i64>| day.map(format_date).unwrap_or_default();
    row.text(&record.id);
    row.text(record.tag.as_deref().unwrap_or_default());
    row.word(&day(record.inspected_on));
    row.word("yes");
    row.word(played(outcome.played));
    for step in [outcome.urgency.from, outcome.suspected, outcome.urgency.to] {
        row.word(&book[step].name);
    }
    row.word(&day(outcome.due.from));
    row.word(&day(outcome.due.to));
    row.word(&day(outcome.again));
    for hand in [outcome.hands.from, outcome.hands.to] {
        row.word(hand.map_or("", |hand| book[hand].name.as_str()));
    }
    row.text(&first_lines(book, outcome).join(" / "));
    for (sum, tier) in [(&outcome.cost, Some(&outcome.tier)), (&outcome.left, None)] {
        row.next();
        amount(row.out, book, sum.from);
        row.next();
        amount(row.out, book, sum.to);
        row.word(note(sum));
        if let Some(tier) = tier {
            row.word(&book[tier.from].name);
            row.word(&book[tier.to].name);
        }
    }
    row.word(book.money.code());
    for state in [StateWord::Found, StateWord::Suspected] {
        row.next();
        let mut begun = false;
        for judged in outcome.findings.iter().filter(|judged| judged.state == state) {
            let finding = &book[judged.finding];
            let space = if std::mem::replace(&mut begun, true) { "; " } else { "" };
            row.out.push_str(space);
            row.out.push_str(&finding.name);
            if judged.at != At::Part
                && let Some(place) = place_name(book, finding.on, judged.at)
            {
                let _ = write!(row.out, " {place}");
            }
        }
    }
    row.next();
    let _ = write!(row.out, "{}", outcome.not_ruled_out.len());
    row.next();
    let _ = write!(row.out, "{}", outcome.unseen.len());
    row.next();
    for (at, next) in outcome.looks.iter().take(MOST_LOOKS).enumerate() {
        let look = &book[next.look];
        let space = if at > 0 { "; " } else { "" };
        let part = &book[look.part].name;
        let _ = match place_name(book, look.part, next.at) {
            Some(place) => write!(row.out, "{space}{part}.{place}.{}", look.name),
            None => write!(row.out, "{space}{part}.{}", look.name),
        };
    }
    row.next();
    let mut begun = false;
    for (counsel, _) in outcome.counsel.iter().filter(|(_, state)| *state == StateWord::Found) {
        row.out.push_str(if std::mem::replace(&mut begun, true) { "; " } else { "" });
        row.out.push_str(&book[*counsel].name);
    }
    row.next();
    begun = false;
    for aid in outcome.aid.iter().filter(|aid| aid.state != AidWord::Refused) {
        row.out.push_str(if std::mem::replace(&mut begun, true) { "; " } else { "" });
        let _ = write!(row.out, "{} {} ", book[aid.aid].name, aid_name(aid.state));
        amount(row.out, book, aid.pays.from);
        row.out.push_str(" to ");
        amount(row.out, book, aid.pays.to);
    }
    row.next();
    if let Some(quoted) = outcome.quoted {
        amount(row.out, book, quoted);
    }
    row.word("");
    if settings.without_names || record.carried.is_empty() {
        row.word("");
    } else {
        let carried: Vec<String> = record.carried.iter().map(|(name, text)| format!("{name} = {text}")).collect();
        row.text(&carried.join("; "));
    }
    row.text(&record.source.file);
    row.next();
    let _ = write!(row.out, "{}", record.source.row);
    row.word(&day(record.seen_again));
    row.end();
}

/// One refused record: its marks, why, and where it stands; the figures are left empty.
pub fn refused(out: &mut String, refused: &Refused) {
    let columns = COLUMNS.split(',').count();
    let mut row = Row { out, begun: false };
    row.text(refused.record.as_deref().unwrap_or_default());
    row.word("");
    row.word("");
    row.word("no");
    for _ in 4..columns - 5 {
        row.word("");
    }
    let mut why: Vec<String> = refused.faults.iter().map(super::triage::fault_words).collect();
    if refused.untold > 0 {
        why.push(format!("and {} more", refused.untold));
    }
    row.text(&why.join(" / "));
    row.word("");
    row.text(&refused.source.file);
    row.next();
    let _ = write!(row.out, "{}", refused.source.row);
    row.word("");
    row.end();
}

fn amount(out: &mut String, book: &Book, number: purfle_lang::number::Number) {
    let places = book.money.minor_places();
    write_minor(out, minor(number, places), places);
}

/// What must be known of a sum beside its two ends.
fn note(sum: &Sum) -> &'static str {
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

#[cfg(test)]
mod tests {
    use super::cell;

    #[test]
    fn no_cell_is_a_formula() {
        for (text, expected) in [
            ("=1+1", "'=1+1"),
            ("+49", "'+49"),
            ("-", "'-"),
            ("@SUM(A1)", "'@SUM(A1)"),
            ("\tx", "' x"),
            ("=HYPERLINK(\"x\",\"y\")", "\"'=HYPERLINK(\"\"x\"\",\"\"y\"\")\""),
            ("a,b", "\"a,b\""),
            ("two\nlines", "two\\nlines"),
            ("AR-001", "AR-001"),
        ] {
            let mut out = String::new();
            cell(&mut out, text);
            assert_eq!(out, expected);
        }
    }
}
