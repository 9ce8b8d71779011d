//! What is known of a rulebook at one moment: an immutable value made from a chain of texts.
//!
//! Making one reads nothing and looks names up once. What takes its time (proof, figures, examples) is worked out when it
//! is first asked for, by whoever asks, and kept.

mod examples;
mod of;

use std::path::PathBuf;
use std::sync::{Arc, OnceLock};

use purfle::by_itself::Figures;
use purfle::load::{Chain, Loaded, SourceText};
use purfle_lang::book::Book;
use purfle_lang::chain::{Merged, merge};
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::quiet::quiet;
use purfle_lang::resolve::names::Names;
use purfle_lang::resolve::noted::{Note, Role, Target};
use purfle_lang::resolve::{Known, resolve};
use purfle_lang::source::LineIndex;
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Item, Tree};

pub use examples::{Came, Expected};

/// A rulebook with those it builds on, as their texts stand at one moment.
#[derive(Debug)]
pub struct Analysis {
    /// Where each text of the chain is: the rulebook itself, its parent, and so on. A span's file is an index into this.
    pub paths: Vec<PathBuf>,
    /// The texts.
    pub sources: Vec<SourceText>,
    /// Their lines.
    pub lines: Vec<LineIndex>,
    /// What they say.
    pub trees: Vec<Tree>,
    /// Whether every rulebook it builds on was found.
    pub whole: bool,
    quick: Vec<Diagnostic>,
    book: Option<Arc<Book>>,
    known: Option<Box<Known>>,
    notes: OnceLock<Vec<Note>>,
    parents: OnceLock<Merged>,
    proof: OnceLock<Vec<Diagnostic>>,
    figures: OnceLock<Option<Figures>>,
    came: OnceLock<Vec<Came>>,
}

impl Analysis {
    /// Looks the names of a chain up.
    pub fn new(chain: Chain) -> Self {
        let Chain { sources, paths, trees, mut diagnostics, whole } = chain;
        let resolved = resolve(&trees);
        // Without its parent nearly every name of a rulebook would be unknown: that would only hide what is wrong.
        if whole {
            diagnostics.extend(resolved.diagnostics);
            diagnostics.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
        }
        let sound = whole && !diagnostics.iter().any(Diagnostic::is_error);
        let mut known = resolved.known;
        let book = match resolved.book {
            Some(book) if sound => Some(Arc::new(book)),
            book => {
                if let (Some(known), Some(book)) = (&mut known, book) {
                    known.partial = Some(book);
                }
                None
            }
        };
        let lines = sources.iter().map(|source| LineIndex::new(&source.text)).collect();
        Self {
            paths,
            sources,
            lines,
            trees,
            whole,
            quick: diagnostics,
            book,
            known,
            notes: OnceLock::new(),
            parents: OnceLock::new(),
            proof: OnceLock::new(),
            figures: OnceLock::new(),
            came: OnceLock::new(),
        }
    }

    /// A text of the chain; empty where there is none of that number.
    pub fn text(&self, file: FileId) -> &str {
        self.sources.get(usize::from(file.0)).map_or("", |source| source.text.as_str())
    }

    /// What stands at a span.
    pub fn written(&self, span: Span) -> &str {
        self.text(span.file).get(span.range()).unwrap_or_default()
    }

    /// What a text of the chain says.
    pub fn tree(&self, file: FileId) -> Option<&Tree> {
        self.trees.get(usize::from(file.0))
    }

    /// The items of a text.
    pub fn items(&self, file: FileId) -> &[Item] {
        self.tree(file).map_or(&[], |tree| &tree.items)
    }

    /// The name of a rulebook of the chain, as it says itself.
    pub fn rulebook(&self, file: FileId) -> &str {
        self.tree(file).and_then(Tree::rulebook).map_or("", |head| head.name_text())
    }

    /// Whether there is a book that something can be proved of and judged by.
    pub fn sound(&self) -> bool {
        self.book.is_some()
    }

    /// The book; none where anything is in error.
    pub fn book(&self) -> Option<&Arc<Book>> {
        self.book.as_ref()
    }

