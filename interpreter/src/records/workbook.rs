//! Spreadsheets (XLSX and ODS): one sheet of a workbook, its rows kept in a file without a name until they are read.
//!
//! Everything is read, hidden or not: a filter or a folded column hides what somebody wrote, and does not take it back.
//! Numbers are as they were entered, not as they are rounded on screen, with the unit or the per cent that the cell
//! shows; dates are dates; of a formula its saved answer counts.

mod archive;
mod number;
mod ods;
mod sheets;
mod sink;
mod xlsx;

use std::fs::File;
use std::io::{self, Seek};

use archive::{Kind, look_through};
use sheets::Sheets;
use sink::Sink;

/// The rows of the sheet that was chosen.
pub struct Kept {
    /// The name of the sheet.
    pub sheet: String,
    /// Its rows, as [`super::cells`] writes them.
    pub rows: File,
}

/// Why a workbook cannot be used.
pub enum Failed {
    /// The machine failed, not the workbook.
    Machine(io::Error),
    /// One sentence about the file.
    Unusable(String),
}

impl From<io::Error> for Failed {
    fn from(error: io::Error) -> Self {
        Self::Machine(error)
    }
}

impl From<String> for Failed {
    fn from(why: String) -> Self {
        Self::Unusable(why)
    }
}

/// What a workbook is told that its own parts contradict.
fn broken(error: impl std::fmt::Display) -> Failed {
    Failed::Unusable(format!("it cannot be read as a spreadsheet: {error}; open it in a spreadsheet program and save it anew"))
}

/// Whether a file that begins so may be a workbook.
pub fn is_archive(beginning: &[u8]) -> bool {
    beginning.starts_with(b"PK\x03\x04")
}

/// Why a file that begins so is no workbook of a kind that is read; none where it may be one, or is none at all.
pub fn other_kind(beginning: &[u8]) -> Option<&'static str> {
    if beginning.starts_with(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1") {
        return Some(
            "it is an old spreadsheet (.xls), or one locked by a password; open it, and save it as .xlsx or .ods without a password",
        );
    }
    let text = beginning.trim_ascii_start();
    let markup = [&b"<?xml"[..], b"<html", b"<!doc"].iter().any(|start| {
        let head = text.get(..start.len());
        head.is_some_and(|head| head.eq_ignore_ascii_case(start))
    });
    markup.then_some(
        "it is XML or a web page, whatever its name says; open it in a spreadsheet program and save it as .xlsx, .ods or CSV",
    )
}

/// Splits the name of a file into the file and the sheet that is named after it: `records.xlsx#Cellos`.
pub fn split_name(name: &str) -> Option<(&str, &str)> {
    let lower = name.to_ascii_lowercase();
    [".xlsx#", ".ods#"].into_iter().filter_map(|mark| lower.rfind(mark).map(|at| at + mark.len())).max().map(|end| {
        let (file, sheet) = name.split_at(end);
        (file.strip_suffix('#').unwrap_or(file), sheet)
    })
}

/// Reads the sheet called `wanted`, or the one that holds records, out of the workbook called `name`.
pub fn keep(mut file: File, name: &str, wanted: Option<&str>) -> Result<Kept, Failed> {
    let seen = look_through(&mut file)?;
    file.rewind()?;
    let mut sink = Sink::new()?;
    let sheets = Sheets { name, wanted };
    let sheet = match seen.kind {
        Kind::Xlsx => xlsx::read(file, &seen, &sheets, &mut sink)?,
        Kind::Ods => ods::read(file, &sheets, &mut sink)?,
    };
    Ok(Kept { sheet, rows: sink.finish()? })
}
