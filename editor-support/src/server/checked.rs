//! An open rulebook as it stands with its parents: what was read, and what there is to tell of it.

use std::path::PathBuf;

use purfle::load::{Chain, Loaded, SourceText};
use purfle_lang::book::Book;
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::quiet::quiet;
use purfle_lang::source::LineIndex;
use purfle_lang::syntax::tree::Tree;

/// A rulebook at one moment. It never changes.
#[derive(Debug)]
pub struct Checked {
    /// Where each text of the chain is.
    pub paths: Vec<PathBuf>,
    /// The texts.
    pub sources: Vec<SourceText>,
    /// Their lines.
    pub lines: Vec<LineIndex>,
    /// What they say.
    pub trees: Vec<Tree>,
    /// Whether every rulebook it builds on was found.
    pub whole: bool,
    /// What reading it tells, before the quietings are heard.
    quick: Vec<Diagnostic>,
    book: Option<Book>,
}

impl Checked {
    /// Looks the names of a chain up.
    pub fn new(chain: Chain) -> Self {
        let (paths, whole) = (chain.paths.clone(), chain.whole);
        let Loaded { sources, trees, book, diagnostics, .. } = chain.resolved();
        let lines = sources.iter().map(|source| LineIndex::new(&source.text)).collect();
        Self { paths, sources, lines, trees, whole, quick: diagnostics, book }
    }

    /// Whether there is a book that something can be proved of.
    pub fn sound(&self) -> bool {
        self.book.is_some()
    }

    /// All that can be proved of it, and nothing that reading it tells. This takes its time.
    pub fn proof(&self) -> Vec<Diagnostic> {
        let mut loaded = Loaded {
            sources: self.sources.first().cloned().into_iter().collect(),
            trees: Vec::new(),
            book: self.book.clone(),
            diagnostics: Vec::new(),
            quieted: Vec::new(),
        };
        loaded.prove();
        loaded.diagnostics
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
}
