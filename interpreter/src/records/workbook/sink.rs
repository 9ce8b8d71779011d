//! Takes the cells of one sheet, row by row, and keeps them in a file without a name, within bounds.

use std::fs::File;
use std::io::{self, BufWriter, Seek, Write};

use super::super::cells::{Cell, push, write};
use super::Failed;

/// The most cells of one sheet that are read, empty ones not counted.
const MOST_CELLS: u64 = 10_000_000;

/// The most columns and rows that a sheet has.
pub const MOST_COLUMNS: usize = 16_384;
/// The same for rows.
pub const MOST_ROWS: u32 = 1_048_576;

/// The most bytes that are kept of one sheet.
const MOST_BYTES: u64 = 1 << 30;

/// Why a cell that is merged with another one says nothing.
const MERGED: &str = "the cell is merged with another one, so whom its answer is for is open; undo the merge, and write the answer in every cell it is for";

/// Why a formula says nothing.
pub const UNSAVED: &str = "it is a formula whose answer was never saved; open the file in a spreadsheet program and save it";

/// Where the rows go.
pub struct Sink {
    out: BufWriter<File>,
    row: Vec<u8>,
    number: u32,
    merged: Vec<u16>,
    any: bool,
    cells: u64,
    bytes: u64,
}

impl Sink {
    /// Nothing taken yet.
    pub fn new() -> io::Result<Self> {
        let out = BufWriter::with_capacity(1 << 16, tempfile::tempfile()?);
        Ok(Self { out, row: Vec::new(), number: 0, merged: Vec::new(), any: false, cells: 0, bytes: 0 })
    }

    /// Goes on with the row of that number, from 1; rows come in order.
    pub fn begin(&mut self, number: u32) -> Result<(), Failed> {
        if number == self.number {
            return Ok(());
        }
        self.end()?;
        if number < self.number || number > MOST_ROWS {
            return Err(super::broken(format!("row {number} stands where no such row can")));
        }
        self.number = number;
        Ok(())
    }

    /// Takes a cell of the row at hand, its column counted from 0. A text of spaces is empty.
    pub fn take(&mut self, column: usize, cell: Cell<'_>) -> Result<(), Failed> {
        if matches!(cell, Cell::Text(text) if text.trim_ascii_start().is_empty()) {
            return Ok(());
        }
        let column = self.column(column)?;
        self.cells += 1;
        if self.cells > MOST_CELLS {
            return Err(format!("it has more than {MOST_CELLS} cells in one sheet, and no season of inspections has").into());
        }
        push(&mut self.row, column, cell);
        self.any = true;
        Ok(())
    }

    /// Notes that a cell of the row at hand is merged into another one. It counts where the row has anything else.
    pub fn merged(&mut self, column: usize) -> Result<(), Failed> {
        let column = self.column(column)?;
        self.merged.push(column);
        Ok(())
    }

    fn column(&self, column: usize) -> Result<u16, Failed> {
        u16::try_from(column)
            .ok()
            .filter(|&column| usize::from(column) < MOST_COLUMNS)
            .ok_or_else(|| super::broken(format!("row {} has more than {MOST_COLUMNS} columns", self.number)))
    }

    fn end(&mut self) -> Result<(), Failed> {
        if std::mem::take(&mut self.any) {
            for column in self.merged.drain(..) {
                push(&mut self.row, column, Cell::Bad(MERGED));
            }
            self.bytes += self.row.len() as u64;
            if self.bytes > MOST_BYTES {
                return Err("it holds more than 1 GiB of text, and no season of inspections does".to_owned().into());
            }
            write(&mut self.out, self.number, &self.row)?;
        }
        self.merged.clear();
        self.row.clear();
        Ok(())
    }

    /// The file, rewound.
    pub fn finish(mut self) -> Result<File, Failed> {
        self.end()?;
        self.out.flush()?;
        let mut file = self.out.into_inner().map_err(io::IntoInnerError::into_error)?;
        file.rewind()?;
        Ok(file)
    }
}
