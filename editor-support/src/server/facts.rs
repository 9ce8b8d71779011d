//! What the client can do, as far as the server makes a difference of it.

use std::path::PathBuf;

use tower_lsp::lsp_types::{ClientCapabilities, InitializeParams};

use crate::proto::encoding::Encoding;

/// What is known of the client from its first message.
#[derive(Debug, Clone, Default)]
pub struct Facts {
    /// How it counts columns.
    pub encoding: Encoding,
    /// The folders it works in.
    pub folders: Vec<PathBuf>,
    /// Whether it can mark the name that a jump comes from.
    pub jumps_from_ranges: bool,
    /// Whether it fills holes in what it completes.
    pub snippets: bool,
    /// Whether it knows for which state of a text a change is.
    pub changes_with_states: bool,
    /// Whether it can be asked to watch files.
    pub watches: bool,
    /// Whether it can be asked for settings.
    pub asked_for_settings: bool,
    /// Whether it says of itself when settings change, once asked to.
    pub tells_settings: bool,
    /// Whether what stands above lines can be called outdated.
    pub code_lens_refresh: bool,
    /// Whether what stands within lines can be called outdated.
    pub inlay_hint_refresh: bool,
    /// Whether colours can be called outdated.
    pub semantic_tokens_refresh: bool,
    /// Whether it shows by itself what commands answer.
    pub shows_reports: bool,
}

impl Facts {
    /// Reads them off the first message.
    pub fn of(params: &InitializeParams) -> Self {
        let ClientCapabilities { workspace, text_document, .. } = &params.capabilities;
        let definition = text_document.as_ref().and_then(|text| text.definition.as_ref());
        let completion = text_document.as_ref().and_then(|text| text.completion.as_ref()?.completion_item.as_ref());
        let workspace = workspace.clone().unwrap_or_default();
        let options = params.initialization_options.as_ref();
        let named = params.workspace_folders.iter().flatten().map(|folder| &folder.uri);
        let mut folders: Vec<PathBuf> = named.filter_map(|uri| uri.to_file_path().ok()).collect();
        if folders.is_empty() {
            // Older clients name one folder, in this older way.
            #[allow(deprecated)]
            folders.extend(params.root_uri.as_ref().and_then(|uri| uri.to_file_path().ok()));
        }
        Self {
            encoding: Encoding::agreed(&params.capabilities),
            folders,
            jumps_from_ranges: definition.and_then(|definition| definition.link_support) == Some(true),
            snippets: completion.and_then(|item| item.snippet_support) == Some(true),
            changes_with_states: workspace.workspace_edit.and_then(|edit| edit.document_changes) == Some(true),
            watches: workspace.did_change_watched_files.and_then(|watched| watched.dynamic_registration) == Some(true),
            asked_for_settings: workspace.configuration == Some(true),
            tells_settings: workspace.did_change_configuration.and_then(|told| told.dynamic_registration) == Some(true),
            code_lens_refresh: workspace.code_lens.and_then(|lens| lens.refresh_support) == Some(true),
            inlay_hint_refresh: workspace.inlay_hint.and_then(|hint| hint.refresh_support) == Some(true),
            semantic_tokens_refresh: workspace.semantic_tokens.and_then(|tokens| tokens.refresh_support) == Some(true),
            shows_reports: options.and_then(|options| options.get("showsReports")?.as_bool()) == Some(true),
        }
    }
}
