//! CSV: the heading that says what each column holds, and rows read under it.

use purfle_lang::book::Book;
use rustc_hash::FxHashMap;

use super::field::{Field, RECORD, Target};
use super::reader::{NameId, RecordReader};
use super::refused::Fault;
use super::window::LONGEST_RECORD;

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
    /// Understands the first row of a file. Every fault of it is told: nothing of a file is read under a heading
    /// that is partly guessed.
    pub fn parse(book: &Book, row: &[u8]) -> Result<Heading, Vec<String>> {
        let text = std::str::from_utf8(row)
            .map_err(|bad| vec![format!("its heading is not UTF-8 (byte {}); save the file as UTF-8", bad.valid_up_to() + 1)])?;
        if text.contains('\r') {
            return Err(vec!["its lines end in bare carriage returns; save it again with ordinary line ends".to_owned()]);
        }
        let mut cells = Cells::default();
        cells.split(text);
        let columns: Vec<Column> = cells
            .iter(text)
            .enumerate()
            .map(|(at, cell)| Column { letters: letters(at), text: cell.trim().to_owned() })
            .collect();
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
        let name = if mark == "\t" { "tabs" } else { mark };
        return vec![format!("its columns seem to be separated by {name}; save it as CSV with commas")];
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

/// The cells of one row, found without copying where nothing is quoted.
struct Cells {
    unquoted: String,
    /// Where each cell ends in `unquoted`; empty where the row has no quotation mark.
    ends: Vec<usize>,
    count: usize,
    reader: csv_core::Reader,
    output: Vec<u8>,
}

impl Default for Cells {
    fn default() -> Self {
        // Only a line feed ends a row: where rows end was found before, and by the same rule.
        let reader = csv_core::ReaderBuilder::new().terminator(csv_core::Terminator::Any(b'\n')).build();
        Self { unquoted: String::new(), ends: Vec::new(), count: 0, reader, output: Vec::new() }
    }
}

impl Cells {
    fn split(&mut self, row: &str) {
        self.ends.clear();
        self.unquoted.clear();
        if memchr::memchr(b'"', row.as_bytes()).is_none() {
            self.count = memchr::memchr_iter(b',', row.as_bytes()).count() + 1;
            return;
        }
        self.reader.reset();
        self.output.resize(row.len() + 1, 0);
        self.ends.resize(row.len() + 2, 0);
        let (_, _, written, ended) = self.reader.read_record(row.as_bytes(), &mut self.output, &mut self.ends);
        // The row came without its line end: an empty input ends it.
        let (_, _, more, last) = self.reader.read_record(&[], &mut self.output[written..], &mut self.ends[ended..]);
        let (written, ended) = (written + more, ended + last);
        self.ends.truncate(ended);
        self.count = ended;
        // Cut at commas and marks of a text that is UTF-8, each cell is.
        self.unquoted.push_str(&String::from_utf8_lossy(&self.output[..written]));
    }

    fn iter<'a>(&'a self, row: &'a str) -> impl Iterator<Item = &'a str> {
        let plain = self.ends.is_empty().then(|| {
            let mut start = 0;
            let commas = memchr::memchr_iter(b',', row.as_bytes()).chain(std::iter::once(row.len()));
            commas.map(move |end| &row[std::mem::replace(&mut start, end + 1)..end])
        });
        let mut start = 0;
        let quoted = self.ends.iter().map(move |&end| {
            let cell = self.unquoted.get(start..end).unwrap_or_default();
            start = end;
            cell
        });
        plain.into_iter().flatten().chain(quoted)
    }
}

/// Reads rows under a heading into records.
#[derive(Default)]
pub struct RowReader {
    cells: Cells,
    /// The heading that `names` belongs to, by its address and the reader's generation.
    known: Option<(usize, u64)>,
    names: Vec<NameId>,
}

impl RowReader {
    /// Adds the cells of one row to the record at hand. False where the row is blank throughout.
    pub fn read(&mut self, reader: &mut RecordReader, heading: &Heading, row: &[u8]) -> bool {
        debug_assert!(row.len() <= LONGEST_RECORD);
        let text = match std::str::from_utf8(row) {
            Ok(text) => text,
            Err(bad) => {
                let (good, _) = row.split_at(bad.valid_up_to());
                self.cells.split(&String::from_utf8_lossy(good));
                let column = letters(self.cells.count.saturating_sub(1));
                let why =
                    format!("it is not UTF-8 in column {column} (byte {} of the row); save the file as UTF-8", good.len() + 1);
                reader.fault(Fault::whole(why));
                return true;
            }
        };
        self.learn(reader, heading);
        self.cells.split(text);
        if self.cells.count != heading.columns.len() {
            if self.cells.iter(text).all(|cell| cell.trim().is_empty()) {
                return false;
            }
            let (count, expected) = (self.cells.count, heading.columns.len());
            let cells = if count == 1 { "1 cell".to_owned() } else { format!("{count} cells") };
            let way_out = if count < expected {
                "an empty cell needs its comma too"
            } else {
                "a comma inside a cell needs quotation marks round the cell"
            };
            reader.fault(Fault::whole(format!("it has {cells} and the heading has {expected}; {way_out}")));
            return true;
        }
        let mut blank = true;
        for ((cell, column), &name) in self.cells.iter(text).zip(&heading.columns).zip(&self.names) {
            if cell.is_empty() || cell.trim_ascii_start().is_empty() {
                continue;
            }
            blank = false;
            let before = reader.faults_so_far();
            if reader.uses(name, cell) {
                reader.value(name, cell);
            }
            if reader.faults_so_far() > before {
                reader.name_column(before, &column.letters);
            }
        }
        !blank
    }

    /// Looks the columns' names up once for each heading.
    fn learn(&mut self, reader: &mut RecordReader, heading: &Heading) {
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
}

#[cfg(test)]
mod tests {
    use super::{Cells, letters};

    #[test]
    fn columns_are_named_as_in_a_sheet() {
        for (at, name) in [(0, "A"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")] {
            assert_eq!(letters(at), name);
        }
    }

    /// The cases of RFC 4180, section 2, and the blank cells it leaves open.
    #[test]
    fn cells_as_rfc_4180_has_them() {
        for (row, expected) in [
            ("aaa,bbb,ccc", vec!["aaa", "bbb", "ccc"]),
            ("\"aaa\",\"b\nbb\",\"ccc\"", vec!["aaa", "b\nbb", "ccc"]),
            ("\"aaa\",\"b\"\"bb\",\"ccc\"", vec!["aaa", "b\"bb", "ccc"]),
            ("\"a,a\",,", vec!["a,a", "", ""]),
            (",,", vec!["", "", ""]),
            ("\"\"", vec![""]),
            ("a\"b,c", vec!["a\"b", "c"]),
            ("\"ü\",é", vec!["ü", "é"]),
        ] {
            let mut cells = Cells::default();
            cells.split(row);
            assert_eq!(cells.iter(row).collect::<Vec<_>>(), expected, "{row}");
            assert_eq!(cells.count, expected.len(), "{row}");
        }
    }
}
