//! The program itself: how it starts, and that it ends.

use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Command, Output, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_purfle-editor"))
}

fn told(arguments: &[&str]) -> Output {
    program().args(arguments).stdin(Stdio::null()).output().expect("the program runs")
}

fn started(arguments: &[&str]) -> Child {
    program()
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("the program runs")
}

fn send(input: &mut ChildStdin, message: &Value) {
    let message = message.to_string();
    write!(input, "Content-Length: {}\r\n\r\n{message}", message.len()).expect("the program reads");
    input.flush().expect("the program reads");
}

fn read(output: &mut impl BufRead) -> Value {
    let mut length = 0;
    loop {
        let mut line = String::new();
        output.read_line(&mut line).expect("the program writes");
        match line.trim().strip_prefix("Content-Length: ") {
            Some(value) => length = value.parse().expect("a length"),
            None => break,
        }
    }
    let mut message = vec![0; length];
    std::io::Read::read_exact(output, &mut message).expect("the program writes");
    serde_json::from_slice(&message).expect("JSON")
}

/// Begins, and gives both ends back.
fn begin(child: &mut Child) -> (ChildStdin, BufReader<std::process::ChildStdout>) {
    let mut input = child.stdin.take().expect("an input");
    let mut output = BufReader::new(child.stdout.take().expect("an output"));
    send(&mut input, &json!({"jsonrpc": "2.0", "id": 1, "method": "initialize", "params": {"capabilities": {}}}));
    assert_eq!(read(&mut output)["id"], 1);
    send(&mut input, &json!({"jsonrpc": "2.0", "method": "initialized", "params": {}}));
    (input, output)
}

/// The code with which the program ends, at once.
fn code(mut child: Child) -> i32 {
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(5) {
        if let Some(status) = child.try_wait().expect("it can be asked") {
            return status.code().expect("a code");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    let _ = child.kill();
    panic!("the program has not ended");
}

#[test]
fn it_tells_its_version_and_what_it_can_be_told() {
    let version = told(&["--version"]);
    assert_eq!(String::from_utf8_lossy(&version.stdout), concat!("purfle-editor ", env!("CARGO_PKG_VERSION"), "\n"));
    let help = told(&["--help"]);
    let words = String::from_utf8_lossy(&help.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("--log <FILE>") && words.contains("never what stands in a rulebook"), "{words}");
    assert!(version.status.success() && help.status.success());
    let wrong = told(&["--logs", "x"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("--log"));
}

#[test]
fn exit_ends_it_at_once_though_the_input_stays_open() {
    let mut child = started(&["--stdio"]);
    let (mut input, mut output) = begin(&mut child);
    send(&mut input, &json!({"jsonrpc": "2.0", "id": 2, "method": "shutdown"}));
    assert_eq!(read(&mut output), json!({"jsonrpc": "2.0", "id": 2, "result": null}));
    send(&mut input, &json!({"jsonrpc": "2.0", "method": "exit"}));
    assert_eq!(code(child), 0);
    drop((input, output));
}

#[test]
fn exit_without_shutdown_is_told_by_the_code() {
    let mut child = started(&[]);
    let (mut input, output) = begin(&mut child);
    send(&mut input, &json!({"jsonrpc": "2.0", "method": "exit"}));
    assert_eq!(code(child), 1);
    drop((input, output));
}

#[test]
fn a_closed_input_ends_it() {
    let mut child = started(&[]);
    let (input, output) = begin(&mut child);
    drop(input);
    assert_eq!(code(child), 1);
    drop(output);
    let mut child = started(&[]);
    let (mut input, mut output) = begin(&mut child);
    send(&mut input, &json!({"jsonrpc": "2.0", "id": 2, "method": "shutdown"}));
    read(&mut output);
    drop(input);
    assert_eq!(code(child), 0);
}

#[test]
fn an_output_that_nobody_reads_any_more_ends_it() {
    let mut child = started(&[]);
    let (mut input, output) = begin(&mut child);
    drop(output);
    send(&mut input, &json!({"jsonrpc": "2.0", "id": 2, "method": "purfle/settled"}));
    assert_eq!(code(child), 1);
    drop(input);
}

#[test]
fn it_ends_in_the_middle_of_its_work() {
    let mut child = started(&[]);
    let (mut input, output) = begin(&mut child);
    let text = include_str!("../../rulebooks/first-look.purfle").repeat(8);
    let document = json!({"uri": "untitled:large", "languageId": "purfle", "version": 1, "text": text});
    send(&mut input, &json!({"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {"textDocument": document}}));
    send(&mut input, &json!({"jsonrpc": "2.0", "method": "exit"}));
    let begun = Instant::now();
    assert_eq!(code(child), 1);
    assert!(begun.elapsed() < Duration::from_secs(1), "{:?}", begun.elapsed());
    drop((input, output));
}

#[test]
fn it_notes_what_it_does_and_never_what_stands_in_a_rulebook() {
    let folder = tempfile::tempdir().expect("a folder");
    let log = folder.path().join("log.txt");
    let mut child = started(&["--log", &log.to_string_lossy()]);
    let (mut input, mut output) = begin(&mut child);
    let document = json!({"uri": "untitled:one", "languageId": "purfle", "version": 1, "text": "secretwords here"});
    send(&mut input, &json!({"jsonrpc": "2.0", "method": "textDocument/didOpen", "params": {"textDocument": document}}));
    send(&mut input, &json!({"jsonrpc": "2.0", "id": 2, "method": "purfle/settled"}));
    while read(&mut output)["id"] != 2 {}
    send(&mut input, &json!({"jsonrpc": "2.0", "method": "exit"}));
    assert_eq!(code(child), 1);
    let noted = std::fs::read_to_string(&log).expect("a log");
    for words in [
        "purfle/settled",
        "looked at untitled:one in",
        "publish untitled:one version Some(1)",
        "the client has left: Unannounced",
    ] {
        assert!(noted.contains(words), "{words}: {noted}");
    }
    assert!(!noted.contains("secretwords"), "{noted}");
}

#[test]
fn a_log_that_cannot_be_written_is_told() {
    let output = told(&["--log", "/no/such/folder/log.txt"]);
    assert_eq!(output.status.code(), Some(1));
    let words = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(words.contains("/no/such/folder/log.txt"), "{words}");
}