    /// The book, or as much of it as could be read: to be shown, not to be judged by.
    pub fn shown(&self) -> Option<&Book> {
        self.book.as_deref().or_else(|| self.known.as_ref()?.partial.as_ref())
    }

    /// What is known of its names.
    pub fn known(&self) -> Option<&Known> {
        self.known.as_deref()
    }

    /// Every name.
    pub fn names(&self) -> Option<&Names> {
        self.known().map(|known| &known.names)
    }

    /// The rulebooks that it builds on, laid into one; nothing in it where it builds on none.
    pub fn parents(&self) -> &Merged {
        self.parents.get_or_init(|| match self.trees.get(1..) {
            Some(parents) if !parents.is_empty() => merge(parents),
            _ => Merged::default(),
        })
    }

    /// What each name stands for, in the order of the texts.
    pub fn notes(&self) -> &[Note] {
        self.notes.get_or_init(|| self.known().map(Known::notes).unwrap_or_default())
    }

    /// The name at a byte, or that ends there.
    pub fn note_at(&self, file: FileId, offset: u32) -> Option<Note> {
        let notes = self.notes();
        let after = notes.partition_point(|note| (note.span.file, note.span.start) <= (file, offset));
        let note = *notes.get(after.checked_sub(1)?)?;
        (note.span.file == file && offset <= note.span.end).then_some(note)
    }

    /// Where the names stand that mean this, in the order of the texts.
    pub fn names_of(&self, target: Target) -> impl Iterator<Item = Note> + '_ {
        self.notes().iter().copied().filter(move |note| note.target == target)
    }

    /// Where something is first written: in the furthest rulebook of the chain that has it.
    pub fn definition(&self, target: Target) -> Option<Span> {
        let written = self.names_of(target).filter(|note| note.role == Role::Writes);
        written.map(|note| note.span).max_by_key(|span| (span.file, std::cmp::Reverse(span.start)))
    }

    /// What reading the texts tells, before quietings are heard.
    pub fn quick(&self) -> &[Diagnostic] {
        &self.quick
    }

    /// All that can be proved of it, and nothing that reading it tells. The first call takes its time.
    pub fn proof(&self) -> &[Diagnostic] {
        self.proof.get_or_init(|| {
            let mut loaded = Loaded {
                sources: self.sources.clone(),
                trees: self.trees.clone(),
                book: self.book.as_deref().cloned(),
                diagnostics: Vec::new(),
                quieted: Vec::new(),
            };
            loaded.prove();
            loaded.diagnostics
        })
    }

    /// What was proved of it, if that was asked before.
    pub fn proved(&self) -> Option<&[Diagnostic]> {
        self.proof.get().map(Vec::as_slice)
    }

    /// What there is to tell, with what was proved, the quietings heard. Before everything is proved nobody can say that
    /// a quieting quiets nothing.
    pub fn told(&self, proved: &[Diagnostic], complete: bool) -> Vec<Diagnostic> {
        let texts: Vec<&str> = self.sources.iter().map(|source| source.text.as_str()).collect();
        let mut all: Vec<Diagnostic> = self.quick.iter().chain(proved).cloned().collect();
        all.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start, diagnostic.span.end));
        let mut told = quiet(&self.trees, &texts, all).told;
        told.retain(|diagnostic| complete || diagnostic.slug != "quiet-nothing");
        told
    }

    /// What findings cost by themselves; none where the book is not sound. The first call takes its time.
    pub fn figures(&self) -> Option<&Figures> {
        self.figures.get_or_init(|| Figures::of(self.book.as_ref()?)).as_ref()
    }

    /// The figures, if they were asked for before.
    pub fn known_figures(&self) -> Option<&Figures> {
        self.figures.get()?.as_ref()
    }

    /// What came of the examples, the rulebook's own and then those of its ancestors; nothing where the book is not sound.
    /// The first call takes its time.
    pub fn came(&self) -> &[Came] {
        self.came.get_or_init(|| self.book.as_ref().map(examples::came).unwrap_or_default())
    }

    /// What came of the examples, if that was asked before.
    pub fn known_came(&self) -> Option<&[Came]> {
        self.came.get().map(Vec::as_slice)
    }
}
