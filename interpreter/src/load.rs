//! Reads a rulebook and the rulebooks it is built on. Files of rulebooks are read here and nowhere else.

mod tied;

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use std::sync::Arc;

use purfle_lang::beside::beside;
use purfle_lang::book::Book;
use purfle_lang::check::check;
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::quiet::{Quieted, Sifted, quiet};
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::tree::{BuildsOn, Tree};
use purfle_lang::syntax::{Parsed, parse};

use crate::absent_file::no_such_file;
use crate::judge::Judge;
use crate::plan::Plan;
use crate::plan::build::TooFine;
use crate::records::{STANDARD_INPUT, Unusable};
use purfle_lang::finite::node::MOST_CELLS;
use tied::tied;

/// The largest rulebook that is read, in bytes.
const LARGEST: u64 = 16 << 20;

/// The most rulebooks that may be built on one another.
const LONGEST_CHAIN: usize = 16;

/// One text of a chain of rulebooks.
#[derive(Debug, Clone)]
pub struct SourceText {
    /// The file, as it was found.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// A rulebook with its parents, as far as they could be read.
#[derive(Debug)]
pub struct Loaded {
    /// The texts: the rulebook itself, its parent, and so on. A span's file is an index into this list.
    pub sources: Vec<SourceText>,
    /// What each of them says.
    pub trees: Vec<Tree>,
    /// The book; none where anything in the chain is in error.
    pub book: Option<Book>,
    /// Everything there is to tell, errors and warnings, in the order of the texts.
    pub diagnostics: Vec<Diagnostic>,
    /// Warnings that a comment quiets, with its reason.
    pub quieted: Vec<Quieted>,
}

impl Loaded {
    /// Whatever there is to tell of a rulebook: what reading it told, what making it ready tells, what can be proved, and
    /// last, over all of it, the quietings heard.
    pub fn proof(&mut self) {
        self.prove();
        self.hear();
    }

    /// Hears the comments that quiet warnings; once, when everything else is told.
    pub fn hear(&mut self) {
        let texts: Vec<&str> = self.sources.iter().map(|source| source.text.as_str()).collect();
        let Sifted { told, quieted } = quiet(&self.trees, &texts, std::mem::take(&mut self.diagnostics));
        (self.diagnostics, self.quieted) = (told, quieted);
    }

    /// How many errors there are.
    pub fn errors(&self) -> usize {
        self.diagnostics.iter().filter(|diagnostic| diagnostic.is_error()).count()
    }

    /// Makes the book ready, and adds all that can be proved about it to the diagnostics.
    pub fn prove(&mut self) {
        let Some(book) = &self.book else { return };
        let text = self.sources.first().map_or("", |source| source.text.as_str());
        let judged = || made_ready(&Arc::new(book.clone())).map(|mut judge| tied(book, &mut judge));
        // Neither needs the other, and each takes half the time.
        let (tied, mut found) = beside(judged, || check(book, text));
        match tied {
            Ok(tied) => found.extend(tied),
            Err(fine) => return self.too_fine(fine),
        }
        self.leave_to_parents(&mut found);
        self.diagnostics.extend(found);
        self.diagnostics.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
    }

    /// Leaves out what is told at a parent's lines and what the parent gives by itself as well: its author is told there.
    fn leave_to_parents(&self, found: &mut Vec<Diagnostic>) {
        let parents = self.trees.get(1..).unwrap_or_default();
        if parents.is_empty() || found.iter().all(|one| one.span.file == FileId::OWN) {
            return;
        }
        let (Some(parent), Some(source)) = (resolve(parents).book, self.sources.get(1)) else { return };
        let theirs = check(&parent, &source.text);
        let given =
            |one: &Diagnostic| theirs.iter().any(|told| (told.slug, told.span, &told.says) == (one.slug, one.span, &one.says));
        found.retain(|one| one.span.file == FileId::OWN || !given(one));
    }

    /// A judge by the book, ready for its first record; none where there is no book, or where it cannot be made ready:
    /// the diagnostics then say why.
    pub fn ready(&mut self) -> Option<Judge> {
        let book = Arc::new(self.book.clone()?);
        made_ready(&book).map_err(|fine| self.too_fine(fine)).ok()
    }

