//! A client that measures: it writes, waits and reads, one thing after the other.

use std::io::{BufRead, BufReader, Read, Write};
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// A client of a program that it has started.
pub struct Client {
    program: Child,
    input: ChildStdin,
    output: BufReader<ChildStdout>,
    asked: i64,
    version: i64,
    /// The text that was opened or changed last, and its last state of which something was published.
    changed: String,
    seen: i64,
}

impl Client {
    /// Starts the program and says hello.
    pub fn start(settings: Value) -> Self {
        let mut program = Command::new(env!("CARGO_BIN_EXE_purfle-editor"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program runs");
        let input = program.stdin.take().expect("an input");
        let output = BufReader::new(program.stdout.take().expect("an output"));
        let mut client = Self { program, input, output, asked: 0, version: 0, changed: String::new(), seen: 0 };
        client.ask("initialize", json!({"capabilities": {}, "initializationOptions": settings}));
        client.tell("initialized", json!({}));
        client
    }

    fn send(&mut self, message: &Value) {
        let message = message.to_string();
        write!(self.input, "Content-Length: {}\r\n\r\n{message}", message.len()).expect("the program reads");
        self.input.flush().expect("the program reads");
    }

    fn tell(&mut self, method: &str, params: Value) {
        self.send(&json!({"jsonrpc": "2.0", "method": method, "params": params}));
    }

    fn ask(&mut self, method: &str, params: Value) -> Value {
        self.asked += 1;
        let mut message = json!({"jsonrpc": "2.0", "id": self.asked, "method": method});
        if !params.is_null() {
            message["params"] = params;
        }
        self.send(&message);
        loop {
            let answer = self.read();
            if answer["id"] == self.asked {
                assert!(answer.get("error").is_none(), "{method}: {answer}");
                return answer["result"].clone();
            }
        }
    }

    /// How long a question takes that must have an answer.
    pub fn timed(&mut self, method: &str, params: Value) -> Duration {
        let begun = Instant::now();
        let answer = self.ask(method, params);
        let took = begun.elapsed();
        assert!(!answer.is_null(), "{method} has no answer");
        took
    }

    fn read(&mut self) -> Value {
        let mut length = 0;
        loop {
            let mut line = String::new();
            self.output.read_line(&mut line).expect("the program writes");
            match line.trim().strip_prefix("Content-Length: ") {
                Some(value) => length = value.parse().expect("a length"),
                None => break,
            }
        }
        let mut message = vec![0; length];
        self.output.read_exact(&mut message).expect("the program writes");
        let message: Value = serde_json::from_slice(&message).expect("JSON");
        if message["params"]["uri"] == self.changed.as_str() {
            self.seen = self.seen.max(message["params"]["version"].as_i64().unwrap_or(0));
        }
        message
    }

    /// Opens a text as its first state.
    pub fn open(&mut self, uri: &str, text: &str) {
        (self.version, self.seen, self.changed) = (1, 0, uri.to_owned());
        let document = json!({"uri": uri, "languageId": "purfle", "version": 1, "text": text});
        self.tell("textDocument/didOpen", json!({"textDocument": document}));
    }

    /// Changes a text; gives the number of its new state.
    pub fn change(&mut self, uri: &str, range: &Value, text: &str) -> i64 {
        if self.changed != uri {
            (self.seen, self.changed) = (self.version, uri.to_owned());
        }
        self.version += 1;
        let document = json!({"uri": uri, "version": self.version});
        let changes = json!([{"range": range, "text": text}]);
        self.tell("textDocument/didChange", json!({"textDocument": document, "contentChanges": changes}));
        self.version
    }

    /// Waits until something is published of this state of a text, if nothing was yet.
    pub fn published(&mut self, version: i64) {
        while self.seen < version {
            self.read();
        }
    }

    /// Waits until there is nothing left to tell.
    pub fn settle(&mut self) {
        self.ask("purfle/settled", Value::Null);
    }

    /// What the program keeps in memory.
    pub fn memory(&self) -> String {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.program.id())).unwrap_or_default();
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
        let kilobytes = line.and_then(|line| line.trim().trim_end_matches("kB").trim().parse::<f64>().ok());
        kilobytes.map_or_else(|| "not known on this system".to_owned(), |kilobytes| format!("{:.1} MB", kilobytes * 1024.0 / 1e6))
    }

    /// Leaves, and waits for the program to end.
    pub fn leave(mut self) {
        self.ask("shutdown", Value::Null);
        self.tell("exit", Value::Null);
        self.program.wait().expect("it ends");
    }
}
