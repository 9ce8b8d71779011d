//! The report as a workbook: outcomes one a row, findings on a second sheet, refused records on a third.
//!
//! Texts are written as texts and marked so that they stay texts when somebody edits them; sums are numbers, days are
//! days. Rows wait in files without a name, so that a batch may be as long as a sheet can hold.

use std::fs::File;
use std::io::{self, Seek, Write};

use purfle_lang::book::{Book, StateWord};
use purfle_lang::unit::format_date;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, FormatBorder, Workbook, Worksheet, XlsxError};

use super::csv::is_formula;
use super::figures::{place_name, write_minor};
use super::json::state_name;
use super::row::{self, COLUMNS, Cells, note, sum};
use super::text::{plain, shown};
use super::triage::Settings;
use crate::outcome::{At, Judged, Outcome};
use crate::record::Record;
use crate::records::Refused;

/// The columns that only say whether and why a record was refused: here refused ones have a sheet of their own.
const OF_REFUSED: [&str; 2] = ["judged", "why"];

/// The columns of the second sheet.
const FINDINGS: [&str; 18] = [
    "record",
    "tag",
    "finding",
    "words",
    "place",
    "state",
    "urgency-from",
    "urgency-to",
    "hands",
    "cost-from",
    "cost-to",
    "cost-note",
    "left-from",
    "left-to",
    "left-note",
    "money",
    "becomes",
    "goes-with",
];

/// The columns of the third sheet.
const REFUSED: [&str; 7] = ["record", "source", "row", "column", "field", "value", "why"];

/// The rows of a sheet, the heading included.
const MOST_ROWS: u32 = 1_048_576;

/// The most characters of a cell, as UTF-16 counts them.
const LONGEST: usize = 32_767;

/// What stands at the end of a text that was cut.
const CUT: &str = "... (cut: longer than a cell holds)";

/// A spreadsheet counts its days so that this is 1970-01-01.
const SERIAL_OF_1970: i64 = 25_569;

/// Days before 1900-03-01 are counted otherwise by every program.
const FIRST_SERIAL: i64 = 61;
/// 9999-12-31.
const LAST_SERIAL: i64 = 2_958_465;

/// Whole numbers up to here are themselves in a spreadsheet, which keeps 15 digits.
const EXACT: i128 = 999_999_999_999_999;

/// One cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cell {
    /// A text; empty for an empty cell.
    Text(String),
    /// A day number.
    Day(i64),
    /// A sum in the money's minor unit.
    Money(i128, u32),
    /// A number of things.
    Count(u64),
}

/// One row.
#[derive(Debug, Default)]
struct Row(Vec<Cell>);

impl Cells for Row {
    fn words(&mut self, write: impl FnOnce(&mut String)) {
        let mut text = String::new();
        write(&mut text);
        self.0.push(Cell::Text(text));
    }

    fn text(&mut self, text: &str) {
        self.0.push(Cell::Text(shown(text).into_owned()));
    }

    fn day(&mut self, day: Option<i64>) {
        self.0.push(day.map_or_else(|| Cell::Text(String::new()), Cell::Day));
    }

    fn money(&mut self, minor: Option<i128>, places: u32) {
        self.0.push(minor.map_or_else(|| Cell::Text(String::new()), |minor| Cell::Money(minor, places)));
    }

    fn count(&mut self, count: u64) {
        self.0.push(Cell::Count(count));
    }
}

/// The rows of one judged record: its own, and one for each finding.
#[derive(Debug)]
pub struct Rows {
    outcome: Vec<Cell>,
    findings: Vec<Vec<Cell>>,
}

/// What a judged record comes to, but for what is said of its tag.
pub fn outcome(book: &Book, settings: &Settings, rules: &str, record: &Record, outcome: &Outcome) -> Rows {
    let mut own = Row::default();
    row::outcome(&mut own, book, settings, rules, record, outcome);
    let kept = own.0.into_iter().zip(COLUMNS).filter(|(_, column)| !OF_REFUSED.contains(column));
    let findings = outcome.findings.iter().map(|judged| finding(book, record, judged)).collect();
    Rows { outcome: kept.map(|(cell, _)| cell).collect(), findings }
}

