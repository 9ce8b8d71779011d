//! What requests need of the desk.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use purfle::load::Chain;
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::source::LineIndex;
use purfle_lang::span::FileId;
use tower_lsp::lsp_types::{Position, TextEdit, Url, WorkspaceEdit};

use super::Desk;
use crate::analysis::Analysis;
use crate::ide::edits::FileEdits;
use crate::proto::encoding::Encoding;
use crate::proto::page::Page;
use crate::proto::pages::{Pages, pages};
use crate::proto::to_proto::actions::{edits, workspace_edit};
use crate::server::facts::Facts;
use crate::server::mouth::Say;
use crate::server::settings::Settings;
use crate::server::shelf::{OpenFirst, clean, identity};
use crate::server::workspace::rulebooks;

/// A rulebook as it stands now, with the names that the client has for its texts.
#[derive(Debug, Clone)]
pub struct Look {
    /// What is known of it.
    pub analysis: Arc<Analysis>,
    uris: Arc<[Url]>,
    encoding: Encoding,
}

impl Look {
    /// Its texts.
    pub fn pages(&self) -> Pages<'_> {
        pages(&self.analysis, &self.uris, self.encoding)
    }

    /// The byte of a position in one of its texts.
    pub fn byte(&self, file: FileId, position: Position) -> u32 {
        let lines = self.analysis.lines.get(usize::from(file.0));
        let page = lines.map(|lines| Page { text: self.analysis.text(file), lines, encoding: self.encoding });
        page.map_or(0, |page| u32::try_from(page.byte(position)).unwrap_or(u32::MAX))
    }

    /// Which of its texts has a name.
    pub fn file(&self, uri: &Url) -> Option<FileId> {
        let at = self.uris.iter().position(|known| known == uri)?;
        u16::try_from(at).ok().map(FileId)
    }
}

impl Desk {
    /// An open rulebook as it stands now.
    pub fn look(&mut self, uri: &Url) -> Option<Look> {
        self.refresh(uri);
        let view = self.open.get(uri)?.view.as_ref()?;
        let (analysis, uris) = (Arc::clone(&view.analysis), Arc::clone(&view.uris));
        Some(Look { analysis, uris, encoding: self.facts.encoding })
    }

    /// An open rulebook as it stands now, and the byte of a position in its own text.
    pub fn look_at(&mut self, uri: &Url, position: Position) -> Option<(Look, u32)> {
        let look = self.look(uri)?;
        let byte = look.byte(FileId::OWN, position);
        Some((look, byte))
    }

    /// All open rulebooks, as they stand now.
    pub fn looks(&mut self) -> Vec<Look> {
        let uris: Vec<Url> = self.open.keys().cloned().collect();
        uris.iter().filter_map(|uri| self.look(uri)).collect()
    }

    /// All open rulebooks but one, as they stand now.
    pub fn other_looks(&mut self, uri: &Url) -> Vec<Look> {
        let mut others = self.looks();
        others.retain(|other| other.uris.first() != Some(uri));
        others
    }

    /// Says something to the client.
    pub fn say(&self, what: Say) {
        self.mouth.say(what);
    }

    /// The rulebooks in the client's folders that are not open, and in whose chain one of these files is.
    pub fn closed_looks(&mut self, files: &[PathBuf]) -> Vec<Look> {
        let mut looks = Vec::new();
        for path in rulebooks(&self.facts.folders) {
            if files.contains(&path) || self.open.values().any(|open| open.identity == path) {
                continue;
            }
            let texts = self.open.values().map(|open| (open.identity.as_path(), open.document.text.as_str())).collect();
            let mut shelf = OpenFirst { open: texts, files: &mut self.files, kept: &mut Vec::new() };
            let Ok(text) = purfle::load::Shelf::text(&mut shelf, &path) else { continue };
            let mut chain = Chain::follow(&path, text, &mut shelf);
            chain.paths = chain.paths.iter().map(|path| identity(path)).collect();
            if !chain.paths.iter().any(|path| files.contains(path)) {
                continue;
            }
            let uris: Option<Vec<Url>> = chain.paths.iter().map(|path| self.name(path)).collect();
            let Some(uris) = uris else { continue };
            looks.push(Look { analysis: Arc::new(Analysis::new(chain)), uris: uris.into(), encoding: self.facts.encoding });
        }
        looks
    }

    /// What is told of an open rulebook.
    pub fn told(&self, uri: &Url) -> &[Diagnostic] {
        self.open.get(uri).and_then(|open| open.view.as_ref()).map_or(&[], |view| &view.told)
    }

    /// What is known of the client.
    pub fn facts(&self) -> &Facts {
        &self.facts
    }

    /// What the user has set.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The client's name for a file.
    pub fn name(&self, path: &Path) -> Option<Url> {
        let known = |open: &super::Open| {
            let view = open.view.as_ref()?;
            let at = view.analysis.paths.iter().position(|known| known == path)?;
            view.uris.get(at).cloned()
        };
        let open = self.open.iter().find(|(_, open)| open.identity == path).map(|(uri, _)| uri.clone());
        open.or_else(|| self.open.values().find_map(known)).or_else(|| Url::from_file_path(clean(path)).ok())
    }

    /// Changes of files as changes of the texts that the client knows; none where one of them cannot be read.
    pub fn changes(&mut self, files: &[FileEdits]) -> Option<WorkspaceEdit> {
        let changed: Option<Vec<_>> = files.iter().map(|file| self.changes_of(file)).collect();
        Some(workspace_edit(changed?, self.facts.changes_with_states))
    }

    fn changes_of(&mut self, file: &FileEdits) -> Option<(Url, Option<i32>, Vec<TextEdit>)> {
        let path = identity(&file.path);
        let uri = self.name(&path)?;
        if let Some(open) = self.open.get(&uri) {
            let page = open.document.page(self.facts.encoding);
            return Some((uri, Some(open.document.version), edits(&file.edits, page)));
        }
        let text = self.files.text(&path).ok()?;
        let page = Page { text: &text, lines: &LineIndex::new(&text), encoding: self.facts.encoding };
        Some((uri, None, edits(&file.edits, page)))
    }
}
