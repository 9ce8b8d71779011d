//! A chain of texts that stand in no files: for whoever has them at hand already.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use purfle::load::{Chain, Shelf};

use super::Analysis;

/// Texts by their paths.
struct Texts<'a>(HashMap<PathBuf, &'a str>);

impl Shelf for Texts<'_> {
    fn text(&mut self, path: &Path) -> Result<String, String> {
        self.0.get(path).map(|text| (*text).to_owned()).ok_or_else(|| "there is no such file".to_owned())
    }
}

impl Analysis {
    /// Analyses a text as the rulebook in a file, with the other texts beside it: each a file and what stands in it.
    pub fn of(path: &str, text: &str, others: &[(&str, &str)]) -> Self {
        let mut shelf = Texts(others.iter().map(|(path, text)| (PathBuf::from(path), *text)).collect());
        Self::new(Chain::follow(Path::new(path), text.to_owned(), &mut shelf))
    }
}