fn finding(book: &Book, record: &Record, judged: &Judged) -> Vec<Cell> {
    let finding = &book[judged.finding];
    let mut row = Row::default();
    row.text(&record.id);
    row.text(record.tag.as_deref().unwrap_or_default());
    row.word(&finding.name);
    row.word(&plain(&finding.words));
    row.word(&place_name(book, finding.on, judged.at).filter(|_| judged.at != At::Part).unwrap_or_default());
    row.word(state_name(judged.state));
    row.word(&book[judged.urgency.from].name);
    row.word(&book[judged.urgency.to].name);
    row.word(&book[finding.counted_hands()].name);
    for total in [&judged.cost, &judged.left] {
        sum(&mut row, book, Some(total.from));
        sum(&mut row, book, Some(total.to));
        row.word(note(total));
    }
    row.word(book.money.code());
    let becomes: Vec<&str> = finding.becomes.iter().map(|arrow| book[arrow.to].name.as_str()).collect();
    row.word(&becomes.join("; "));
    row.word(judged.yields_to.map_or("", |other| book[other].name.as_str()));
    debug_assert!(matches!(judged.state, StateWord::Found | StateWord::Suspected) && row.0.len() == FINDINGS.len());
    row.0
}

impl Rows {
    /// Adds what is to be said of the record's tag.
    pub fn end(&mut self, tag_note: &str) {
        let mut end = Row(std::mem::take(&mut self.outcome));
        row::tag_note(&mut end, tag_note);
        self.outcome = end.0;
    }
}

/// The workbook, as it grows.
pub struct Sheets {
    workbook: Workbook,
    /// The row that comes next on each sheet.
    next: [u32; 3],
    day: Format,
    text: Format,
    money: Format,
    count: Format,
}

/// What a library of workbooks says went wrong, as the machine would.
fn failed(error: XlsxError) -> io::Error {
    match error {
        XlsxError::IoError(error) => error,
        other => io::Error::other(other.to_string()),
    }
}

impl Sheets {
    /// A workbook with its headings.
    pub fn new(book: &Book) -> io::Result<Self> {
        let mut workbook = Workbook::new();
        // Always the same day, so that the same records always make the same file.
        let day = ExcelDateTime::from_ymd(1980, 1, 1).map_err(failed)?;
        workbook.set_properties(&DocProperties::new().set_creation_datetime(&day));
        let heading = Format::new().set_bold().set_background_color("#E6E6E6").set_border_bottom(FormatBorder::Thin);
        let outcomes: Vec<&str> = COLUMNS.into_iter().filter(|column| !OF_REFUSED.contains(column)).collect();
        for (name, columns) in [("Outcomes", &outcomes[..]), ("Findings", &FINDINGS), ("Refused", &REFUSED)] {
            let sheet = workbook.add_worksheet_with_constant_memory().map_err(failed)?;
            sheet.set_name(name).map_err(failed)?;
            sheet.set_freeze_panes(1, if name == "Refused" { 0 } else { 1 }).map_err(failed)?;
            sheet.set_landscape().set_repeat_rows(0, 0).map_err(failed)?;
            for (at, column) in columns.iter().enumerate() {
                sheet.set_column_width(at as u16, width(column)).map_err(failed)?;
                sheet.write_string_with_format(0, at as u16, *column, &heading).map_err(failed)?;
            }
        }
        let mut money = "#,##0".to_owned();
        if book.money.minor_places() > 0 {
            money.push('.');
            money.push_str(&"0".repeat(book.money.minor_places() as usize));
        }
        Ok(Self {
            workbook,
            next: [1; 3],
            day: Format::new().set_num_format("yyyy-mm-dd"),
            text: Format::new().set_quote_prefix(),
            money: Format::new().set_num_format(money),
            count: Format::new().set_num_format("0"),
        })
    }

    /// Takes the rows of a judged record.
    pub fn take(&mut self, rows: &Rows) -> io::Result<()> {
        self.row(0, &rows.outcome)?;
        rows.findings.iter().try_for_each(|finding| self.row(1, finding))
    }

    /// Takes a refused record, a row for each of its faults.
    pub fn refused(&mut self, refused: &Refused) -> io::Result<()> {
        let mut row = |column: &str, field: &str, value: &str, why: &str| {
            let mut cells = Row::default();
            cells.text(refused.record.as_deref().unwrap_or_default());
            cells.text(&refused.source.file);
            cells.count(refused.source.row);
            for text in [column, field, value, why] {
                cells.text(text);
            }
            self.row(2, &cells.0)
        };
        for fault in &refused.faults {
            let told = [&fault.column, &fault.field, &fault.value].map(|text| text.as_deref().unwrap_or_default());
            row(told[0], told[1], told[2], &fault.why)?;
        }
        if refused.untold > 0 {
            row("", "", "", &format!("and {} more", refused.untold))?;
        }
        Ok(())
    }

