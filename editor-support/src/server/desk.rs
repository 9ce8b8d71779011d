//! Everything the server knows, on the thread that alone knows it.

pub mod asking;
mod publishing;
mod watching;

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::Sender;
use std::time::Instant;

use purfle::load::Chain;
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::syntax::Kept;
use tokio::sync::oneshot;
use tower_lsp::jsonrpc::Error;
use tower_lsp::lsp_types::{self, MessageType, Url};

use super::document::Document;
use super::facts::Facts;
use super::keep::{Step, keep};
use super::log::Log;
use super::mouth::{Mouth, Say};
use super::prover::{Order, Stage, Worked};
use super::queue::{Later, Task};
use super::settings::{ProofRun, Settings};
use super::shelf::{Files, OpenFirst, clean, identity};
use crate::analysis::Analysis;
use crate::proto::from_proto;

/// Everything the server knows.
pub struct Desk {
    facts: Facts,
    settings: Settings,
    /// What cannot be used of the settings, and was not said yet.
    unusable: Vec<String>,
    open: BTreeMap<Url, Open>,
    files: Files,
    /// What was published of each text, and of which state of it.
    published: BTreeMap<Url, (Option<i32>, Vec<lsp_types::Diagnostic>)>,
    /// Texts of which there may be something else to tell.
    outdated: BTreeSet<Url>,
    /// How many states there have been, of all rulebooks together.
    states: u64,
    /// Whether a proof is running.
    proving: bool,
    /// When files are looked at again, where the client does not watch them.
    glance: Option<Instant>,
    /// When the client is told that what it shows of a text hangs on another one that has changed.
    elsewhere: Option<Instant>,
    /// Who waits until there is nothing left to tell.
    waiting: Vec<oneshot::Sender<()>>,
    orders: Sender<Order>,
    mouth: Mouth,
    log: Log,
}

/// An open rulebook.
struct Open {
    document: Document,
    /// The file it is, whichever way its path is written.
    identity: PathBuf,
    /// What is known of it and of those it builds on; none before it was looked at, or where that failed.
    view: Option<View>,
    /// Whether it, or one it builds on, has changed since.
    stale: bool,
    /// When it was last touched.
    touched: Instant,
    /// When what takes its time is to be worked out; none where nothing is.
    due: Option<Instant>,
    /// Whether all that can be proved is among that.
    prove: bool,
    /// What is read again of each text of the chain only where it has changed.
    kept: Vec<Kept>,
    /// Who waits for figures.
    later: Vec<Later>,
}

impl Drop for Open {
    fn drop(&mut self) {
        self.turn_away();
    }
}

impl Open {
    /// Answers all who wait for figures that the text is no longer what they asked about.
    fn turn_away(&mut self) {
        for later in self.later.drain(..) {
            later(Err(moved_on()));
        }
    }
}

/// What is answered where a text has changed before there was an answer.
fn moved_on() -> Error {
    let message = "The text has changed since; ask again.";
    Error { message: message.into(), ..Error::content_modified() }
}

/// What is known of a rulebook.
#[derive(Debug)]
struct View {
    analysis: Arc<Analysis>,
    /// The names the client has for them.
    uris: Arc<[Url]>,
    state: u64,
    /// What was proved of this state, or of one before and may still be shown.
    proved: Vec<Diagnostic>,
    /// Whether that is all there is to prove of this state.
    complete: bool,
    /// All there is to tell.
    told: Vec<Diagnostic>,
}

impl Desk {
    /// A desk with nothing on it.
    pub fn new(orders: Sender<Order>, mouth: Mouth, log: Log) -> Self {
        Self {
            facts: Facts::default(),
            settings: Settings::default(),
            unusable: Vec::new(),
            open: BTreeMap::new(),
            files: Files::default(),
            published: BTreeMap::new(),
            outdated: BTreeSet::new(),
            states: 0,
            proving: false,
            glance: None,
            elsewhere: None,
            waiting: Vec::new(),
            orders,
            mouth,
            log,
        }
    }

    /// Does one thing.
    pub fn take(&mut self, task: Task) {
        match task {
            Task::Begin(params) => {
                self.facts = Facts::of(&params);
                self.unusable = params.initialization_options.as_ref().map_or_else(Vec::new, |told| self.settings.take(told));
            }
            Task::Ready => self.ready(),
            Task::Open(uri, version, text) => self.opened(uri, version, text),
            Task::Change(uri, version, changes) => {
                let Some(open) = self.open.get_mut(&uri) else {
                    self.log.note(|| format!("a change of {uri}, which is not open, is passed over"));
                    return;
                };
                open.document.change(version, changes, self.facts.encoding);
                let identity = open.identity.clone();
                open.touched = Instant::now();
                self.stale(&[identity], Some(&uri));
            }
            Task::Save(uri) => self.saved(&uri),
            Task::Close(uri) => self.closed(&uri),
            Task::Files(uris) => self.files_changed(&uris),
            Task::Settings(told) => {
                let before = self.settings.clone();
                self.unusable = self.settings.take(&told);
                self.complain();
                self.settings_changed(&before);
            }
            Task::SettingsChanged if self.facts.asked_for_settings => self.mouth.say(Say::AskSettings),
            Task::SettingsChanged => {}
            Task::Worked(worked) => self.worked(&worked),
            Task::Ask(work) => work(self),
            Task::Settle(waiting) => self.waiting.push(waiting),
        }
    }

