//! What the server says of itself, in order, beside its answers.

use std::time::Duration;

use serde_json::Value;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};
use tokio::sync::oneshot;
use tower_lsp::Client;
use tower_lsp::jsonrpc::Request;
use tower_lsp::lsp_types::notification::{Notification, PublishDiagnostics, ShowMessage};
use tower_lsp::lsp_types::{
    self, ConfigurationItem, MessageType, PublishDiagnosticsParams, Registration, ShowMessageParams, Url,
};

use super::log::Log;
use super::queue::{Queue, Task};
use super::transport::Outlet;

/// How long the client may take to answer.
const PATIENCE: Duration = Duration::from_secs(20);

/// One thing to say.
#[derive(Debug)]
pub enum Say {
    /// What there is to tell of a text, and of which state of it.
    Publish {
        /// The text.
        uri: Url,
        /// Its state, where it is open.
        version: Option<i32>,
        /// All there is to tell.
        diagnostics: Vec<lsp_types::Diagnostic>,
    },
    /// Something the user should read.
    Show(MessageType, String),
    /// What stands above lines is outdated.
    CodeLensRefresh,
    /// What stands within lines is outdated.
    InlayHintRefresh,
    /// Colours are outdated.
    SemanticTokensRefresh,
    /// What the client should tell from now on.
    Register(Vec<Registration>),
    /// All that was to be said before has been said.
    Settled(oneshot::Sender<()>),
    /// The settings are asked for.
    AskSettings,
}

/// Where things to say are put; they are said one after the other.
#[derive(Debug, Clone)]
pub struct Mouth(UnboundedSender<Say>);

impl Mouth {
    /// A mouth, and what it is to say.
    pub fn new() -> (Self, UnboundedReceiver<Say>) {
        let (sender, said) = unbounded_channel();
        (Self(sender), said)
    }

    /// Says something. Nobody listens once the client has left.
    pub fn say(&self, what: Say) {
        let _ = self.0.send(what);
    }
}

/// Says all that is put to the mouth, until there is no mouth. What asks something is not waited for.
///
/// Notifications go straight to the outlet, so that an answer put there later comes later.
pub async fn speak(client: Client, outlet: Outlet, mut said: UnboundedReceiver<Say>, queue: Queue, log: Log) {
    while let Some(say) = said.recv().await {
        match say {
            Say::Publish { uri, version, diagnostics } => {
                log.note(|| format!("publish {uri} version {version:?}: {}", diagnostics.len()));
                notify::<PublishDiagnostics>(&outlet, PublishDiagnosticsParams { uri, diagnostics, version });
            }
            Say::Show(typ, message) => notify::<ShowMessage>(&outlet, ShowMessageParams { typ, message }),
            Say::Settled(waiting) => {
                // Whoever waited may have gone.
                let _ = waiting.send(());
            }
            ask => {
                let ask = asked(client.clone(), ask, queue.clone());
                tokio::spawn(async move { tokio::time::timeout(PATIENCE, ask).await });
            }
        }
    }
}

fn notify<N: Notification>(outlet: &Outlet, params: N::Params) {
    if let Ok(params) = serde_json::to_value(params) {
        outlet.send(&Request::build(N::METHOD).params(params).finish());
    }
}

/// Asks the client; an answer that is an error or does not come changes nothing.
async fn asked(client: Client, ask: Say, queue: Queue) {
    match ask {
        Say::CodeLensRefresh => drop(client.code_lens_refresh().await),
        Say::InlayHintRefresh => drop(client.inlay_hint_refresh().await),
        Say::SemanticTokensRefresh => drop(client.semantic_tokens_refresh().await),
        Say::Register(registrations) => drop(client.register_capability(registrations).await),
        Say::AskSettings => {
            let item = ConfigurationItem { scope_uri: None, section: Some("purfle".to_owned()) };
            let told = client.configuration(vec![item]).await.ok().and_then(|told| told.into_iter().next());
            if let Some(told) = told.filter(|told: &Value| !told.is_null()) {
                queue.put(Task::Settings(told));
            }
        }
        Say::Publish { .. } | Say::Show(..) | Say::Settled(_) => {}
    }
}
