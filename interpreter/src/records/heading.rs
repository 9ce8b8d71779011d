//! The heading of a table of records, CSV or a sheet of a workbook: what each column holds, and cells read under it.

use purfle_lang::book::Book;
use rustc_hash::FxHashMap;

use super::field::{Field, RECORD, Target};
use super::reader::{NameId, RecordReader};

/// The most columns that a heading may have; what a large spreadsheet has.
const MOST_COLUMNS: usize = 16_384;

/// The heading of one file: a field's name for each column.
#[derive(Debug, PartialEq, Eq)]
pub struct Heading {
    /// The columns, from the left.
    pub columns: Vec<Column>,
}

/// One column.
#[derive(Debug, PartialEq, Eq)]
pub struct Column {
    /// Its letters, as a spreadsheet names it.
    pub letters: String,
    /// Its heading; empty where nothing stands there.
    pub text: String,
}

impl Heading {
    /// Understands the texts of a heading. Every fault of it is told: nothing of a file is read under a heading that is
    /// partly guessed.
    pub fn new(book: &Book, texts: impl Iterator<Item = String>) -> Result<Heading, Vec<String>> {
        let columns: Vec<Column> =
            texts.enumerate().map(|(at, text)| Column { letters: letters(at), text: text.trim().to_owned() }).collect();
        if columns.len() > MOST_COLUMNS {
            return Err(vec![format!("it has {} columns, and no sheet has more than {MOST_COLUMNS}", columns.len())]);
        }
        let faults = heading_faults(book, &columns);
        if faults.is_empty() { Ok(Heading { columns }) } else { Err(faults) }
    }
}

fn heading_faults(book: &Book, columns: &[Column]) -> Vec<String> {
    if let [only] = columns
        && let Some(mark) = [";", "\t", "|"].into_iter().find(|mark| only.text.contains(mark))
    {
        let name = match mark {
            "\t" => "tabs",
            ";" => "semicolons",
            _ => "upright strokes",
        };
        return vec![format!(
            "its columns seem to be parted by {name}; save it as a workbook (XLSX or ODS), or as CSV with commas between the \
             columns and points in the numbers"
        )];
    }
    let mut faults = Vec::new();
    let mut seen: FxHashMap<(Target, &str), &Column> = FxHashMap::default();
    for column in columns.iter().filter(|column| !column.text.is_empty()) {
        let Column { letters, text } = column;
        match Field::parse(book, text) {
            Err(why) => faults.push(format!("column {letters}, `{text}`: {why}")),
            Ok(field) => {
                let name = if field.target == Target::Carried { text.as_str() } else { "" };
                if let Some(first) = seen.insert((field.target, name), column) {
                    faults.push(format!("columns {} and {letters} both hold `{text}`; keep one of them", first.letters));
                }
            }
        }
    }
    if !seen.contains_key(&(Target::Record, "")) {
        faults.push(format!(
            "no column is headed `{RECORD}`; every inspection needs a mark of its own, and the first row is the heading"
        ));
    }
    faults
}

/// The name of a column in a spreadsheet: A to Z, then AA and so on. `at` counts from 0.
pub fn letters(at: usize) -> String {
    let mut letters = Vec::new();
    let mut left = at + 1;
    while left > 0 {
        left -= 1;
        letters.push(b'A' + u8::try_from(left % 26).unwrap_or(0));
        left /= 26;
    }
    letters.reverse();
    letters.into_iter().map(char::from).collect()
}

/// The columns' names, looked up once for each heading, and what the cells below them say.
#[derive(Default)]
pub struct Names {
    /// The heading that they belong to, by its address and the reader's generation.
    known: Option<(usize, u64)>,
    names: Vec<NameId>,
}

impl Names {
    /// Looks the names of a heading up, if they are not those at hand.
    pub fn learn(&mut self, reader: &mut RecordReader, heading: &Heading) {
        let key = (std::ptr::from_ref(heading) as usize, reader.generation());
        if self.known == Some(key) {
            return;
        }
        self.names.clear();
        for column in &heading.columns {
            let unnamed = format!("column {}", column.letters);
            let text = if column.text.is_empty() { &unnamed } else { &column.text };
            self.names.push(reader.name(text));
        }
        self.known = Some(key);
    }

    /// The name of a column, counted from 0.
    pub fn of(&self, reader: &mut RecordReader, column: usize) -> NameId {
        match self.names.get(column) {
            Some(name) => *name,
            None => reader.name(&format!("column {}", letters(column))),
        }
    }
}

/// Takes the text of one cell. What is wrong with it is told with its column.
pub fn take(reader: &mut RecordReader, name: NameId, column: usize, cell: &str) {
    let (before, noted) = (reader.faults_so_far(), reader.noted_so_far());
    if reader.uses(name, cell) {
        match spreadsheet_error(cell) {
            Some(error) => reader.field_fault(name, cell, error_words(error)),
            None => reader.value(name, cell),
        }
    }
    reader.note_column(noted, || letters(column));
    if reader.faults_so_far() > before {
        reader.name_column(before, &letters(column));
    }
}

/// What a spreadsheet writes where a formula has no answer.
const ERRORS: [&str; 12] = [
    "#N/A",
    "#VALUE!",
    "#REF!",
    "#DIV/0!",
    "#NAME?",
    "#NULL!",
    "#NUM!",
    "#SPILL!",
    "#CALC!",
    "#FIELD!",
    "#GETTING_DATA",
    "#BLOCKED!",
];

/// The error that a cell shows in place of an answer.
fn spreadsheet_error(cell: &str) -> Option<&str> {
    if !cell.starts_with(['#', 'E']) {
        return None;
    }
    let cell = cell.trim_end();
    let numbered =
        cell.strip_prefix("Err:").is_some_and(|number| !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit()));
    (numbered || ERRORS.contains(&cell)).then_some(cell)
}

/// Why such a cell is refused.
pub fn error_words(error: &str) -> String {
    format!("{error} is an error of the spreadsheet and no answer; mend the formula, or empty the cell")
}

#[cfg(test)]
mod tests {
    use super::{letters, spreadsheet_error};

    #[test]
    fn columns_are_named_as_in_a_sheet() {
        for (at, name) in [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")] {
            assert_eq!(letters(at), name);
        }
    }

    #[test]
    fn errors_of_spreadsheets_are_known_by_their_words() {
        for cell in ["#N/A", "#DIV/0! ", "Err:508"] {
            assert_eq!(spreadsheet_error(cell), Some(cell.trim_end()));
        }
        for cell in ["#3", "# N/A", "Err:", "Err:x", "E", "even"] {
            assert_eq!(spreadsheet_error(cell), None, "{cell}");
        }
    }
}