    /// Says what cannot be used of the settings.
    fn complain(&mut self) {
        for wrong in self.unusable.drain(..) {
            self.mouth.say(Say::Show(MessageType::WARNING, wrong));
        }
    }

    fn settings_changed(&mut self, before: &Settings) {
        if before.proof != self.settings.proof {
            let prove = self.settings.proof != ProofRun::Never;
            for open in self.open.values_mut() {
                let complete = open.view.as_ref().is_some_and(|view| view.complete);
                open.prove = prove && !complete;
                open.due = Some(Instant::now());
            }
        }
        if (before.code_lens, before.inlay_hints) != (self.settings.code_lens, self.settings.inlay_hints) {
            self.refresh_shown();
        }
    }

    fn opened(&mut self, uri: Url, version: i32, text: String) {
        let folder = self.facts.folders.first().cloned().unwrap_or_default();
        let path = from_proto::path(&uri, &folder);
        let identity = identity(&path);
        let now = Instant::now();
        let document = Document::new(path, version, text);
        let open = Open {
            document,
            identity: identity.clone(),
            view: None,
            stale: true,
            touched: now,
            due: Some(now),
            prove: self.settings.proof != ProofRun::Never,
            kept: Vec::new(),
            later: Vec::new(),
        };
        self.open.insert(uri.clone(), open);
        self.stale(&[identity], Some(&uri));
    }

    fn saved(&mut self, uri: &Url) {
        let Some(open) = self.open.get_mut(uri) else { return };
        // Only now there may be a file.
        open.identity = identity(&open.document.path);
        let complete = open.view.as_ref().is_some_and(|view| view.complete) && !open.stale;
        if self.settings.proof != ProofRun::Never && !complete {
            (open.due, open.prove) = (Some(Instant::now()), true);
        }
        let identity = open.identity.clone();
        self.files.forget(&identity);
    }

    fn closed(&mut self, uri: &Url) {
        let Some(mut open) = self.open.remove(uri) else { return };
        self.outdated.insert(uri.clone());
        self.outdated.extend(open.view.take().iter().flat_map(|view| view.uris.iter().cloned()));
        // Others now build on what is on the disk.
        self.stale(&[open.identity.clone()], None);
    }

    /// Calls every open rulebook stale that is one of these files or builds on one of them, or on one that was not found.
    /// `by` is the text whose change that is, where it is an open one.
    fn stale(&mut self, files: &[PathBuf], by: Option<&Url>) {
        let delay = self.settings.delay;
        for (uri, open) in &mut self.open {
            let concerned = match &open.view {
                Some(view) => !view.analysis.whole || view.analysis.paths.iter().any(|identity| files.contains(identity)),
                None => true,
            };
            if concerned || files.contains(&open.identity) {
                open.stale = true;
                if by != Some(uri) {
                    self.elsewhere = Some(Instant::now() + delay);
                }
                open.turn_away();
                open.prove |= self.settings.proof == ProofRun::Type;
                if open.view.is_some() {
                    open.due = Some(Instant::now() + delay);
                }
            }
        }
    }

    /// Does one piece of what nobody asked for, and tells whether there was any.
    pub fn idle(&mut self) -> bool {
        let stale = self.open.iter().filter(|(_, open)| open.stale).max_by_key(|(_, open)| open.touched);
        if let Some(uri) = stale.map(|(uri, _)| uri.clone()) {
            self.refresh(&uri);
            return true;
        }
        if !self.outdated.is_empty() {
            self.publish();
            return true;
        }
        if self.due() {
            return true;
        }
        if !self.proving && self.open.values().all(|open| open.due.is_none()) {
            for waiting in self.waiting.drain(..) {
                self.mouth.say(Say::Settled(waiting));
            }
        }
        false
    }

    /// When there will be something to do though nothing comes.
    pub fn next(&self) -> Option<Instant> {
        let due = self.open.values().filter_map(|open| open.due).min().filter(|_| !self.proving);
        [due, self.elsewhere, self.glance.filter(|_| !self.open.is_empty())].into_iter().flatten().min()
    }

