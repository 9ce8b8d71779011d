//! The language server: open documents, the order of edits and requests, and what is published when.

use tower_lsp::jsonrpc::Result;
use tower_lsp::lsp_types::{InitializeParams, InitializeResult, ServerInfo};
use tower_lsp::{LanguageServer, LspService, Server};

#[derive(Debug)]
struct Backend;

#[tower_lsp::async_trait]
impl LanguageServer for Backend {
    async fn initialize(&self, _: InitializeParams) -> Result<InitializeResult> {
        let server_info = ServerInfo { name: "purfle-editor".to_owned(), version: Some(env!("CARGO_PKG_VERSION").to_owned()) };
        Ok(InitializeResult { server_info: Some(server_info), ..InitializeResult::default() })
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }
}

/// Serves one client over the standard input and output until it leaves.
pub fn run() -> std::io::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let (service, socket) = LspService::new(|_| Backend);
    runtime.block_on(Server::new(tokio::io::stdin(), tokio::io::stdout(), socket).serve(service));
    Ok(())
}
