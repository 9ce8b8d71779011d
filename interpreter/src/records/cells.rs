//! Rows of a sheet as they wait to be read: each cell with its column, empty ones left out.

use std::fs::File;
use std::io::{self, BufReader, Read, Write};

use super::heading::{Heading, Names, take};
use super::reader::RecordReader;
use super::window::{BLOCK, Cut, LONGEST_RECORD, Piece, too_long};

/// One cell that is not empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cell<'a> {
    /// Its text, as a person would have written it.
    Text(&'a str),
    /// It cannot be read; why, as a sentence about the cell.
    Bad(&'a str),
}

/// Set in a column's number where the cell is bad. Columns are fewer than that.
const BAD: u16 = 1 << 15;

/// Lays one more cell behind the others of its row.
pub fn push(row: &mut Vec<u8>, column: u16, cell: Cell<'_>) {
    let (mark, text) = match cell {
        Cell::Text(text) => (0, text),
        Cell::Bad(why) => (BAD, why),
    };
    row.extend_from_slice(&(column | mark).to_le_bytes());
    row.extend_from_slice(&(text.len() as u32).to_le_bytes());
    row.extend_from_slice(text.as_bytes());
}

/// The cells of a row, with their columns counted from 0.
pub fn cells(mut row: &[u8]) -> impl Iterator<Item = (usize, Cell<'_>)> {
    std::iter::from_fn(move || {
        let (column, rest) = row.split_first_chunk::<2>()?;
        let (length, rest) = rest.split_first_chunk::<4>()?;
        let (text, rest) = rest.split_at_checked(u32::from_le_bytes(*length) as usize)?;
        row = rest;
        let column = u16::from_le_bytes(*column);
        let text = std::str::from_utf8(text).unwrap_or_default();
        let cell = if column & BAD == 0 { Cell::Text(text) } else { Cell::Bad(text) };
        Some((usize::from(column & !BAD), cell))
    })
}

/// Writes one row to where it waits.
pub fn write(out: &mut impl Write, number: u32, row: &[u8]) -> io::Result<()> {
    out.write_all(&number.to_le_bytes())?;
    out.write_all(&(row.len() as u32).to_le_bytes())?;
    out.write_all(row)
}

/// Rows that were written, from the first one on.
pub struct Waiting {
    read: BufReader<File>,
}

impl Waiting {
    /// Rows that stand in a file from where it is now.
    pub fn new(file: File) -> Self {
        Self { read: BufReader::with_capacity(1 << 16, file) }
    }

    /// Adds the next row to `bytes` and returns its number in the sheet; none where there is no more.
    pub fn next_row(&mut self, bytes: &mut Vec<u8>) -> io::Result<Option<u32>> {
        let mut word = [0; 4];
        match self.read.read_exact(&mut word) {
            Err(error) if error.kind() == io::ErrorKind::UnexpectedEof => return Ok(None),
            read => read?,
        }
        let number = u32::from_le_bytes(word);
        self.read.read_exact(&mut word)?;
        (&mut self.read).take(u64::from(u32::from_le_bytes(word))).read_to_end(bytes)?;
        Ok(Some(number))
    }
}

impl Cut for Waiting {
    fn next_block(&mut self) -> io::Result<Option<(Vec<u8>, Vec<Piece>)>> {
        let (mut bytes, mut pieces) = (Vec::with_capacity(BLOCK + BLOCK / 4), Vec::with_capacity(BLOCK / 128));
        while bytes.len() < BLOCK {
            let start = bytes.len();
            let Some(number) = self.next_row(&mut bytes)? else { break };
            let text = if bytes.len() - start > LONGEST_RECORD { Err(too_long()) } else { Ok(start..bytes.len()) };
            pieces.push(Piece { row: u64::from(number), text });
        }
        Ok((!pieces.is_empty()).then_some((bytes, pieces)))
    }
}

/// Reads rows under a heading into records.
#[derive(Default)]
pub struct CellReader {
    names: Names,
}

impl CellReader {
    /// Adds the cells of one row to the record at hand.
    pub fn read(&mut self, reader: &mut RecordReader, heading: &Heading, row: &[u8]) {
        self.names.learn(reader, heading);
        for (column, cell) in cells(row) {
            let name = self.names.of(reader, column);
            match cell {
                Cell::Text(text) => take(reader, name, column, text),
                // Under no heading nobody can have meant an answer.
                Cell::Bad(_) if heading.columns.get(column).is_none_or(|column| column.text.is_empty()) => {}
                Cell::Bad(why) => {
                    let before = reader.faults_so_far();
                    if reader.uses(name, "") {
                        reader.field_fault(name, "", why);
                    }
                    reader.name_column(before, &super::heading::letters(column));
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Cell, cells, push};

    #[test]
    fn cells_come_back_as_they_were_laid_down() {
        let laid = [(0, Cell::Text("AR-001")), (3, Cell::Bad("why not")), (16_383, Cell::Text("ü\0\n")), (4, Cell::Text(""))];
        let mut row = Vec::new();
        for (column, cell) in laid {
            push(&mut row, column, cell);
        }
        let expected: Vec<(usize, Cell)> = laid.iter().map(|(column, cell)| (usize::from(*column), *cell)).collect();
        assert_eq!(cells(&row).collect::<Vec<_>>(), expected);
        for end in 0..row.len() {
            assert!(cells(&row[..end]).count() < laid.len());
        }
    }
}