    /// Looks at a rulebook anew, if it has changed.
    fn refresh(&mut self, uri: &Url) {
        let Some(open) = self.open.get_mut(uri).filter(|open| open.stale) else { return };
        // Before anything can go wrong, so that what goes wrong does so once.
        open.stale = false;
        let before = open.view.take();
        self.outdated.insert(uri.clone());
        let (path, text) = (open.document.path.clone(), open.document.text.clone());
        let mut kept = std::mem::take(&mut open.kept);
        let begun = Instant::now();
        let texts = self.open.values().map(|open| (open.identity.as_path(), open.document.text.as_str())).collect();
        let mut shelf = OpenFirst { open: texts, files: &mut self.files, kept: &mut kept };
        let mut chain = Chain::follow(&path, text, &mut shelf);
        let written = std::mem::take(&mut chain.paths);
        // Whoever compares two chains finds the same file by the same path, however it is written.
        chain.paths = written.iter().map(|path| identity(path)).collect();
        let analysis = Arc::new(Analysis::new(chain));
        self.log.note(|| format!("looked at {uri} in {:.1} ms", begun.elapsed().as_secs_f64() * 1e3));
        let mut uris: Vec<Url> =
            written.iter().zip(&analysis.paths).map(|(path, identity)| self.uri(uri, path, identity)).collect();
        if let Some(own) = uris.first_mut() {
            own.clone_from(uri);
        }
        let proved = before.map_or_else(Vec::new, |view| {
            self.outdated.extend(view.uris.iter().cloned());
            let same = view.analysis.paths == analysis.paths;
            if same { still(&view.analysis, &analysis, view.proved) } else { Vec::new() }
        });
        self.outdated.extend(uris.iter().cloned());
        self.states += 1;
        let told = analysis.told(&proved, false);
        let view = View { analysis, uris: uris.into(), state: self.states, proved, complete: false, told };
        if let Some(open) = self.open.get_mut(uri) {
            (open.view, open.kept) = (Some(view), kept);
        }
    }

    /// The client's name for a file of the chain of `own`.
    fn uri(&self, own: &Url, path: &Path, identity: &Path) -> Url {
        let open = self.open.iter().find(|(_, open)| open.identity == identity).map(|(uri, _)| uri.clone());
        let file = || Url::from_file_path(clean(path)).or_else(|()| Url::from_file_path(identity)).ok();
        open.or_else(file).unwrap_or_else(|| {
            // Every path is whole, and a whole path has a name; should one have none, it is a part of its child.
            let mut part = own.clone();
            part.set_fragment(Some(&path.to_string_lossy()));
            part
        })
    }

    /// Does one piece of what is due, and tells whether there was any.
    fn due(&mut self) -> bool {
        let now = Instant::now();
        if self.glance.is_some_and(|at| at <= now) {
            self.glance();
            return true;
        }
        if self.elsewhere.is_some_and(|at| at <= now) {
            self.elsewhere = None;
            self.refresh_shown();
            return true;
        }
        self.prove(now)
    }

    /// Orders the next proof that is due, and tells whether there was one.
    fn prove(&mut self, now: Instant) -> bool {
        if self.proving {
            return false;
        }
        let due = self.open.iter_mut().filter(|(_, open)| open.due.is_some_and(|due| due <= now));
        let Some((uri, open)) = due.max_by_key(|(_, open)| open.touched) else { return false };
        (open.due, self.proving) = (None, false);
        let proof = std::mem::take(&mut open.prove);
        let Some(view) = open.view.as_mut() else { return true };
        if view.analysis.sound() {
            let order = Order { uri: uri.clone(), state: view.state, analysis: Arc::clone(&view.analysis), proof };
            self.proving = self.orders.send(order).is_ok();
        }
        true
    }

    fn worked(&mut self, worked: &Worked) {
        self.proving &= worked.stage != Stage::Done;
        let Some(open) = self.open.get_mut(&worked.uri) else { return };
        let Some(view) = open.view.as_mut().filter(|view| view.state == worked.state) else { return };
        match worked.stage {
            Stage::Proved => {
                (view.proved, view.complete) = (view.analysis.proof().to_vec(), true);
                view.told = view.analysis.told(&view.proved, true);
                self.outdated.extend(view.uris.iter().cloned());
            }
            Stage::Done => {
                for later in std::mem::take(&mut open.later) {
                    later(Ok(self));
                }
            }
        }
    }

    /// Answers a question about a text once its figures are worked out; at once where there are none to work out.
    pub fn once_figured(&mut self, uri: &Url, later: Later) {
        self.refresh(uri);
        let Some(open) = self.open.get_mut(uri) else { return later(Ok(self)) };
        let waits = open.view.as_ref().is_some_and(|view| view.analysis.sound() && view.analysis.known_came().is_none());
        if waits {
            open.due = open.due.or(Some(Instant::now()));
            open.later.push(later);
        } else {
            later(Ok(self));
        }
    }
}

/// What was proved before, as far as it may still be shown.
fn still(before: &Analysis, after: &Analysis, proved: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let texts = before.sources.iter().zip(&before.trees).zip(&after.sources);
    let steps: Vec<Step> = texts.map(|((before, tree), after)| Step { before: &before.text, tree, after: &after.text }).collect();
    keep(&steps, proved)
}
