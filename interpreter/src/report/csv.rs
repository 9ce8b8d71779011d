//! The CSV report: one row a record, refused ones too, and no cell that a spreadsheet would run.

use purfle_lang::book::Book;

use super::figures::{write_day, write_decimal, write_minor};
use super::row::{self, COLUMNS, Cells};
use super::text::shown;
use super::triage::Settings;
use crate::outcome::Outcome;
use crate::record::Record;
use crate::records::Refused;

/// The heading row.
pub fn heading() -> String {
    format!("{}\r\n", COLUMNS.join(","))
}

/// Puts the cells of one row behind each other.
struct Row<'a> {
    out: &'a mut String,
    begun: bool,
}

impl<'a> Row<'a> {
    fn new(out: &'a mut String) -> Self {
        Self { out, begun: false }
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

impl Cells for Row<'_> {
    fn word(&mut self, word: &str) {
        self.next();
        self.out.push_str(word);
    }

    fn words(&mut self, write: impl FnOnce(&mut String)) {
        self.next();
        write(self.out);
    }

    fn text(&mut self, text: &str) {
        self.next();
        cell(self.out, text);
    }

    fn day(&mut self, day: Option<i64>) {
        self.next();
        if let Some(day) = day {
            write_day(self.out, day);
        }
    }

    fn money(&mut self, minor: Option<i128>, places: u32) {
        self.next();
        if let Some(minor) = minor {
            write_minor(self.out, minor, places);
        }
    }

    fn count(&mut self, count: u64) {
        self.next();
        write_decimal(self.out, count, 0);
    }
}

/// A text that a spreadsheet would take for a formula.
pub fn is_formula(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r'])
}

/// Writes one cell. A text that a spreadsheet would take for a formula gets an apostrophe before it, which makes it
/// text again; characters that steer are made visible; commas, marks and line ends are quoted as in RFC 4180.
pub fn cell(out: &mut String, text: &str) {
    let stands_for_itself = |byte| matches!(byte, b' '..=b'~') && !matches!(byte, b',' | b'"');
    let formula = is_formula(text);
    if !formula && text.bytes().fold(true, |so_far, byte| so_far & stands_for_itself(byte)) {
        return out.push_str(text);
    }
    let lead = if formula { "'" } else { "" };
    let safe = shown(text);
    if safe.contains([',', '"']) {
        out.push('"');
        out.push_str(lead);
        out.push_str(&safe.replace('"', "\"\""));
        out.push('"');
    } else {
        out.push_str(lead);
        out.push_str(&safe);
    }
}

/// One judged record, but for the end of its row.
pub fn outcome(out: &mut String, book: &Book, settings: &Settings, rules: &str, record: &Record, outcome: &Outcome) {
    row::outcome(&mut Row::new(out), book, settings, rules, record, outcome);
}

/// The end of a judged record's row: what is to be said of its tag.
pub fn end(out: &mut String, tag_note: &str) {
    let mut cells = Row { out, begun: true };
    row::tag_note(&mut cells, tag_note);
    cells.end();
}

/// One refused record.
pub fn refused(out: &mut String, rules: &str, refused: &Refused) {
    let mut cells = Row::new(out);
    row::refused(&mut cells, rules, refused);
    cells.end();
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