    /// Tells of a look that is too fine; there is no book then.
    fn too_fine(&mut self, TooFine { look }: TooFine) {
        let Some(book) = self.book.take() else { return };
        let says = format!(
            "`{}` is compared with more limits than can be kept apart: they cut it into more than {MOST_CELLS} pieces.",
            book.look_path(look)
        );
        let diagnostic = Diagnostic::error("too-fine", book[look].origin.span, says)
            .help("Round the limits, or give the tables that hold them fewer rows of their own.");
        self.diagnostics.push(diagnostic);
    }
}

/// A judge by a book, ready for its first record.
fn made_ready(book: &Arc<Book>) -> Result<Judge, TooFine> {
    let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
    judge.warm_up().map(|()| judge)
}

/// Where the texts of a chain of rulebooks come from, and how they are read.
pub trait Shelf {
    /// The text of the rulebook in a file, or why it cannot be used, as the end of a sentence.
    fn text(&mut self, path: &Path) -> Result<String, String>;

    /// What a text of the chain says.
    fn parsed(&mut self, file: FileId, text: &str) -> Parsed {
        parse(file, text)
    }
}

/// The files on the disk.
#[derive(Debug, Clone, Copy, Default)]
pub struct Disk;

impl Shelf for Disk {
    fn text(&mut self, path: &Path) -> Result<String, String> {
        read_text(path)
    }
}

/// Reads the rulebook in a file, and its parents beside it. What is wrong with the file itself is an error of its own;
/// everything else, a parent that cannot be read included, is a diagnostic.
pub fn load(name: &str) -> Result<Loaded, Unusable> {
    let text = named_text(name)?;
    Ok(load_text(name, text))
}

/// Reads a text as the rulebook in a file, and its parents beside that file.
pub fn load_text(name: &str, text: String) -> Loaded {
    Chain::follow(Path::new(name), text, &mut Disk).resolved()
}

/// A rulebook and those it builds on, read as far as the chain holds.
#[derive(Debug, Clone)]
pub struct Chain {
    /// The texts: the rulebook itself, its parent, and so on. A span's file is an index into this list.
    pub sources: Vec<SourceText>,
    /// Where each of them is.
    pub paths: Vec<PathBuf>,
    /// What each of them says.
    pub trees: Vec<Tree>,
    /// What is wrong with how they say it, and with the chain.
    pub diagnostics: Vec<Diagnostic>,
    /// Whether every rulebook that is built on was found. Where one was not, nearly every name would be unknown.
    pub whole: bool,
}

impl Chain {
    /// Reads a text as the rulebook in a file, and follows `builds on` from there.
    pub fn follow(path: &Path, text: String, shelf: &mut dyn Shelf) -> Self {
        let mut chain = Self { sources: Vec::new(), paths: Vec::new(), trees: Vec::new(), diagnostics: Vec::new(), whole: false };
        chain.add(path.to_path_buf(), text, shelf);
        chain.whole = chain.add_parents(shelf);
        chain
    }

    /// Looks its names up.
    pub fn resolved(self) -> Loaded {
        let Self { sources, trees, mut diagnostics, whole, .. } = self;
        // Without its parent nearly every name of a rulebook would be unknown: that would only hide what is wrong.
        let mut book = None;
        if whole {
            let resolved = resolve(&trees);
            diagnostics.extend(resolved.diagnostics);
            book = resolved.book;
        }
        diagnostics.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
        let sound = !diagnostics.iter().any(Diagnostic::is_error);
        Loaded { sources, trees, book: book.filter(|_| sound), diagnostics, quieted: Vec::new() }
    }

    fn add(&mut self, path: PathBuf, text: String, shelf: &mut dyn Shelf) {
        let file = FileId(u16::try_from(self.sources.len()).unwrap_or(u16::MAX));
        let parsed = shelf.parsed(file, &text);
        self.diagnostics.extend(parsed.diagnostics);
        self.trees.push(parsed.tree);
        self.sources.push(SourceText { name: path.to_string_lossy().into_owned(), text });
        self.paths.push(path);
    }

    /// Follows `builds on` up to the first rulebook that builds on nothing. False where the chain breaks.
    fn add_parents(&mut self, shelf: &mut dyn Shelf) -> bool {
        loop {
            let (Some(tree), Some(child)) = (self.trees.last(), self.paths.last()) else { return false };
            let Some(builds_on) = tree.builds_on() else { return !tree.lost_parent() };
            match self.parent(builds_on, child, shelf) {
                Ok((path, text)) => self.add(path, text, shelf),
                Err(diagnostic) => {
                    self.diagnostics.push(*diagnostic);
                    return false;
                }
            }
        }
    }

