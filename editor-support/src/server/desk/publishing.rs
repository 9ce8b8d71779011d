//! What there is to tell of each text, put together from every open rulebook that knows it.

use tower_lsp::lsp_types::{self, Url};

use super::{Desk, View};
use crate::proto::pages::pages;
use crate::proto::to_proto::diagnostic::diagnostic;
use crate::server::mouth::Say;

impl Desk {
    /// Publishes what has become something else. Nothing is stale when this is called, so it is about the texts as they
    /// are.
    pub(super) fn publish(&mut self) {
        for uri in std::mem::take(&mut self.outdated) {
            let version = self.open.get(&uri).map(|open| open.document.version);
            let now = (version, self.told_of(&uri));
            if self.published.get(&uri) == Some(&now) {
                continue;
            }
            let known = self.published.remove(&uri).is_some();
            let (version, diagnostics) = now.clone();
            if version.is_some() || !diagnostics.is_empty() {
                self.published.insert(uri.clone(), now);
            } else if !known {
                continue;
            }
            self.mouth.say(Say::Publish { uri, version, diagnostics });
        }
    }

    /// What its own view tells of a text, and what those that build on it tell of it besides.
    fn told_of(&self, uri: &Url) -> Vec<lsp_types::Diagnostic> {
        let own = self.open.get(uri).and_then(|open| open.view.as_ref());
        let others = self.open.iter().filter(|(other, _)| *other != uri).filter_map(|(_, open)| open.view.as_ref());
        let mut all: Vec<_> = own.into_iter().flat_map(|view| self.told_in(view, uri)).collect();
        for told in others.flat_map(|view| self.told_in(view, uri)) {
            if !all.contains(&told) {
                all.push(told);
            }
        }
        all
    }

    /// What one view tells of a text.
    fn told_in(&self, view: &View, uri: &Url) -> Vec<lsp_types::Diagnostic> {
        let Some(file) = view.uris.iter().position(|known| known == uri) else { return Vec::new() };
        let pages = pages(&view.analysis, &view.uris, self.facts.encoding);
        let there = view.told.iter().filter(|told| usize::from(told.span.file.0) == file);
        there.filter_map(|told| diagnostic(told, &pages)).collect()
    }
}
