//! What the editor lets the program do: judge a file of records, show one slip, tell what came of an example.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use purfle::compared::compared_looks;
use purfle::judge::Judge;
use purfle::plan::Plan;
use purfle::records::{Input, Stopped};
use purfle::report::{As, Paint, Settings, refused_words};
use purfle::triage::{Files, marks, slips, triage};
use purfle_lang::book::Book;
use purfle_lang::nearest::nearest;
use serde_json::{Value, json};
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::{MessageType, Url};

use super::names::refused;
use crate::analysis::Analysis;
use crate::ide::lenses::result;
use crate::proto::to_proto::shown::SHOW_EXAMPLE;
use crate::server::desk::Desk;
use crate::server::mouth::Say;

/// Judges a file of records: the rulebook's name, the file's path.
pub const TRIAGE: &str = "purfle.triage";

/// Shows the slip of one record: the rulebook's name, the file's path, the record's mark.
pub const SLIP: &str = "purfle.slip";

/// All commands.
pub const COMMANDS: [&str; 3] = [TRIAGE, SLIP, SHOW_EXAMPLE];

/// Something to do.
#[derive(Debug)]
pub enum Command {
    /// Judge a file of records.
    Triage {
        /// By which rulebook.
        rulebook: Url,
        /// The file.
        records: PathBuf,
    },
    /// Show the slip of one record.
    Slip {
        /// By which rulebook.
        rulebook: Url,
        /// The file.
        records: PathBuf,
        /// The record's mark, or its instrument's.
        record: String,
    },
    /// Tell what came of an example.
    ShowExample {
        /// Of which rulebook.
        rulebook: Url,
        /// The example's words.
        words: String,
    },
}

impl Command {
    /// Reads a command with its arguments.
    pub fn read(name: &str, arguments: &[Value]) -> Result<Self> {
        let told = |at: usize| arguments.get(at).and_then(Value::as_str).map(str::to_owned);
        let rulebook = || told(0).and_then(|uri| Url::parse(&uri).ok());
        let path = || told(1).map(|path| named(&path));
        let (command, takes) = match name {
            TRIAGE => {
                let command = rulebook().zip(path()).map(|(rulebook, records)| Self::Triage { rulebook, records });
                (command, "the rulebook's address and the path of a file of records")
            }
            SLIP => {
                let all = rulebook().zip(path()).zip(told(2));
                let command = all.map(|((rulebook, records), record)| Self::Slip { rulebook, records, record });
                (command, "the rulebook's address, the path of a file of records and a record's mark")
            }
            SHOW_EXAMPLE => {
                let command = rulebook().zip(told(1)).map(|(rulebook, words)| Self::ShowExample { rulebook, words });
                (command, "the rulebook's address and the example's words")
            }
            _ => {
                let known = COMMANDS.join(", ");
                return Err(Error::invalid_params(format!("There is no command `{name}`; there are {known}.")));
            }
        };
        command.ok_or_else(|| Error::invalid_params(format!("The command `{name}` takes {takes}, in this order, as text.")))
    }

    /// The rulebook it is about.
    pub fn rulebook(&self) -> &Url {
        match self {
            Self::Triage { rulebook, .. } | Self::Slip { rulebook, .. } | Self::ShowExample { rulebook, .. } => rulebook,
        }
    }
}

/// A file by its path, or by its address.
fn named(path: &str) -> PathBuf {
    let address = Url::parse(path).ok().filter(|uri| uri.scheme() == "file");
    address.and_then(|uri| uri.to_file_path().ok()).unwrap_or_else(|| PathBuf::from(path))
}

/// What a command needs of the desk: the rulebook as it stands now.
pub fn prepare(desk: &mut Desk, command: &Command) -> Result<Arc<Analysis>> {
    let uri = command.rulebook();
    match desk.look(uri) {
        Some(look) => Ok(look.analysis),
        None => Err(refused(format!("{uri} is not open."))),
    }
}

