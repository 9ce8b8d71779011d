//! The thread on which all that takes its time is worked out, so that nobody waits for it who has not asked for it.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::{Sender, channel};

use tower_lsp::lsp_types::Url;

use super::queue::{Queue, Task, thread};
use crate::analysis::Analysis;

/// A rulebook to work things out of.
#[derive(Debug)]
pub struct Order {
    /// Which.
    pub uri: Url,
    /// The state of it, to know the answer by.
    pub state: u64,
    /// What is known of it.
    pub analysis: Arc<Analysis>,
    /// Whether all that can be proved is asked for, beside figures and examples.
    pub proof: bool,
}

/// What came of an order. The analysis itself keeps what was worked out.
#[derive(Debug)]
pub struct Worked {
    /// Of which rulebook.
    pub uri: Url,
    /// Of which state of it.
    pub state: u64,
    /// How far it has come.
    pub stage: Stage,
}

/// How far an order has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// All that can be proved is proved.
    Proved,
    /// Figures and examples are worked out as well, or something went wrong; nothing more comes.
    Done,
}

/// Starts the thread. It puts what has come of an order into the queue, and ends when there is nobody left to order.
pub fn prover(queue: Queue) -> std::io::Result<Sender<Order>> {
    let (orders, ordered) = channel::<Order>();
    thread("prover", move || {
        for Order { uri, state, analysis, proof } in ordered {
            // What panics has been noted; it is left as not worked out.
            let _ = catch_unwind(AssertUnwindSafe(|| {
                if proof {
                    analysis.proof();
                    queue.put(Task::Worked(Worked { uri: uri.clone(), state, stage: Stage::Proved }));
                }
                analysis.figures();
                analysis.came();
            }));
            drop(analysis);
            queue.put(Task::Worked(Worked { uri, state, stage: Stage::Done }));
        }
    })?;
    Ok(orders)
}
