//! The safe fixes of a rulebook, made in its file, which is written whole or not at all.

use std::io::Write;
use std::path::Path;

use purfle_lang::mend::{Mended, Stuck, mend as mended};
use purfle_lang::span::FileId;

use crate::cli::diagnostics::{Lines, Position};
use crate::cli::output::Output;
use crate::load::{Loaded, load_text};
use crate::records::Unusable;

/// The rulebook itself. What it is built on is never written to.
const OWN: FileId = FileId(0);

/// What came of mending one rulebook.
pub struct Mending {
    /// The fixes made, in the order of the mended file.
    pub made: Vec<Made>,
    /// Why nothing was mended, although something could be.
    pub stuck: Option<String>,
    /// How many diagnostics are left that have a fix, none of them a safe one.
    pub left: usize,
    /// The rulebooks it is built on that have safe fixes of their own, and how many.
    pub elsewhere: Vec<(String, usize)>,
}

/// One fix that was made.
pub struct Made {
    /// What it mended.
    pub slug: &'static str,
    /// What it does.
    pub title: String,
    /// Where, in the mended file.
    pub at: Position,
}

/// Mends a rulebook in its file. What is handed back is the rulebook as the file now has it.
pub fn mend(name: &str, loaded: Loaded) -> Result<(Loaded, Mending), Unusable> {
    let Some(own) = loaded.sources.first() else { return Ok((loaded, Mending::nothing())) };
    let read = |text: &str| {
        let mut loaded = load_text(name, text.to_owned());
        loaded.proof();
        loaded
    };
    let mut last = None;
    let result = mended(OWN, &own.text, &loaded.diagnostics, |text| {
        let loaded = read(text);
        let told = loaded.diagnostics.clone();
        last = Some(loaded);
        told
    });
    match result {
        Ok(Mended { text, mends }) => {
            let Some(after) = last.filter(|_| text != own.text) else {
                let mending = Mending::after(Vec::new(), &loaded);
                return Ok((loaded, mending));
            };
            write(name, &text).map_err(|why| Unusable::new(name, format!("it cannot be mended: {why}")))?;
            let lines = Lines::new(&text);
            let made = mends.into_iter().map(|mend| Made { slug: mend.slug, title: mend.title, at: lines.position(mend.at) });
            let mending = Mending::after(made.collect(), &after);
            Ok((after, mending))
        }
        Err(stuck) => {
            let why = match stuck {
                Stuck::Unsettled { title } => {
                    format!("the fixes do not come to an end; after all of them \"{title}\" was still to be made")
                }
                Stuck::NewError { title, error } => format!("\"{title}\" would bring a new error: {}", error.says),
            };
            let mending = Mending { stuck: Some(why), ..Mending::after(Vec::new(), &loaded) };
            Ok((loaded, mending))
        }
    }
}

impl Mending {
    fn nothing() -> Self {
        Self { made: Vec::new(), stuck: None, left: 0, elsewhere: Vec::new() }
    }

    /// What was made, and what is left in the rulebook.
    fn after(made: Vec<Made>, loaded: &Loaded) -> Self {
        let mut elsewhere = vec![0; loaded.sources.len()];
        let mut left = 0;
        for diagnostic in &loaded.diagnostics {
            let safe = diagnostic.fixes.iter().any(|fix| fix.safe);
            match usize::from(diagnostic.span.file.0) {
                0 if !safe && !diagnostic.fixes.is_empty() => left += 1,
                0 => {}
                file => elsewhere.iter_mut().skip(file).take(1).for_each(|count| *count += usize::from(safe)),
            }
        }
        let named = loaded.sources.iter().zip(elsewhere).filter(|(_, count)| *count > 0);
        let elsewhere = named.map(|(source, count)| (source.name.clone(), count)).collect();
        Self { made, stuck: None, left, elsewhere }
    }
}

/// Writes a file anew, with the rights it had. A name that only points at a file goes on pointing at it.
fn write(name: &str, text: &str) -> Result<(), String> {
    let path = Path::new(name).canonicalize().map_err(|error| error.to_string())?;
    let permissions = std::fs::metadata(&path).map_err(|error| error.to_string())?.permissions();
    if permissions.readonly() {
        return Err("it may only be read; ask whoever owns it".to_owned());
    }
    let mut output = Output::open(Some(&path), true)?;
    let written = (|| {
        output.write_all(text.as_bytes())?;
        if let Output::File { written, .. } = &output {
            written.get_ref().as_file().set_permissions(permissions)?;
        }
        output.keep()
    })();
    written.map_err(|error: std::io::Error| error.to_string())
}
