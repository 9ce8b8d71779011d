//! Messages in and out. Each is handed on, in the order of arrival, before the next is looked at.
//!
//! The protocol library's own transport runs only so many requests at once and then stops reading, does not end at
//! `exit`, ends at the first message that is no JSON and panics when the client dies; so this one stands in its place.

use std::future::poll_fn;
use std::panic::AssertUnwindSafe;
use std::task::Poll;
use std::time::Duration;

use futures_util::future::{Either, FutureExt, select};
use futures_util::{SinkExt, StreamExt};
use serde_json::Value;
use tokio::io::{AsyncRead, AsyncWrite, AsyncWriteExt, BufReader};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tower_lsp::jsonrpc::{Error, Id, Request, Response};
use tower_lsp::{ClientSocket, ExitedError, LspService};
use tower_service::Service;

use super::backend::Backend;
use super::frame;
use super::log::Log;

/// How long what has been said may still take to be written when the client leaves.
const PARTING: Duration = Duration::from_millis(200);

/// How the client left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Left {
    /// It had asked for the end before.
    AfterShutdown,
    /// It went without a word.
    Unannounced,
}

/// What is to be written.
#[derive(Debug)]
pub enum Out {
    /// A message, without its frame.
    Message(Vec<u8>),
    /// Nothing comes after this.
    Last,
}

/// Where what is to be written goes.
#[derive(Debug, Clone)]
pub struct Outlet(UnboundedSender<Out>);

impl Outlet {
    /// An outlet, and what comes out of it.
    pub fn new() -> (Self, UnboundedReceiver<Out>) {
        let (sender, outgoing) = unbounded_channel();
        (Self(sender), outgoing)
    }

    /// Sends a message.
    pub fn send(&self, message: &impl serde::Serialize) {
        if let Ok(message) = serde_json::to_vec(message) {
            // Nobody listens once the client has left.
            let _ = self.0.send(Out::Message(message));
        }
    }
}

/// Serves a client until it leaves.
pub async fn serve<I, O>(
    (input, output): (I, O),
    (outlet, outgoing): (Outlet, UnboundedReceiver<Out>),
    (service, socket): (LspService<Backend>, ClientSocket),
    log: Log,
) -> Left
where
    I: AsyncRead + Unpin,
    O: AsyncWrite + Unpin + Send + 'static,
{
    let writing = tokio::spawn(write(output, outgoing));
    let (mut asked, answers) = socket.split();
    let asking = tokio::spawn({
        let outlet = outlet.clone();
        async move {
            while let Some(request) = asked.next().await {
                outlet.send(&request);
            }
        }
    });
    let reading = Box::pin(read(BufReader::new(input), service, answers, outlet.clone(), &log));
    let left = match select(reading, writing).await {
        Either::Left((left, writing)) => {
            let _ = outlet.0.send(Out::Last);
            let _ = tokio::time::timeout(PARTING, writing).await;
            left
        }
        // What is said can no longer be heard.
        Either::Right(_) => Left::Unannounced,
    };
    asking.abort();
    log.note(|| format!("the client has left: {left:?}"));
    left
}

async fn write(mut output: impl AsyncWrite + Unpin, mut outgoing: UnboundedReceiver<Out>) -> std::io::Result<()> {
    while let Some(Out::Message(message)) = outgoing.recv().await {
        output.write_all(&frame::framed(&message)).await?;
        output.flush().await?;
    }
    Ok(())
}

async fn read(
    mut input: BufReader<impl AsyncRead + Unpin>,
    mut service: LspService<Backend>,
    mut answers: impl futures_util::Sink<Response> + Unpin,
    outlet: Outlet,
    log: &Log,
) -> Left {
    let mut left = Left::Unannounced;
    loop {
        let message = match frame::read(&mut input).await {
            Ok(Some(message)) => message,
            Ok(None) => return left,
            Err(error) => {
                log.note(|| format!("nothing more can be read: {error}"));
                return left;
            }
        };
        let Ok(message) = serde_json::from_slice::<Value>(&message) else {
            log.note(|| format!("a message of {} bytes is no JSON", message.len()));
            outlet.send(&Response::from_error(Id::Null, Error::parse_error()));
            continue;
        };
        if message.get("method").is_none() {
            match serde_json::from_value(message) {
                // It fails only when the client has left.
                Ok(answer) => drop(answers.send(answer).await),
                Err(_) => outlet.send(&Response::from_error(Id::Null, Error::invalid_request())),
            }
            continue;
        }
        let id = message.get("id").and_then(|id| serde_json::from_value(id.clone()).ok());
        let Ok(request) = serde_json::from_value::<Request>(message) else {
            outlet.send(&Response::from_error(id.unwrap_or(Id::Null), Error::invalid_request()));
            continue;
        };
        log.note(|| match request.id() {
            Some(id) => format!("asked {id}: {}", request.method()),
            None => format!("told: {}", request.method()),
        });
        match request.method() {
            "exit" => return left,
            "shutdown" if request.id().is_some() => left = Left::AfterShutdown,
            _ => {}
        }
        hand_on(request, &mut service, &outlet).await;
    }
}

/// What came of a message: an answer or none, or that everything has ended, or a panic.
type Handled = std::thread::Result<std::result::Result<Option<Response>, ExitedError>>;

/// Hands a message to its handler and lets that run up to its first pause, so that whatever it puts down is put down
/// before the next message. The rest of it, and the answer, come when they come.
async fn hand_on(request: Request, service: &mut LspService<Backend>, outlet: &Outlet) {
    let id = request.id().cloned();
    if poll_fn(|context| service.poll_ready(context)).await.is_err() {
        return;
    }
    let mut handled = Box::pin(AssertUnwindSafe(service.call(request)).catch_unwind());
    let outlet = outlet.clone();
    let answer = move |handled: Handled| match (handled, id) {
        (Ok(Ok(Some(response))), _) => outlet.send(&response),
        (Err(_), Some(id)) => outlet.send(&Response::from_error(id, Error::internal_error())),
        _ => {}
    };
    match poll_fn(|context| Poll::Ready(handled.as_mut().poll(context))).await {
        Poll::Ready(handled) => answer(handled),
        Poll::Pending => drop(tokio::spawn(async move { answer(handled.await) })),
    }
}
