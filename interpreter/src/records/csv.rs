//! CSV: rows cut into cells, and read under their heading.

use purfle_lang::book::Book;

use super::heading::{Heading, Names, letters, take};
use super::reader::RecordReader;
use super::refused::Fault;
use super::window::LONGEST_RECORD;

/// What to do about a file that is not UTF-8.
const SAVE_AS: &str = "save the file as UTF-8, which spreadsheets call `CSV UTF-8`, or as a workbook";

/// Understands the first row of a file.
pub fn heading(book: &Book, row: &[u8]) -> Result<Heading, Vec<String>> {
    let text = std::str::from_utf8(row)
        .map_err(|bad| vec![format!("its heading is not UTF-8 (byte {}); {SAVE_AS}", bad.valid_up_to() + 1)])?;
    if text.contains('\r') {
        return Err(vec!["its lines end in bare carriage returns; save it again with ordinary line ends".to_owned()]);
    }
    let mut cells = Cells::default();
    cells.split(text);
    Heading::new(book, cells.iter(text).map(str::to_owned))
}

/// The cells of one row, found without copying where nothing is quoted.
pub struct Cells {
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
    /// Finds the cells of a row.
    pub fn split(&mut self, row: &str) {
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

    /// The cells of the row that was split last.
    pub fn iter<'a>(&'a self, row: &'a str) -> impl Iterator<Item = &'a str> {
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
    names: Names,
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
                let why = format!("it is not UTF-8 in column {column} (byte {} of the row); {SAVE_AS}", good.len() + 1);
                reader.fault(Fault::whole(why));
                return true;
            }
        };
        self.names.learn(reader, heading);
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
        for (column, cell) in self.cells.iter(text).enumerate() {
            if cell.is_empty() || cell.trim_ascii_start().is_empty() {
                continue;
            }
            blank = false;
            let name = self.names.of(reader, column);
            take(reader, name, column, cell);
        }
        !blank
    }
}

#[cfg(test)]
mod tests {
    use super::Cells;

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
