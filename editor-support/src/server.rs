//! The language server: open documents, the order of edits and requests, and what is published when.
//!
//! Three threads. The protocol's (`transport`, `backend`) reads, writes and waits; the desk's (`queue`, `desk`) alone
//! knows the open texts and takes one thing after the other; the prover's works out what takes its time.

mod answers;
mod backend;
mod capabilities;
mod desk;
mod document;
mod facts;
mod frame;
mod keep;
mod log;
mod mouth;
mod prover;
mod queue;
mod settings;
mod shelf;
mod transport;
mod workspace;

use std::io::Result;
use std::path::Path;

use tokio::io::{AsyncRead, AsyncWrite};
use tower_lsp::LspService;

use backend::Backend;
use desk::Desk;
use log::Log;
use mouth::{Mouth, speak};
use queue::{Queue, thread, work};
pub use transport::Left;
use transport::Outlet;

/// Serves one client over the standard input and output until it leaves, noting in a file what is done.
pub fn run(log: Option<&Path>) -> Result<Left> {
    let log = log.map_or(Ok(Log::default()), Log::to)?;
    log.note_panics();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let left = runtime.block_on(serve_noting(tokio::io::stdin(), tokio::io::stdout(), log));
    // The standard input may still be read, and that cannot be stopped.
    runtime.shutdown_background();
    left
}

/// Serves one client over any two streams until it leaves.
pub async fn serve<I, O>(input: I, output: O) -> Result<Left>
where
    I: AsyncRead + Unpin,
    O: AsyncWrite + Unpin + Send + 'static,
{
    serve_noting(input, output, Log::default()).await
}

async fn serve_noting<I, O>(input: I, output: O, log: Log) -> Result<Left>
where
    I: AsyncRead + Unpin,
    O: AsyncWrite + Unpin + Send + 'static,
{
    let (queue, tasks) = Queue::new();
    let (mouth, said) = Mouth::new();
    let orders = prover::prover(queue.clone())?;
    let desk = Desk::new(orders, mouth, log.clone());
    thread("desk", move || work(desk, &tasks))?;
    let (outlet, outgoing) = Outlet::new();
    let service = LspService::build(|client| {
        tokio::spawn(speak(client, outlet.clone(), said, queue.clone(), log.clone()));
        Backend::new(queue)
    })
    .custom_method("purfle/settled", Backend::settled)
    .custom_method("purfle/slip", Backend::slip)
    .custom_method("purfle/triage", Backend::triage)
    .finish();
    Ok(transport::serve((input, output), (outlet, outgoing), service, log).await)
}
