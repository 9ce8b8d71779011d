//! The queue of all that comes from the client, and the thread that takes one thing after the other.
//!
//! Edits and requests stand in one queue, so each request is answered by the text as it was when the client asked. What
//! nobody asked for (what there is to tell of a text that changed) is done only when nothing waits.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender, TryRecvError};
use std::thread::{Builder, JoinHandle};
use std::time::Instant;

use serde_json::Value;
use tokio::sync::oneshot;
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::{InitializeParams, Url};

use super::desk::Desk;
use super::prover::Worked;
use crate::proto::from_proto::Change;

/// The stack of each thread, in bytes. Brackets nest to a depth that the language limits, and that fits well.
const STACK: usize = 16 << 20;

/// One thing to do.
pub enum Task {
    /// The client has said what it can do and what is set.
    Begin(Box<InitializeParams>),
    /// The client is ready to hear from the server.
    Ready,
    /// A text is opened.
    Open(Url, i32, String),
    /// A text changes.
    Change(Url, i32, Vec<Change>),
    /// A text is saved.
    Save(Url),
    /// A text is closed.
    Close(Url),
    /// Files have changed on the disk.
    Files(Vec<Url>),
    /// Something else is set.
    Settings(Value),
    /// Settings have changed, and the client does not say how.
    SettingsChanged,
    /// Something was worked out.
    Worked(Worked),
    /// Something is asked.
    Ask(Box<dyn FnOnce(&mut Desk) + Send>),
    /// Somebody waits until there is nothing left to tell.
    Settle(oneshot::Sender<()>),
}

/// Where tasks are put.
#[derive(Debug, Clone)]
pub struct Queue(Sender<Task>);

impl Queue {
    /// A queue, and its other end.
    pub fn new() -> (Self, Receiver<Task>) {
        let (sender, tasks) = mpsc::channel();
        (Self(sender), tasks)
    }

    /// Puts a task at the end. It never waits.
    pub fn put(&self, task: Task) {
        let _ = self.0.send(task);
    }

    /// Puts a question at the end, at once, and waits for the answer. A panic while it is worked out is an answer too. A
    /// question whose asker has gone in the meantime is passed over.
    pub fn ask<T, W>(&self, work: W) -> impl Future<Output = Result<T>> + Send + use<T, W>
    where
        T: Send + 'static,
        W: FnOnce(&mut Desk) -> Result<T> + Send + 'static,
    {
        let (answer, waiting) = oneshot::channel();
        self.put(Task::Ask(Box::new(move |desk| {
            if !answer.is_closed() {
                let answered = catch_unwind(AssertUnwindSafe(|| work(desk))).unwrap_or_else(|_| Err(failed()));
                let _ = answer.send(answered);
            }
        })));
        async move { waiting.await.unwrap_or_else(|_| Err(failed())) }
    }

    /// Puts a question about a text at the end that needs figures, which take their time. It is answered once they are
    /// there; if the text has changed by then, that is the answer, and the client asks again.
    pub fn ask_later<T, W>(&self, uri: Url, work: W) -> impl Future<Output = Result<T>> + Send + use<T, W>
    where
        T: Send + 'static,
        W: FnOnce(&mut Desk) -> Result<T> + Send + 'static,
    {
        let (answer, waiting) = oneshot::channel();
        let later: Later = Box::new(move |ready| {
            if !answer.is_closed() {
                let worked = AssertUnwindSafe(|| ready.and_then(work));
                let _ = answer.send(catch_unwind(worked).unwrap_or_else(|_| Err(failed())));
            }
        });
        self.put(Task::Ask(Box::new(move |desk| desk.once_figured(&uri, later))));
        async move { waiting.await.unwrap_or_else(|_| Err(failed())) }
    }
}

/// A question that is answered later: with the desk, or with the reason why it is not answered any more.
pub type Later = Box<dyn FnOnce(Result<&mut Desk>) + Send>;

/// What is answered where working it out has failed.
pub fn failed() -> Error {
    let message = "Something went wrong in the language server. It goes on; what was open is as it was.";
    Error { message: message.into(), ..Error::internal_error() }
}

/// Starts a thread with enough stack.
pub fn thread(name: &str, work: impl FnOnce() + Send + 'static) -> std::io::Result<JoinHandle<()>> {
    Builder::new().name(name.to_owned()).stack_size(STACK).spawn(work)
}

/// Takes one task after the other, until nobody is left who could put one.
pub fn work(mut desk: Desk, tasks: &Receiver<Task>) {
    loop {
        let task = match tasks.try_recv() {
            Ok(task) => task,
            Err(TryRecvError::Disconnected) => return,
            Err(TryRecvError::Empty) => {
                // One piece at a time: something may have come meanwhile.
                if catch_unwind(AssertUnwindSafe(|| desk.idle())).unwrap_or(true) {
                    continue;
                }
                match wait(&desk, tasks) {
                    Ok(task) => task,
                    Err(RecvTimeoutError::Timeout) => continue,
                    Err(RecvTimeoutError::Disconnected) => return,
                }
            }
        };
        // What panics has been noted, and is left as it is.
        let _ = catch_unwind(AssertUnwindSafe(|| desk.take(task)));
    }
}

fn wait(desk: &Desk, tasks: &Receiver<Task>) -> std::result::Result<Task, RecvTimeoutError> {
    match desk.next() {
        Some(at) => tasks.recv_timeout(at.saturating_duration_since(Instant::now())),
        None => tasks.recv().map_err(|_| RecvTimeoutError::Disconnected),
    }
}

#[cfg(test)]
mod tests {
    use super::super::log::Log;
    use super::super::mouth::Mouth;
    use super::*;

    #[test]
    fn a_panic_is_an_answer_and_the_next_question_is_answered_as_well() -> std::io::Result<()> {
        let (queue, tasks) = Queue::new();
        let desk = Desk::new(mpsc::channel().0, Mouth::new().0, Log::default());
        let working = thread("desk", move || work(desk, &tasks))?;
        let runtime = tokio::runtime::Builder::new_current_thread().build()?;
        let panics = queue.ask(|_| -> Result<u8> { panic!("this panic belongs to a test") });
        let answers = queue.ask(|_| Ok(7));
        assert_eq!(runtime.block_on(panics).map_err(|error| error.code), Err(Error::internal_error().code));
        assert_eq!(runtime.block_on(answers), Ok(7));
        drop(queue);
        assert!(working.join().is_ok());
        Ok(())
    }

    #[test]
    fn a_question_whose_asker_has_gone_is_not_worked_out() -> std::io::Result<()> {
        let (queue, tasks) = Queue::new();
        let (worked, working) = mpsc::channel();
        drop(queue.ask(move |_| Ok(worked.send(()))));
        let desk = Desk::new(mpsc::channel().0, Mouth::new().0, Log::default());
        drop(queue);
        work(desk, &tasks);
        assert!(working.try_recv().is_err(), "nothing was worked out");
        Ok(())
    }
}
