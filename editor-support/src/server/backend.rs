//! The protocol's handlers. Each puts what it is told into the queue before it waits for anything, and does no work.

use std::panic::{AssertUnwindSafe, catch_unwind};

use serde::Deserialize;
use serde_json::Value;
use tokio::sync::oneshot;
use tower_lsp::jsonrpc::Result;
use tower_lsp::lsp_types::*;
use tower_lsp::{LanguageServer, async_trait};

use super::answers::{commands, names, shown, writing};
use super::capabilities::offered;
use super::facts::Facts;
use super::queue::{Queue, Task, failed, thread};
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

    /// `purfle/triage`: the report on a file of records.
    pub async fn triage(&self, params: Asked) -> Result<Value> {
        self.done(commands::TRIAGE, &[params.rulebook, params.records]).await
    }

    /// `purfle/slip`: the slip of one record.
    pub async fn slip(&self, params: Asked) -> Result<Value> {
        self.done(commands::SLIP, &[params.rulebook, params.records, params.record]).await
    }

    /// Does what a command says, on a thread of its own.
    async fn done(&self, name: &str, arguments: &[Value]) -> Result<Value> {
        let command = commands::Command::read(name, arguments)?;
        let queue = self.queue.clone();
        let (command, analysis) = queue
            .ask(move |desk| {
                let analysis = commands::prepare(desk, &command)?;
                Ok((command, analysis))
            })
            .await?;
        let (answer, waiting) = oneshot::channel();
        let work = move || {
            let came = catch_unwind(AssertUnwindSafe(|| commands::run(&command, &analysis))).unwrap_or_else(|_| Err(failed()));
            let _ = answer.send(came.map(|came| (command, came)));
        };
        thread("command", work).map_err(|_| failed())?;
        let (command, came) = waiting.await.unwrap_or_else(|_| Err(failed()))?;
        queue
            .ask(move |desk| {
                commands::show(desk, &command, &came);
                Ok(came)
            })
            .await
    }
}

/// What `purfle/triage` and `purfle/slip` are asked with.
#[derive(Debug, Deserialize)]
pub struct Asked {
    /// The rulebook's address.
    #[serde(default)]
    rulebook: Value,
    /// The path of a file of records.
    #[serde(default)]
    records: Value,
    /// A record's mark.
    #[serde(default)]
    record: Value,
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

    async fn hover(&self, params: HoverParams) -> Result<Option<Hover>> {
        let at = params.text_document_position_params;
        self.queue.ask(move |desk| Ok(names::hover(desk, &at.text_document.uri, at.position))).await
    }

    async fn goto_definition(&self, params: GotoDefinitionParams) -> Result<Option<GotoDefinitionResponse>> {
        let at = params.text_document_position_params;
        self.queue
            .ask(move |desk| {
                let jump = names::definition(desk, &at.text_document.uri, at.position);
                Ok(jump.map(|jump| definition(desk.facts(), jump)))
            })
            .await
    }

    async fn document_highlight(&self, params: DocumentHighlightParams) -> Result<Option<Vec<DocumentHighlight>>> {
        let at = params.text_document_position_params;
        self.queue.ask(move |desk| Ok(names::highlights(desk, &at.text_document.uri, at.position))).await
    }

    async fn references(&self, params: ReferenceParams) -> Result<Option<Vec<Location>>> {
        let at = params.text_document_position;
        let writing = params.context.include_declaration;
        self.queue.ask(move |desk| Ok(names::references(desk, &at.text_document.uri, at.position, writing))).await
    }

    async fn prepare_rename(&self, params: TextDocumentPositionParams) -> Result<Option<PrepareRenameResponse>> {
        self.queue.ask(move |desk| names::prepare_rename(desk, &params.text_document.uri, params.position)).await
    }

    async fn rename(&self, params: RenameParams) -> Result<Option<WorkspaceEdit>> {
        let at = params.text_document_position;
        self.queue.ask(move |desk| names::rename(desk, &at.text_document.uri, at.position, &params.new_name)).await
    }

    async fn document_symbol(&self, params: DocumentSymbolParams) -> Result<Option<DocumentSymbolResponse>> {
        self.queue.ask(move |desk| Ok(names::outline(desk, &params.text_document.uri).map(DocumentSymbolResponse::Nested))).await
    }

    async fn symbol(&self, params: WorkspaceSymbolParams) -> Result<Option<Vec<SymbolInformation>>> {
        self.queue.ask(move |desk| Ok(Some(names::search(desk, &params.query)))).await
    }

