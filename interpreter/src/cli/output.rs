//! Where a report goes: the standard output, or a file that is written whole or not at all.

use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use tempfile::NamedTempFile;

use super::{Ending, complain};
use crate::absent_file::missing_folder;
use crate::records::Stopped;

/// What to say where a workbook has no file to go to.
pub const NEEDS_A_FILE: &str = "a workbook is no text: name the file it goes to, with --out FILE.xlsx";

/// A place that a report is written to.
pub enum Output {
    /// The standard output.
    Standard(BufWriter<io::Stdout>),
    /// A file; until it is kept, all of it lies in another one beside it.
    File {
        /// What is written so far.
        written: BufWriter<NamedTempFile>,
        /// Where it will be.
        path: PathBuf,
        /// Whether a file that is there may be replaced.
        force: bool,
    },
}

impl Output {
    /// Opens the standard output, or a file. A file that is there already is left alone unless `force` is set.
    pub fn open(path: Option<&Path>, force: bool) -> Result<Self, String> {
        let Some(path) = path else {
            return Ok(Self::Standard(BufWriter::with_capacity(1 << 16, io::stdout())));
        };
        if path.is_dir() {
            return Err(format!("{}: it is a folder; name a file in it", path.display()));
        }
        if !force && path.exists() {
            return Err(format!("{}: there is such a file already; name another, or add --force to replace it", path.display()));
        }
        if let Some(folder) = missing_folder(path) {
            return Err(format!("{}: there is no folder {folder}; make it first, or name another one", path.display()));
        }
        let file = beside(path).map_err(|error| format!("{}: it cannot be written: {error}", path.display()))?;
        Ok(Self::File { written: BufWriter::with_capacity(1 << 16, file), path: path.to_owned(), force })
    }

    /// Whether the report goes to a terminal.
    pub fn is_terminal(&self) -> bool {
        match self {
            Self::Standard(_) => io::IsTerminal::is_terminal(&io::stdout()),
            Self::File { .. } => false,
        }
    }

    /// Puts the whole report in its place.
    pub fn keep(self) -> io::Result<()> {
        match self {
            Self::Standard(mut out) => out.flush(),
            Self::File { written, path, force } => {
                let file = written.into_inner().map_err(io::IntoInnerError::into_error)?;
                file.as_file().sync_all()?;
                let kept = if force { file.persist(&path) } else { file.persist_noclobber(&path) };
                kept.map(drop).map_err(|error| error.error)
            }
        }
    }
}

/// Where a report goes.
#[derive(Debug, Args)]
pub struct Destination {
    /// Write it to a file, whole or not at all
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Replace the file of --out if there is one
    #[arg(long, requires = "out")]
    force: bool,
}

impl Destination {
    /// Whether it is a file.
    pub fn is_file(&self) -> bool {
        self.out.is_some()
    }

    /// What to say where the file is named like another form of the report than the one that is asked for.
    pub fn named_otherwise<F: ValueEnum + PartialEq>(&self, form: F) -> Option<String> {
        let path = self.out.as_deref()?;
        let ending = path.extension()?.to_str()?.to_lowercase();
        let asked = form.to_possible_value()?;
        let meant = F::value_variants().iter().filter(|other| **other != form).filter_map(ValueEnum::to_possible_value);
        let meant = meant.map(|other| other.get_name().to_owned()).find(|other| *other == ending)?;
        let asked = asked.get_name();
        Some(format!(
            "{}: it is named like {meant}, and the report is {asked}; add --as {meant}, or name it otherwise",
            path.display()
        ))
    }

    /// Opens it; none, and why not said, where that fails.
    pub fn opened(&self) -> Option<Output> {
        opened(self.out.as_deref(), self.force)
    }
}

/// Opens the standard output, or a file, as [`Output::open`] does; none, and why not said, where that fails.
pub fn opened(path: Option<&Path>, force: bool) -> Option<Output> {
    Output::open(path, force).map_err(|why| complain(&why)).ok()
}

/// Puts the report in its place unless nothing came of the run, and says why where that stopped.
pub fn ended(came: Result<Ending, Stopped>, output: Output) -> io::Result<Ending> {
    match came {
        Ok(Ending::Unusable) => Ok(Ending::Unusable),
        Ok(ending) => output.keep().map(|()| ending),
        Err(Stopped::Output(error)) => Err(error),
        Err(Stopped::Input(unusable)) => {
            complain(&unusable.to_string());
            Ok(Ending::Unusable)
        }
    }
}

/// A new file beside another one.
fn beside(path: &Path) -> io::Result<NamedTempFile> {
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut file = tempfile::Builder::new();
    // Whoever may read and write files that this user makes may do so with this one.
    #[cfg(unix)]
    file.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    file.tempfile_in(folder)
}

/// Writes a file that is there anew, whole or not at all. It stays where its name leads, and whoever might read and
/// write it still may.
pub fn rewrite(path: &Path, text: &str) -> Result<(), String> {
    let failed = |error: io::Error| match error.kind() {
        io::ErrorKind::PermissionDenied => "its folder may not be written to; ask whoever owns it".to_owned(),
        _ => format!("it cannot be written: {error}"),
    };
    let path = path.canonicalize().map_err(failed)?;
    let about = path.metadata().map_err(failed)?;
    if !about.is_file() {
        return Err("it is no ordinary file, and cannot be replaced".to_owned());
    }
    if about.permissions().readonly() {
        return Err("it may only be read; allow writing to it first".to_owned());
    }
    let mut file = beside(&path).map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)?;
    file.as_file().set_permissions(about.permissions()).map_err(failed)?;
    file.as_file().sync_all().map_err(failed)?;
    file.persist(&path).map(drop).map_err(|error| failed(error.error))
}

impl Write for Output {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        match self {
            Self::Standard(out) => out.write(bytes),
            Self::File { written, .. } => written.write(bytes),
        }
    }

    fn flush(&mut self) -> io::Result<()> {
        match self {
            Self::Standard(out) => out.flush(),
            Self::File { written, .. } => written.flush(),
        }
    }
}
