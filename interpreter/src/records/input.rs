//! Files of records, opened: what they are written in, and whether they can be used at all.

use std::fmt;
use std::fs::File;
use std::io::{self, Read, Seek};
use std::path::PathBuf;
use std::sync::Arc;

use purfle_lang::book::Book;

use super::csv::Heading;
use super::elements::Elements;
use super::format::Format;
use super::lines::Lines;
use super::rows::Rows;
use super::window::{Block, Cut, Kind, Window};

/// How much of a file is looked at to tell its format.
const BEGINNING: u64 = 64 * 1024;

/// Why a file without anything in it cannot be used.
const EMPTY: &str = "it is empty; save the records again, or name another file";

/// The name that stands for the standard input.
pub const STANDARD_INPUT: &str = "-";

/// A file of records, named on the command line.
pub struct Input {
    name: Arc<str>,
    from: From,
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
            io::ErrorKind::NotFound => "there is no such file".to_owned(),
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
        let path = PathBuf::from(name);
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
        Ok(Self { name: name.into(), from })
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
        if beginning.starts_with(b"PK\x03\x04") {
            return Err(unusable("it is a spreadsheet or an archive; save the sheet as CSV (UTF-8)"));
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
                let heading = Heading::parse(book, &row).map_err(|why| Unusable { file: self.name.to_string(), why })?;
                (Kind::Row(Arc::new(heading)), Box::new(rows))
            }
        };
        Ok(Opened { name: Arc::clone(&self.name), kind, cut })
    }
}

fn once(name: &str) -> io::Result<Box<dyn Read + Send>> {
    Ok(if name == STANDARD_INPUT { Box::new(io::stdin()) } else { Box::new(File::open(name)?) })
}

impl Opened {
    /// The next block of the file; none at its end.
    pub fn next_block(&mut self) -> Result<Option<Block>, Unusable> {
        match self.cut.next_block() {
            Ok(cut) => {
                Ok(cut.map(|(bytes, pieces)| Block { file: Arc::clone(&self.name), kind: self.kind.clone(), bytes, pieces }))
            }
            Err(error) => Err(Unusable::io(&self.name, &error)),
        }
    }
}
