//! The small shop of the reference, and rulebooks in which a fragment is set beside it.

use purfle_lang::book::Book;
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;

/// The shop.
pub struct Shop {
    /// Its rulebook.
    pub text: String,
}

impl Shop {
    /// The shop with more items.
    pub fn with(&self, items: &str) -> String {
        format!("{}\n{items}\n", self.text)
    }

    /// The shop with a finding on a part (`on button`) that has these signs.
    pub fn with_signs(&self, on: &str, signs: &str) -> String {
        self.with(&format!(
            "finding tried \"Tried\"\n  {on}\n  signs {signs}\n  urgency mention\n  hands luthier\n  cost nothing\n  \
             basis \"common practice\""
        ))
    }

    /// The shop with a counsel on this condition.
    pub fn with_counsel(&self, when: &str) -> String {
        self.with(&format!("counsel tried \"Tried\"\n  when {when}\n  tell \"So it is.\""))
    }

    /// The shop with an example of this record.
    pub fn with_record(&self, entry: &str) -> String {
        self.with(&format!("example \"tried\"\n  record {entry}\n  played open"))
    }
}

/// The book that a rulebook and its parents mean, or the errors they have.
pub fn read(texts: &[&str]) -> Result<Book, Vec<String>> {
    let parsed: Vec<_> = texts.iter().zip(0..).map(|(text, file)| parse(FileId(file), text)).collect();
    let trees: Vec<_> = parsed.iter().map(|parsed| parsed.tree.clone()).collect();
    let resolved = resolve(&trees);
    let told = parsed.iter().flat_map(|parsed| &parsed.diagnostics).chain(&resolved.diagnostics);
    let errors: Vec<String> = told
        .filter(|diagnostic| diagnostic.is_error())
        .map(|error| {
            let text = texts.get(usize::from(error.span.file.0)).copied().unwrap_or_default();
            let start = text.get(..error.span.range().start).map_or(0, |before| before.rfind('\n').map_or(0, |at| at + 1));
            let line = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or_default();
            format!("{}: {} ({})", error.slug, error.says, line.trim())
        })
        .collect();
    if errors.is_empty() { resolved.book.ok_or_else(|| vec!["there is no book, and no error".to_owned()]) } else { Err(errors) }
}