    async fn prepare_call_hierarchy(&self, params: CallHierarchyPrepareParams) -> Result<Option<Vec<CallHierarchyItem>>> {
        let at = params.text_document_position_params;
        self.queue.ask(move |desk| Ok(names::prepare_calls(desk, &at.text_document.uri, at.position))).await
    }

    async fn incoming_calls(&self, params: CallHierarchyIncomingCallsParams) -> Result<Option<Vec<CallHierarchyIncomingCall>>> {
        self.queue.ask(move |desk| Ok(names::incoming(desk, &params.item))).await
    }

    async fn outgoing_calls(&self, params: CallHierarchyOutgoingCallsParams) -> Result<Option<Vec<CallHierarchyOutgoingCall>>> {
        self.queue.ask(move |desk| Ok(names::outgoing(desk, &params.item))).await
    }

    async fn completion(&self, params: CompletionParams) -> Result<Option<CompletionResponse>> {
        let at = params.text_document_position;
        self.queue
            .ask(move |desk| {
                let all = writing::completions(desk, &at.text_document.uri, at.position);
                Ok(all.map(CompletionResponse::Array))
            })
            .await
    }

    async fn completion_resolve(&self, params: CompletionItem) -> Result<CompletionItem> {
        self.queue.ask(move |desk| Ok(writing::completed(desk, params))).await
    }

    async fn signature_help(&self, params: SignatureHelpParams) -> Result<Option<SignatureHelp>> {
        let at = params.text_document_position_params;
        self.queue.ask(move |desk| Ok(writing::signatures(desk, &at.text_document.uri, at.position))).await
    }

    async fn formatting(&self, params: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.queue.ask(move |desk| Ok(writing::laid_out(desk, &params.text_document.uri, None))).await
    }

    async fn range_formatting(&self, params: DocumentRangeFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        self.queue.ask(move |desk| Ok(writing::laid_out(desk, &params.text_document.uri, Some(params.range)))).await
    }

    async fn code_action(&self, params: CodeActionParams) -> Result<Option<CodeActionResponse>> {
        self.queue
            .ask(move |desk| {
                let all = writing::doable(desk, &params.text_document.uri, params.range, &params.context);
                Ok(all.map(|all| all.into_iter().map(CodeActionOrCommand::CodeAction).collect()))
            })
            .await
    }

    async fn semantic_tokens_full(&self, params: SemanticTokensParams) -> Result<Option<SemanticTokensResult>> {
        self.queue
            .ask(move |desk| {
                let data = shown::colours(desk, &params.text_document.uri, None);
                Ok(data.map(|data| SemanticTokensResult::Tokens(SemanticTokens { result_id: None, data })))
            })
            .await
    }

    async fn semantic_tokens_range(&self, params: SemanticTokensRangeParams) -> Result<Option<SemanticTokensRangeResult>> {
        self.queue
            .ask(move |desk| {
                let data = shown::colours(desk, &params.text_document.uri, Some(params.range));
                Ok(data.map(|data| SemanticTokensRangeResult::Tokens(SemanticTokens { result_id: None, data })))
            })
            .await
    }

    async fn folding_range(&self, params: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
        self.queue.ask(move |desk| Ok(shown::folding(desk, &params.text_document.uri))).await
    }

    async fn selection_range(&self, params: SelectionRangeParams) -> Result<Option<Vec<SelectionRange>>> {
        self.queue.ask(move |desk| Ok(shown::selections(desk, &params.text_document.uri, &params.positions))).await
    }

    async fn inlay_hint(&self, params: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
        let uri = params.text_document.uri;
        self.queue.ask_later(uri.clone(), move |desk| Ok(shown::inlays(desk, &uri, params.range))).await
    }

    async fn code_lens(&self, params: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
        let uri = params.text_document.uri;
        self.queue.ask_later(uri.clone(), move |desk| Ok(shown::lenses(desk, &uri))).await
    }

    async fn document_link(&self, params: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>> {
        self.queue.ask(move |desk| Ok(shown::links(desk, &params.text_document.uri))).await
    }

    async fn execute_command(&self, params: ExecuteCommandParams) -> Result<Option<Value>> {
        self.done(&params.command, &params.arguments).await.map(Some)
    }
}

/// A jump as the client can take it.
fn definition(facts: &Facts, jump: LocationLink) -> GotoDefinitionResponse {
    if facts.jumps_from_ranges {
        return GotoDefinitionResponse::Link(vec![jump]);
    }
    GotoDefinitionResponse::Scalar(Location { uri: jump.target_uri, range: jump.target_selection_range })
}
