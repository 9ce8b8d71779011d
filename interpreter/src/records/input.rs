//! Files of records, opened: what they are written in, and whether they can be used at all.

use std::fmt;
use std::fs::File;
use std::io::{self, Read, Seek};
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

use purfle_lang::book::Book;

use super::cells::{Cell, Waiting, cells};
use super::elements::Elements;
use super::format::Format;
use super::heading::{Heading, letters};
use super::lines::Lines;
use super::rows::Rows;
use super::window::{Block, Cut, Kind, Window};
use super::{csv, workbook};
use crate::absent_file::no_such_file;

/// How much of a file is looked at to tell its format.
const BEGINNING: u64 = 64 * 1024;

/// The largest workbook that is opened, packed as it is.
const LARGEST_WORKBOOK: u64 = 256 << 20;

/// Why a file without anything in it cannot be used.
const EMPTY: &str = "it is empty; save the records again, or name another file";

/// The name that stands for the standard input.
pub const STANDARD_INPUT: &str = "-";

/// A file of records, named on the command line.
pub struct Input {
    name: Arc<str>,
    from: From,
    /// The sheet that is named behind the file, where it is a workbook.
    sheet: Option<String>,
    /// The rows of a workbook, once it was opened.
    rows: OnceLock<SheetRows>,
}

/// The rows of the sheet of a workbook that is read.
struct SheetRows {
    /// The file and the sheet: `records.xlsx#Cellos`.
    name: Arc<str>,
    rows: File,
}

enum From {
    /// An ordinary file, which can be read again.
    Path(PathBuf),
    /// Something that can be read once only, such as the standard input.
    Once,
    /// What could be read once only, kept in a file without a name.
    Kept(File),
}

/// A file that cannot be used, and why.
#[derive(Debug)]
pub struct Unusable {
    /// The file, as given on the command line.
    pub file: String,
    /// One sentence each.
    pub why: Vec<String>,
}

impl Unusable {
    /// A file that cannot be used for one reason.
    pub fn new(file: &str, why: impl Into<String>) -> Self {
        Self { file: file.to_owned(), why: vec![why.into()] }
    }

    /// A file that the machine could not read.
    pub fn io(file: &str, error: &io::Error) -> Self {
        let why = match error.kind() {
            io::ErrorKind::NotFound => no_such_file(Path::new(file)),
            io::ErrorKind::PermissionDenied => "it may not be read; ask whoever owns it".to_owned(),
            io::ErrorKind::IsADirectory => "it is a folder; name the files in it".to_owned(),
            _ => format!("it cannot be read: {error}"),
        };
        Self::new(file, why)
    }
}

impl fmt::Display for Unusable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.why.as_slice() {
            [only] => write!(f, "{}: {only}", self.file),
            many => {
                write!(f, "{}:", self.file)?;
                many.iter().try_for_each(|why| write!(f, "\n  {why}"))
            }
        }
    }
}

impl std::error::Error for Unusable {}

/// A file, opened and ready to be cut into blocks.
pub struct Opened {
    name: Arc<str>,
    kind: Kind,
    cut: Box<dyn Cut>,
}

impl Input {
    /// A file by its name on the command line. Where `again` is set it will be read more than once, so what can be
    /// read only once is copied to a file without a name first.
    pub fn new(name: &str, again: bool) -> Result<Self, Unusable> {
        let failed = |error: io::Error| Unusable::io(name, &error);
        let whole = PathBuf::from(name);
        let (path, sheet) = match workbook::split_name(name) {
            Some((file, sheet)) if !whole.exists() => (PathBuf::from(file), Some(sheet.to_owned())),
            _ => (whole, None),
        };
        let ordinary = name != STANDARD_INPUT && {
            let about = std::fs::metadata(&path).map_err(failed)?;
            if about.is_dir() {
                return Err(Unusable::new(name, "it is a folder; name the files in it"));
            }
            about.is_file()
        };
        let from = match (ordinary, again) {
            (true, _) => From::Path(path),
            (false, false) => From::Once,
            (false, true) => {
                let mut kept = tempfile::tempfile().map_err(failed)?;
                io::copy(&mut once(name).map_err(failed)?, &mut kept).map_err(failed)?;
                From::Kept(kept)
            }
        };
        Ok(Self { name: name.into(), from, sheet, rows: OnceLock::new() })
    }

    /// The file, as given on the command line.
    pub fn name(&self) -> &Arc<str> {
        &self.name
    }

    /// Looks whether the file can be used, as far as that can be told without using it up.
    pub fn check(&self, book: &Book) -> Result<(), Unusable> {
        match self.from {
            From::Once => Ok(()),
            From::Path(_) | From::Kept(_) => self.open(book).map(drop),
        }
    }