    fn parent(&self, builds_on: &BuildsOn, child: &Path, shelf: &mut dyn Shelf) -> Result<(PathBuf, String), Box<Diagnostic>> {
        let name = &builds_on.name.value;
        let file = builds_on.from.as_ref().map_or_else(|| format!("{name}.purfle"), |from| from.value.clone());
        let span = builds_on.from.as_ref().map_or(builds_on.name.span, |from| from.span);
        let path = child.parent().unwrap_or(Path::new("")).join(file);
        if let Some(first) = self.paths.iter().position(|known| same_file(known, &path)) {
            let mut circle: Vec<String> = self.paths[first..].iter().map(|path| path.display().to_string()).collect();
            circle.push(path.display().to_string());
            let says = match circle.len() {
                2 => "This rulebook is built on itself.".to_owned(),
                _ => format!("These rulebooks are built on each other in a circle: {}.", circle.join(" -> ")),
            };
            let one = if circle.len() == 2 { "it" } else { "one of them" };
            let help = format!("Let {one} build on nothing, or on another rulebook.");
            return Err(Box::new(Diagnostic::error("builds-on-circle", span, says).help(help)));
        }
        if self.paths.len() >= LONGEST_CHAIN {
            let says = format!("More than {LONGEST_CHAIN} rulebooks are built on one another.");
            return Err(Box::new(
                Diagnostic::error("builds-on-too-deep", span, says).help("Build on a rulebook nearer to the first one."),
            ));
        }
        match shelf.text(&path) {
            Ok(text) => Ok((path, text)),
            Err(why) => {
                let says = format!("The rulebook `{name}` cannot be used: {}: {why}.", path.display());
                let help = match builds_on.from {
                    Some(_) => "Mend the path after `from`; it is taken from the folder of this rulebook.".to_owned(),
                    None => format!(
                        "Put {name}.purfle beside this rulebook, or say where it is: builds on {name} … from \"folder/{name}.purfle\"."
                    ),
                };
                Err(Box::new(Diagnostic::error("parent-not-found", span, says).help(help)))
            }
        }
    }
}

fn same_file(one: &Path, other: &Path) -> bool {
    match (one.canonicalize(), other.canonicalize()) {
        (Ok(one), Ok(other)) => one == other,
        _ => one == other,
    }
}

/// The text of the rulebook in a file, or of the one on the standard input.
pub fn text(name: &str) -> Result<String, Unusable> {
    if name == STANDARD_INPUT {
        return text_from(std::io::stdin()).map_err(|why| Unusable::new(name, why));
    }
    named_text(name)
}

/// The text of a rulebook that somebody named; where there is none, the nearest name is told.
fn named_text(name: &str) -> Result<String, Unusable> {
    let path = Path::new(name);
    let text = if path.exists() { read_text(path) } else { Err(no_such_file(path)) };
    text.map_err(|why| Unusable::new(name, why))
}

/// The text of a rulebook, or why it cannot be used, as the end of a sentence.
fn read_text(path: &Path) -> Result<String, String> {
    let failed = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::PermissionDenied => "it may not be read; ask whoever owns it".to_owned(),
        _ => format!("it cannot be read: {error}"),
    };
    let about = std::fs::metadata(path).map_err(failed)?;
    if about.is_dir() {
        return Err("it is a folder; name the rulebook in it".to_owned());
    }
    text_from(File::open(path).map_err(failed)?)
}

/// The text of a rulebook that is read from `source`, or why it cannot be used, as the end of a sentence.
fn text_from(source: impl Read) -> Result<String, String> {
    let mut bytes = Vec::new();
    source.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|error| format!("it cannot be read: {error}"))?;
    if bytes.len() as u64 > LARGEST {
        return Err(format!("it is larger than {} MiB, and no rulebook is", LARGEST >> 20));
    }
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err("it is UTF-16; save it as UTF-8".to_owned());
    }
    let text = String::from_utf8(bytes).map_err(|bad| {
        let at = bad.utf8_error().valid_up_to();
        let line = bad.as_bytes()[..at].iter().filter(|&&byte| byte == b'\n').count() + 1;
        format!("it is not UTF-8 at byte {} (line {line}); save it as UTF-8", at + 1)
    })?;
    if text.trim_start_matches('\u{feff}').trim().is_empty() {
        return Err("it is empty; a rulebook begins with `rulebook NAME \"title\"`".to_owned());
    }
    Ok(text)
}