    fn row(&mut self, sheet: usize, cells: &[Cell]) -> io::Result<()> {
        let at = self.next[sheet];
        if at >= MOST_ROWS {
            return Err(io::Error::other(format!(
                "a sheet holds {MOST_ROWS} rows and no more; judge fewer records at a time, or ask for CSV"
            )));
        }
        self.next[sheet] += 1;
        let worksheet = self.workbook.worksheet_from_index(sheet).map_err(failed)?;
        for (column, cell) in cells.iter().enumerate() {
            let column = column as u16;
            match cell {
                Cell::Text(text) if text.is_empty() => continue,
                Cell::Text(text) if is_formula(text) => worksheet.write_string_with_format(at, column, cut(text), &self.text),
                Cell::Text(text) => worksheet.write_string(at, column, cut(text)),
                Cell::Day(day) => match day + SERIAL_OF_1970 {
                    serial @ FIRST_SERIAL..=LAST_SERIAL => {
                        worksheet.write_number_with_format(at, column, serial as f64, &self.day)
                    }
                    _ => worksheet.write_string(at, column, format_date(*day)),
                },
                Cell::Money(minor, places) if minor.abs() <= EXACT => {
                    let major = *minor as f64 / 10_f64.powi(*places as i32);
                    worksheet.write_number_with_format(at, column, major, &self.money)
                }
                Cell::Money(minor, places) => {
                    let mut text = String::new();
                    write_minor(&mut text, *minor, *places);
                    worksheet.write_string(at, column, text)
                }
                Cell::Count(count) => worksheet.write_number_with_format(at, column, *count as f64, &self.count),
            }
            .map_err(failed)?;
        }
        Ok(())
    }

    /// Writes the whole workbook out.
    pub fn finish(mut self, out: &mut dyn Write) -> io::Result<()> {
        let widths = [COLUMNS.len() - OF_REFUSED.len(), FINDINGS.len(), REFUSED.len()];
        for (at, columns) in widths.into_iter().enumerate() {
            let last = self.next[at] - 1;
            let sheet: &mut Worksheet = self.workbook.worksheet_from_index(at).map_err(failed)?;
            sheet.autofilter(0, 0, last, columns as u16 - 1).map_err(failed)?;
        }
        // A workbook is put together to and fro, and a report goes out from end to end.
        let mut file: File = tempfile::tempfile()?;
        self.workbook.save_to_writer(&mut file).map_err(failed)?;
        file.rewind()?;
        io::copy(&mut file, out).map(drop)
    }
}

/// A text as long as a cell holds.
fn cut(text: &str) -> String {
    // Fewer bytes than that are fewer characters.
    if text.len() <= LONGEST || text.encode_utf16().count() <= LONGEST {
        return text.to_owned();
    }
    let mut room = LONGEST - CUT.len();
    let kept = text.chars().take_while(|character| {
        let fits = room >= character.len_utf16();
        room = room.saturating_sub(character.len_utf16());
        fits
    });
    kept.chain(CUT.chars()).collect()
}

/// How wide a column is, in characters.
fn width(column: &str) -> f64 {
    match column {
        "first" | "found" | "suspected" | "look-next" | "words" | "why" | "counsel" | "aid" | "carried" | "tag-note" => 40.0,
        "finding" | "source" | "field" | "value" | "becomes" | "goes-with" | "cost-note" | "left-note" => 22.0,
        "row" | "column" | "money" => 8.0,
        _ => 14.0,
    }
}

#[cfg(test)]
mod tests {
    use super::{CUT, LONGEST, cut};

    #[test]
    fn a_text_is_cut_where_a_cell_ends() {
        assert_eq!(cut("short"), "short");
        let long = "\u{1f3bb}".repeat(LONGEST);
        let kept = cut(&long);
        assert!(kept.ends_with(CUT) && kept.encode_utf16().count() <= LONGEST && kept.encode_utf16().count() > LONGEST - 3);
        assert_eq!(cut(&"x".repeat(LONGEST)).len(), LONGEST);
    }
}
