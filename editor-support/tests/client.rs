//! A client as an editor has one: it keeps the texts, hears what is published, and fails on whatever nobody has read.

use std::collections::{BTreeMap, VecDeque};
use std::time::Duration;

use purfle_editor::server::{Left, serve};
use serde_json::{Value, json};
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader, DuplexStream, ReadHalf, WriteHalf, duplex, split};
use tokio::runtime::{Builder, Runtime};
use tokio::task::JoinHandle;

/// How long any answer may take before it counts as none.
pub const PATIENCE: Duration = Duration::from_secs(60);

/// A runtime for a test.
pub fn runtime() -> Runtime {
    Builder::new_current_thread().enable_all().build().expect("a runtime")
}

/// A client, connected to a server that runs in the same process.
pub struct Client {
    reading: BufReader<ReadHalf<DuplexStream>>,
    writing: WriteHalf<DuplexStream>,
    server: JoinHandle<std::io::Result<Left>>,
    asked: i64,
    /// Requests that are not answered yet.
    open: Vec<i64>,
    /// Answers that nobody has read.
    answers: BTreeMap<i64, Value>,
    /// What was published last of each text, and whether anybody has read it.
    published: BTreeMap<String, (Value, bool)>,
    /// Everything else that the server has said and nobody has read.
    pub said: VecDeque<Value>,
}

impl Client {
    /// Connects, and says and hears nothing.
    pub fn connect() -> Self {
        let (ours, theirs) = duplex(1 << 16);
        let (input, output) = split(theirs);
        let server = tokio::spawn(serve(input, output));
        let (reading, writing) = split(ours);
        Self {
            reading: BufReader::new(reading),
            writing,
            server,
            asked: 0,
            open: Vec::new(),
            answers: BTreeMap::new(),
            published: BTreeMap::new(),
            said: VecDeque::new(),
        }
    }

    /// Connects and says what it can do; gives what the server offers as well.
    pub async fn start(capabilities: Value, settings: Value) -> (Self, Value) {
        let mut client = Self::connect();
        let params = json!({"processId": null, "rootUri": null, "capabilities": capabilities, "initializationOptions": settings});
        let offered = client.ask("initialize", params).await;
        client.tell("initialized", json!({})).await;
        (client, offered["result"]["capabilities"].clone())
    }

    /// Connects as a client that works in some folders.
    pub async fn start_in(folders: Value, capabilities: Value, settings: Value) -> Self {
        let mut client = Self::connect();
        let params = json!({
            "processId": null, "workspaceFolders": folders, "capabilities": capabilities, "initializationOptions": settings,
        });
        client.result("initialize", params).await;
        client.tell("initialized", json!({})).await;
        client
    }

    /// Writes bytes as they are.
    pub async fn write(&mut self, bytes: &[u8]) {
        self.writing.write_all(bytes).await.expect("the server reads");
    }

    async fn send(&mut self, message: &Value) {
        let message = message.to_string();
        self.write(format!("Content-Length: {}\r\n\r\n{message}", message.len()).as_bytes()).await;
    }

