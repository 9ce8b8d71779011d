//! What changes beside the open texts: files on the disk, and what is shown of a text that hangs on another one.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use serde_json::json;
use tower_lsp::lsp_types::{Registration, Url};

use super::Desk;
use crate::server::mouth::Say;
use crate::server::shelf::identity;

/// How often files are looked at, where the client does not watch them.
const GLANCE: Duration = Duration::from_secs(2);

impl Desk {
    /// Says what the client should tell from now on.
    pub(super) fn ready(&mut self) {
        self.complain();
        let mut registrations = Vec::new();
        let mut register = |method: &str, options| {
            registrations.push(Registration {
                id: method.to_owned(),
                method: method.to_owned(),
                register_options: Some(options),
            });
        };
        if self.facts.watches {
            register("workspace/didChangeWatchedFiles", json!({"watchers": [{"globPattern": "**/*.purfle"}]}));
        } else {
            self.glance = Some(Instant::now() + GLANCE);
        }
        if self.facts.tells_settings {
            register("workspace/didChangeConfiguration", json!({"section": "purfle"}));
        }
        if !registrations.is_empty() {
            self.mouth.say(Say::Register(registrations));
        }
        if self.facts.asked_for_settings {
            self.mouth.say(Say::AskSettings);
        }
    }

    /// Takes it that these files have changed.
    pub(super) fn files_changed(&mut self, uris: &[Url]) {
        let paths: Vec<PathBuf> = uris.iter().filter_map(|uri| uri.to_file_path().ok()).map(|path| identity(&path)).collect();
        for path in &paths {
            self.files.forget(path);
        }
        self.stale(&paths, None);
    }

    /// Looks whether files have changed that open rulebooks build on.
    pub(super) fn glance(&mut self) {
        self.glance = Some(Instant::now() + GLANCE);
        let open: BTreeSet<&PathBuf> = self.open.values().map(|open| &open.identity).collect();
        let views = || self.open.values().filter_map(|open| open.view.as_ref());
        let files = views().flat_map(|view| &view.analysis.paths).filter(|path| !open.contains(path));
        let changed: Vec<PathBuf> = files.filter(|path| self.files.changed(path)).cloned().collect();
        if !changed.is_empty() || views().any(|view| !view.analysis.whole) {
            self.stale(&changed, None);
        }
    }

    /// Tells the client that what it shows within and above lines may be outdated.
    pub(super) fn refresh_shown(&mut self) {
        let can = [
            (self.facts.code_lens_refresh, Say::CodeLensRefresh),
            (self.facts.inlay_hint_refresh, Say::InlayHintRefresh),
            (self.facts.semantic_tokens_refresh, Say::SemanticTokensRefresh),
        ];
        for (_, say) in can.into_iter().filter(|(can, _)| *can) {
            self.mouth.say(say);
        }
    }
}