    /// Opens the file and tells its format.
    pub fn open(&self, book: &Book) -> Result<Opened, Unusable> {
        if let Some(rows) = self.rows.get() {
            return rows.open(book);
        }
        let failed = |error: io::Error| Unusable::io(&self.name, &error);
        let unusable = |why: &str| Unusable::new(&self.name, why);
        let mut read: Box<dyn Read + Send> = match &self.from {
            From::Path(path) => Box::new(File::open(path).map_err(failed)?),
            From::Once => once(&self.name).map_err(failed)?,
            From::Kept(file) => {
                let mut file = file.try_clone().map_err(failed)?;
                file.rewind().map_err(failed)?;
                Box::new(file)
            }
        };
        let mut beginning = Vec::new();
        (&mut read).take(BEGINNING).read_to_end(&mut beginning).map_err(failed)?;
        if beginning.starts_with(b"\xef\xbb\xbf") {
            beginning.drain(..3);
        }
        if beginning.trim_ascii().is_empty() && (beginning.len() as u64) < BEGINNING - 3 {
            return Err(unusable(EMPTY));
        }
        if workbook::is_archive(&beginning) {
            let file = self.whole(read, &beginning)?;
            let rows = self.unpack(file)?;
            return self.rows.get_or_init(|| rows).open(book);
        }
        if let Some(why) = workbook::other_kind(&beginning) {
            return Err(unusable(why));
        }
        if let Some(sheet) = &self.sheet {
            return Err(unusable(&format!("it is no spreadsheet, so it has no sheet `{sheet}`")));
        }
        if beginning.starts_with(b"\xff\xfe") || beginning.starts_with(b"\xfe\xff") {
            return Err(unusable("it is UTF-16; save it as UTF-8"));
        }
        let format = Format::of(&self.name, &beginning);
        let window = Window::new(read, beginning);
        let (kind, cut): (Kind, Box<dyn Cut>) = match format {
            Format::JsonLines => (Kind::Json, Box::new(Lines::new(window))),
            Format::JsonArray => (Kind::Json, Box::new(Elements::new(window, true))),
            Format::Json => (Kind::Json, Box::new(Elements::new(window, false))),
            Format::Csv => {
                let mut rows = Rows::new(window);
                let row = rows.next_row().map_err(failed)?.ok_or_else(|| unusable(EMPTY))?;
                let row = row.map_err(|why| Unusable::new(&self.name, format!("its heading cannot be read: {why}")))?;
                let heading = csv::heading(book, &row).map_err(|why| Unusable { file: self.name.to_string(), why })?;
                (Kind::Row(Arc::new(heading)), Box::new(rows))
            }
        };
        Ok(Opened { name: Arc::clone(&self.name), kind, cut })
    }

    /// The whole of a workbook as a file that can be read to and fro.
    fn whole(&self, mut rest: Box<dyn Read + Send>, beginning: &[u8]) -> Result<File, Unusable> {
        let failed = |error: io::Error| Unusable::io(&self.name, &error);
        match &self.from {
            From::Path(path) => File::open(path).map_err(failed),
            From::Kept(file) => file.try_clone().map_err(failed),
            From::Once => {
                let mut file = tempfile::tempfile().map_err(failed)?;
                io::Write::write_all(&mut file, beginning).map_err(failed)?;
                io::copy(&mut (&mut rest).take(LARGEST_WORKBOOK), &mut file).map_err(failed)?;
                Ok(file)
            }
        }
    }

    /// Reads the sheet of a workbook.
    fn unpack(&self, file: File) -> Result<SheetRows, Unusable> {
        let failed = |error: io::Error| Unusable::io(&self.name, &error);
        if file.metadata().map_err(failed)?.len() > LARGEST_WORKBOOK {
            return Err(Unusable::new(
                &self.name,
                format!("it is larger than {} MiB, and no season's workbook is", LARGEST_WORKBOOK >> 20),
            ));
        }
        let name = self.sheet.as_ref().and_then(|sheet| self.name.strip_suffix(sheet)?.strip_suffix('#')).unwrap_or(&self.name);
        match workbook::keep(file, name, self.sheet.as_deref()) {
            Ok(kept) => Ok(SheetRows { name: format!("{name}#{}", kept.sheet).into(), rows: kept.rows }),
            Err(workbook::Failed::Machine(error)) => Err(failed(error)),
            Err(workbook::Failed::Unusable(why)) => Err(Unusable::new(name, why)),
        }
    }
}

impl SheetRows {
    /// Opens the rows from the first one, the heading, on.
    fn open(&self, book: &Book) -> Result<Opened, Unusable> {
        let failed = |error: io::Error| Unusable::io(&self.name, &error);
        let mut file = self.rows.try_clone().map_err(failed)?;
        file.rewind().map_err(failed)?;
        let mut rows = Waiting::new(file);
        let mut first = Vec::new();
        if rows.next_row(&mut first).map_err(failed)?.is_none() {
            return Err(Unusable::new(&self.name, EMPTY));
        }
        let mut texts = Vec::new();
        let mut why = Vec::new();
        for (column, cell) in cells(&first) {
            match cell {
                Cell::Text(text) => {
                    texts.resize(texts.len().max(column + 1), String::new());
                    text.clone_into(&mut texts[column]);
                }
                Cell::Bad(bad) => why.push(format!("column {}, in the heading: {bad}", letters(column))),
            }
        }
        let heading = if why.is_empty() { Heading::new(book, texts.into_iter()) } else { Err(why) };
        let heading = heading.map_err(|why| Unusable { file: self.name.to_string(), why })?;
        Ok(Opened { name: Arc::clone(&self.name), kind: Kind::Cells(Arc::new(heading)), cut: Box::new(rows) })
    }
}

fn once(name: &str) -> io::Result<Box<dyn Read + Send>> {
    Ok(if name == STANDARD_INPUT { Box::new(io::stdin()) } else { Box::new(File::open(name)?) })
}

impl Opened {
    /// The next block of the file; none at its end.
    pub fn next_block(&mut self) -> Result<Option<Block>, Unusable> {
        match self.cut.next_block() {
            Ok(cut) => Ok(cut.map(|(bytes, pieces)| {
                let (file, bytes) = (Arc::clone(&self.name), Arc::new(bytes));
                Block { file, kind: self.kind.clone(), bytes, pieces }
            })),
            Err(error) => Err(Unusable::io(&self.name, &error)),
        }
    }
}
