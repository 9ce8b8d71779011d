//! The thread on which all that can be proved is worked out, so that nobody waits for it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::{Sender, channel};

use purfle_lang::diagnostic::Diagnostic;
use tower_lsp::lsp_types::Url;

use super::checked::Checked;
use super::queue::{Queue, Task, thread};

/// A rulebook to prove things of.
#[derive(Debug)]
pub struct Order {
    /// Which.
    pub uri: Url,
    /// The state of it, to know the answer by.
    pub state: u64,
    /// What it says.
    pub checked: Arc<Checked>,
}

/// What came of an order.
#[derive(Debug)]
pub struct Proved {
    /// Of which rulebook.
    pub uri: Url,
    /// Of which state of it.
    pub state: u64,
    /// Everything that was proved; none where the proof failed.
    pub diagnostics: Option<Vec<Diagnostic>>,
}

/// Starts the thread. It puts what it has proved into the queue, and ends when there is nobody left to order.
pub fn prover(queue: Queue) -> std::io::Result<Sender<Order>> {
    let (orders, ordered) = channel::<Order>();
    thread("prover", move || {
        for Order { uri, state, checked } in ordered {
            let diagnostics = catch_unwind(AssertUnwindSafe(|| checked.proof())).ok();
            drop(checked);
            queue.put(Task::Proved(Proved { uri, state, diagnostics }));
        }
    })?;
    Ok(orders)
}