    /// Tells the server something.
    pub async fn tell(&mut self, method: &str, params: Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params})).await;
    }

    /// Puts a question and does not wait.
    pub async fn put(&mut self, method: &str, params: Value) -> i64 {
        self.asked += 1;
        self.open.push(self.asked);
        let mut message = json!({"jsonrpc": "2.0", "id": self.asked, "method": method});
        if !params.is_null() {
            message["params"] = params;
        }
        self.send(&message).await;
        self.asked
    }

    /// Puts a question and waits for the answer, the whole of it.
    pub async fn ask(&mut self, method: &str, params: Value) -> Value {
        let id = self.put(method, params).await;
        self.answer(id).await
    }

    /// The result of a question that must have one.
    pub async fn result(&mut self, method: &str, params: Value) -> Value {
        let answer = self.ask(method, params).await;
        assert!(answer.get("error").is_none(), "{method}: {answer}");
        answer["result"].clone()
    }

    /// Waits for the answer to a question that was put.
    pub async fn answer(&mut self, id: i64) -> Value {
        loop {
            if let Some(answer) = self.answers.remove(&id) {
                return answer;
            }
            self.hear().await;
        }
    }

    /// Waits until the server has nothing left to tell.
    pub async fn settle(&mut self) {
        let settled = self.ask("purfle/settled", Value::Null).await;
        assert!(settled.get("error").is_none(), "{settled}");
    }

    /// What was published last of a text; null where nothing was.
    pub fn published(&mut self, uri: &str) -> Value {
        self.published.get_mut(uri).map_or(Value::Null, |(published, read)| {
            *read = true;
            published.clone()
        })
    }

    /// Waits for a message and puts it where it belongs.
    pub async fn hear(&mut self) {
        let message = tokio::time::timeout(PATIENCE, self.read()).await.expect("the server says something in time");
        let message = message.expect("the server is there");
        let id = message.get("id").cloned();
        match (message["method"].as_str(), id) {
            (None, Some(id)) => {
                let Some(id) = id.as_i64() else {
                    self.said.push_back(message);
                    return;
                };
                let open = self.open.iter().position(|open| *open == id);
                self.open.swap_remove(open.unwrap_or_else(|| panic!("an answer to no open question: {message}")));
                self.answers.insert(id, message);
            }
            (Some("textDocument/publishDiagnostics"), None) => {
                let params = message["params"].clone();
                let uri = params["uri"].as_str().expect("a name").to_owned();
                let before = self.published.get(&uri).and_then(|(before, _)| before["version"].as_i64());
                let older = params["version"].as_i64().zip(before).is_some_and(|(now, before)| now < before);
                assert!(!older, "what was published is older than what was published before: {params}");
                self.published.insert(uri, (params, false));
            }
            _ => self.said.push_back(message),
        }
    }

    /// Answers something that the server has asked.
    pub async fn reply(&mut self, request: &Value, result: Value) {
        self.send(&json!({"jsonrpc": "2.0", "id": request["id"], "result": result})).await;
    }

    async fn read(&mut self) -> Option<Value> {
        let mut length = None;
        loop {
            let mut line = String::new();
            if self.reading.read_line(&mut line).await.ok()? == 0 {
                return None;
            }
            match line.trim().split_once(": ") {
                Some(("Content-Length", value)) => length = value.parse().ok(),
                Some(other) => panic!("an unknown header: {other:?}"),
                None => break,
            }
        }
        let mut message = vec![0; length.expect("a length")];
        self.reading.read_exact(&mut message).await.ok()?;
        Some(serde_json::from_slice(&message).expect("JSON"))
    }

    /// Opens a text.
    pub async fn open(&mut self, uri: &str, version: i32, text: &str) {
        let document = json!({"uri": uri, "languageId": "purfle", "version": version, "text": text});
        self.tell("textDocument/didOpen", json!({"textDocument": document})).await;
    }

    /// Changes a text.
    pub async fn change(&mut self, uri: &str, version: i32, changes: Value) {
        let document = json!({"uri": uri, "version": version});
        self.tell("textDocument/didChange", json!({"textDocument": document, "contentChanges": changes})).await;
    }

    /// Goes without a word, as a client that dies.
    pub async fn die(self) -> Left {
        let Self { reading, writing, server, .. } = self;
        drop((reading, writing));
        ended(server).await
    }

    /// Leaves as the protocol asks, and fails where the server has said what nobody has read, or has not answered.
    pub async fn leave(mut self) {
        let answer = self.result("shutdown", Value::Null).await;
        assert_eq!(answer, Value::Null);
        self.tell("exit", Value::Null).await;
        let more = self.read().await;
        assert_eq!(more, None, "said after the shutdown");
        assert_eq!(self.open, [0; 0], "these questions were never answered");
        assert!(self.answers.is_empty(), "nobody has read these answers: {:?}", self.answers);
        assert!(self.said.is_empty(), "nobody has read this: {:?}", self.said);
        let unread = |(uri, (published, read)): (&String, &(Value, bool))| {
            let told = published["diagnostics"].as_array().is_some_and(|told| !told.is_empty());
            (!read && told).then(|| format!("{uri}: {published}"))
        };
        let unread: Vec<String> = self.published.iter().filter_map(unread).collect();
        assert!(unread.is_empty(), "nobody has read what was published: {unread:#?}");
        assert_eq!(ended(self.server).await, Left::AfterShutdown);
    }
}

async fn ended(server: JoinHandle<std::io::Result<Left>>) -> Left {
    let ended = tokio::time::timeout(Duration::from_secs(5), server).await.expect("the server ends at once");
    ended.expect("it does not panic").expect("it could start")
}