/// Does what a command says, by a rulebook, and gives what came of it. It may take its time.
pub fn run(command: &Command, analysis: &Analysis) -> Result<Value> {
    match command {
        Command::Triage { records, .. } => {
            let (judge, inputs) = ready(analysis, records)?;
            let mut report = Vec::new();
            let judged = triage(&judge, Files { inputs: &inputs, last: &[] }, plain(), &mut report, || {});
            let finished = judged.and_then(|(judged, earlier)| Ok(judged.finish(&earlier)?));
            finished.map_err(stopped)?;
            Ok(json!({"report": String::from_utf8_lossy(&report)}))
        }
        Command::Slip { records, record, .. } => {
            let (judge, inputs) = ready(analysis, records)?;
            let files = Files { inputs: &inputs, last: &[] };
            let found = slips(&judge, files, plain(), record).map_err(stopped)?;
            let mut slip = None;
            for found in found {
                match found {
                    Ok(text) => slip = slip.or(Some(text)),
                    Err(why) if why.record.as_deref() == Some(record) => return Err(refused(refused_words(&why))),
                    Err(_) => {}
                }
            }
            match slip {
                Some(slip) => Ok(json!({"text": slip})),
                None => Err(no_such_record(&judge, &inputs, records, record)),
            }
        }
        Command::ShowExample { words, .. } => {
            let number = analysis.came().iter().position(|came| came.words == *words);
            let text = number.and_then(|number| result(analysis, number));
            let none = || refused(format!("There is no example \"{words}\" whose result is known: see what is wrong first."));
            Ok(json!({"text": text.ok_or_else(none)?}))
        }
    }
}

/// The most marks that are named where one was not found.
const MOST_MARKS: usize = 6;

/// What is answered where no record bears a mark: the nearest one, or the first of those that there are.
fn no_such_record(judge: &Judge, inputs: &[Input], records: &Path, record: &str) -> Error {
    let marks = marks(judge, inputs).unwrap_or_default();
    let there = match nearest(record, marks.iter().map(String::as_str)) {
        Some(near) => format!("The nearest is `{near}`."),
        None if marks.is_empty() => "There is no record in it.".to_owned(),
        None => {
            let more = if marks.len() > MOST_MARKS { ", …" } else { "" };
            let first: Vec<&str> = marks.iter().take(MOST_MARKS).map(String::as_str).collect();
            format!("There are {}{more}.", first.join(", "))
        }
    };
    refused(format!("No record in {} bears the mark `{record}`. {there}", records.display()))
}

/// Shows what came of an example where every client can show it, unless this one does so by itself; the rest is for the
/// client to show as it likes.
pub fn show(desk: &Desk, command: &Command, came: &Value) {
    if desk.facts().shows_reports {
        return;
    }
    if let (Command::ShowExample { .. }, Some(text)) = (command, came["text"].as_str()) {
        desk.say(Say::Show(MessageType::INFO, text.to_owned()));
    }
}

/// A report without colours.
fn plain() -> Settings {
    Settings { form: As::Terminal, without_names: false, paint: Paint { colour: false } }
}

fn stopped(why: Stopped) -> Error {
    refused(match why {
        Stopped::Input(unusable) => unusable.to_string(),
        Stopped::Output(error) => format!("The report cannot be written: {error}"),
    })
}

/// A judge by the rulebook, and the file of records, looked at.
fn ready(analysis: &Analysis, records: &Path) -> Result<(Judge, Vec<Input>)> {
    let book: &Arc<Book> = analysis
        .book()
        .ok_or_else(|| refused("The rulebook has errors, and nothing is judged by it before they are mended.".to_owned()))?;
    let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
    judge.warm_up().map_err(|fine| {
        refused(format!("`{}` is compared with more limits than can be kept apart.", book.look_path(fine.look)))
    })?;
    let beside = analysis.paths.first().and_then(|path| path.parent()).unwrap_or(Path::new(""));
    let name = beside.join(records).to_string_lossy().into_owned();
    let twice = !compared_looks(book).is_empty();
    let input = Input::new(&name, twice).and_then(|input| input.check(book).map(|()| input));
    Ok((judge, vec![input.map_err(|unusable| refused(unusable.to_string()))?]))
}
