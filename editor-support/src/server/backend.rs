//! The protocol's handlers. Each puts what it is told into the queue before it waits for anything, and does no work.

use tokio::sync::oneshot;
use tower_lsp::jsonrpc::Result;
use tower_lsp::lsp_types::{
    DidChangeConfigurationParams, DidChangeTextDocumentParams, DidChangeWatchedFilesParams, DidCloseTextDocumentParams,
    DidOpenTextDocumentParams, DidSaveTextDocumentParams, DocumentFormattingParams, DocumentRangeFormattingParams,
    InitializeParams, InitializeResult, InitializedParams, ServerInfo, TextEdit,
};
use tower_lsp::{LanguageServer, async_trait};

use super::capabilities::offered;
use super::facts::Facts;
use super::queue::{Queue, Task, failed};
use crate::proto::from_proto;

/// The protocol's side of the server.
#[derive(Debug)]
pub struct Backend {
    queue: Queue,
}

impl Backend {
    /// Handlers that put what they are told into a queue.
    pub fn new(queue: Queue) -> Self {
        Self { queue }
    }

    /// `purfle/settled`: answers when there is nothing left to tell of the texts as they stand, everything that is to be
    /// proved included.
    pub async fn settled(&self) -> Result<()> {
        let (answer, waiting) = oneshot::channel();
        self.queue.put(Task::Settle(answer));
        waiting.await.map_err(|_| failed())
    }
}

#[async_trait]
impl LanguageServer for Backend {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        let capabilities = offered(&Facts::of(&params));
        self.queue.put(Task::Begin(Box::new(params)));
        let server_info = ServerInfo { name: "purfle-editor".to_owned(), version: Some(env!("CARGO_PKG_VERSION").to_owned()) };
        Ok(InitializeResult { capabilities, server_info: Some(server_info) })
    }

    async fn initialized(&self, _: InitializedParams) {
        self.queue.put(Task::Ready);
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }

    async fn did_open(&self, params: DidOpenTextDocumentParams) {
        let document = params.text_document;
        self.queue.put(Task::Open(document.uri, document.version, document.text));
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        let document = params.text_document;
        self.queue.put(Task::Change(document.uri, document.version, from_proto::changes(params.content_changes)));
    }

    async fn did_save(&self, params: DidSaveTextDocumentParams) {
        self.queue.put(Task::Save(params.text_document.uri));
    }

    async fn did_close(&self, params: DidCloseTextDocumentParams) {
        self.queue.put(Task::Close(params.text_document.uri));
    }

    async fn did_change_watched_files(&self, params: DidChangeWatchedFilesParams) {
        self.queue.put(Task::Files(params.changes.into_iter().map(|change| change.uri).collect()));
    }

    async fn did_change_configuration(&self, params: DidChangeConfigurationParams) {
        self.queue.put(if params.settings.is_null() { Task::SettingsChanged } else { Task::Settings(params.settings) });
    }

    async fn formatting(&self, params: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.queue.ask(move |desk| Ok(desk.tidied(&params.text_document.uri, None))).await
    }

    async fn range_formatting(&self, params: DocumentRangeFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.queue.ask(move |desk| Ok(desk.tidied(&params.text_document.uri, Some(params.range)))).await
    }
}
