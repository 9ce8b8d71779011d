//! What is published of which text, when, and in which state of it.

use std::path::Path;
use std::time::Duration;

use serde_json::{Value, json};
use tempfile::{TempDir, tempdir};

use crate::client::{Client, runtime};

const PARENT: &str = include_str!("texts/parent.purfle");
const CHILD: &str = include_str!("texts/child.purfle");

/// A finding that can never be, which only a proof can tell.
const NEVER: &str = "\nfinding never \"Chipped and not chipped\"\n  on      scroll\n  signs   all of\n    - chip\n    - not chip\n  \
                     urgency soon\n  hands   player\n  cost    nothing\n  basis   \"common practice\"\n";

/// The line of the child's that names a look of the parent's.
const NAMES: u64 = 8;

/// The line of the child's that names the parent.
const BUILDS_ON: u64 = 4;

/// The change of a range of one line.
fn on_line(line: u64, from: u64, to: u64, text: &str) -> Value {
    json!([{"range": {"start": {"line": line, "character": from}, "end": {"line": line, "character": to}}, "text": text}])
}

fn never() -> Value {
    json!({"proof": {"run": "never"}, "diagnostics": {"delay": 0}})
}

fn uri(folder: &Path, name: &str) -> String {
    format!("file://{}/{name}", folder.display())
}

fn folder() -> TempDir {
    tempdir().expect("a folder")
}

/// The slugs that were published last, with their lines from 0, and of which state.
fn told(client: &mut Client, uri: &str) -> (Value, Vec<(String, u64)>) {
    let published = client.published(uri);
    let one = |told: &Value| {
        let slug = told["code"].as_str().expect("a slug").to_owned();
        (slug, told["range"]["start"]["line"].as_u64().expect("a line"))
    };
    let all = published["diagnostics"].as_array().map(|all| all.iter().map(one).collect()).unwrap_or_default();
    (published["version"].clone(), all)
}

#[test]
fn what_is_wrong_is_told_of_the_state_it_is_wrong_in_and_taken_back_with_the_text() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), never()).await;
        let uri = "untitled:Untitled-1";
        client.open(uri, 3, &PARENT.replace("signs   chip", "signs   chap")).await;
        client.settle().await;
        let (version, first) = told(&mut client, uri);
        assert_eq!((version, first), (json!(3), vec![("unknown-name".to_owned(), 21)]));
        client.change(uri, 4, on_line(21, 12, 13, "i")).await;
        client.settle().await;
        assert_eq!(told(&mut client, uri), (json!(4), Vec::new()));
        client.change(uri, 5, json!([{"text": "nonsense"}])).await;
        client.settle().await;
        assert!(!told(&mut client, uri).1.is_empty());
        client.tell("textDocument/didClose", json!({"textDocument": {"uri": uri}})).await;
        client.settle().await;
        assert_eq!(told(&mut client, uri), (Value::Null, Vec::new()));
        client.leave().await;
    });
}

#[test]
fn an_open_parent_wins_over_the_disk_and_its_children_are_looked_at_again() {
    runtime().block_on(async {
        let folder = folder();
        std::fs::write(folder.path().join("parent.purfle"), PARENT).expect("written");
        let (mut client, _) = Client::start(json!({}), never()).await;
        let (child, parent) = (uri(folder.path(), "child.purfle"), uri(folder.path(), "parent.purfle"));
        client.open(&child, 1, CHILD).await;
        client.settle().await;
        assert_eq!(told(&mut client, &child), (json!(1), Vec::new()));
        client.open(&parent, 1, &PARENT.replace("chip", "dent")).await;
        client.settle().await;
        let (version, first) = told(&mut client, &child);
        assert_eq!((version, first), (json!(1), vec![("unknown-name".to_owned(), NAMES)]));
        client.tell("textDocument/didClose", json!({"textDocument": {"uri": parent}})).await;
        client.settle().await;
        assert_eq!(told(&mut client, &child), (json!(1), Vec::new()), "the disk is read again");
        client.leave().await;
    });
}

#[test]
fn a_parent_that_changes_or_appears_on_the_disk_is_read_again() {
    runtime().block_on(async {
        let folder = folder();
        let file = folder.path().join("parent.purfle");
        let capabilities = json!({"workspace": {"didChangeWatchedFiles": {"dynamicRegistration": true}}});
        let (mut client, _) = Client::start(capabilities, never()).await;
        let (child, parent) = (uri(folder.path(), "child.purfle"), uri(folder.path(), "parent.purfle"));
        client.open(&child, 1, CHILD).await;
        client.settle().await;
        while client.said.is_empty() {
            client.hear().await;
        }
        let asked = client.said.pop_front().expect("the client is asked to watch files");
        assert_eq!(asked["method"], "client/registerCapability");
        assert_eq!(asked["params"]["registrations"][0]["method"], "workspace/didChangeWatchedFiles");
        client.reply(&asked, Value::Null).await;
        assert_eq!(told(&mut client, &child).1, [("parent-not-found".to_owned(), BUILDS_ON)]);
        let changed = json!({"changes": [{"uri": parent, "type": 1}]});
        std::fs::write(&file, PARENT).expect("written");
        client.tell("workspace/didChangeWatchedFiles", changed.clone()).await;
        client.settle().await;
        assert_eq!(told(&mut client, &child).1, []);
        // A parent that is not open is told of under its own name, and of no state of it.
        std::fs::write(&file, format!("{PARENT}\nnonsense\n")).expect("written");
        client.tell("workspace/didChangeWatchedFiles", changed.clone()).await;
        client.settle().await;
        let (version, wrong) = told(&mut client, &parent);
        assert_eq!((version, wrong.len()), (Value::Null, 1), "{wrong:?}");
        std::fs::remove_file(&file).expect("removed");
        client.tell("workspace/didChangeWatchedFiles", changed).await;
        client.settle().await;
        assert_eq!(told(&mut client, &parent).1, []);
        assert_eq!(told(&mut client, &child).1, [("parent-not-found".to_owned(), BUILDS_ON)]);
        client.leave().await;
    });
}

#[test]
fn where_the_client_does_not_watch_files_they_are_looked_at() {
    runtime().block_on(async {
        let folder = folder();
        let file = folder.path().join("parent.purfle");
        std::fs::write(&file, PARENT).expect("written");
        let (mut client, _) = Client::start(json!({}), never()).await;
        let child = uri(folder.path(), "child.purfle");
        client.open(&child, 1, CHILD).await;
        client.settle().await;
        assert_eq!(told(&mut client, &child).1, []);
        std::fs::write(&file, PARENT.replace("chip", "dents")).expect("written");
        client.hear().await;
        assert_eq!(told(&mut client, &child).1, [("unknown-name".to_owned(), NAMES)]);
        client.leave().await;
    });
}

#[test]
fn settings_are_asked_for_and_what_cannot_be_used_is_said() {
    runtime().block_on(async {
        let capabilities = json!({"workspace": {"configuration": true, "didChangeConfiguration": {"dynamicRegistration": true}}});
        let (mut client, _) = Client::start(capabilities, json!({"proof": {"run": "sometimes"}})).await;
        client.settle().await;
        let methods = |client: &Client| -> Vec<String> {
            let mut methods: Vec<String> =
                client.said.iter().map(|said| said["method"].as_str().unwrap_or("").to_owned()).collect();
            methods.sort();
            methods
        };
        while client.said.len() < 3 {
            client.hear().await;
        }
        assert_eq!(methods(&client), ["client/registerCapability", "window/showMessage", "workspace/configuration"]);
        for said in std::mem::take(&mut client.said) {
            match said["method"].as_str() {
                Some("window/showMessage") => {
                    let words = said["params"]["message"].as_str().expect("words");
                    assert!(words.contains("purfle.proof.run is one of"), "{words}");
                }
                Some("workspace/configuration") => {
                    assert_eq!(said["params"]["items"][0]["section"], "purfle");
                    client.reply(&said, json!([{"diagnostics": {"delay": "long"}}])).await;
                }
                _ => client.reply(&said, Value::Null).await,
            }
        }
        while client.said.is_empty() {
            client.hear().await;
        }
        let said = client.said.pop_front().expect("words");
        assert!(said["params"]["message"].as_str().expect("words").contains("purfle.diagnostics.delay is a number"), "{said}");
        client.leave().await;
    });
}

#[test]
fn what_can_be_proved_comes_after_the_pause_and_stays_while_other_items_change() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), json!({"diagnostics": {"delay": 100}})).await;
        let uri = "untitled:proved";
        client.open(uri, 1, &format!("{PARENT}{NEVER}")).await;
        client.settle().await;
        let (_, proved) = told(&mut client, uri);
        let line = PARENT.lines().count() as u64 + 1;
        assert_eq!(proved, [("never".to_owned(), line)]);
        // A line above: the first thing published of the new state has the warning, one line further down.
        client.change(uri, 2, on_line(0, 0, 0, "# above\n")).await;
        while told(&mut client, uri).0 != json!(2) {
            client.hear().await;
        }
        assert_eq!(told(&mut client, uri).1, [("never".to_owned(), line + 1)], "it stays and moves");
        // The item itself: it goes at once, and comes back where it is proved again.
        client.change(uri, 3, on_line(line + 8, 0, 0, "  # more\n")).await;
        while told(&mut client, uri).0 != json!(3) {
            client.hear().await;
        }
        assert_eq!(told(&mut client, uri).1, [], "it goes");
        tokio::time::timeout(Duration::from_secs(20), client.settle()).await.expect("in time");
        assert_eq!(told(&mut client, uri).1, [("never".to_owned(), line + 1)], "it is proved again");
        client.leave().await;
    });
}

#[test]
fn what_came_of_an_example_is_a_message_unless_the_client_shows_it_by_itself() {
    runtime().block_on(async {
        for (settings, messages) in [(never(), 1), (json!({"showsReports": true}), 0), (json!({"showsReports": "yes"}), 1)] {
            let (mut client, _) = Client::start(json!({}), settings).await;
            let folder = folder();
            let parent = uri(folder.path(), "parent.purfle");
            let text = format!("{PARENT}\nexample \"a chip\"\n  record  scroll.chip\n  finds   chipped at soon\n");
            client.open(&parent, 1, &text).await;
            client.settle().await;
            let command = json!({"command": "purfle.showExample", "arguments": [parent, "a chip"]});
            let answer = client.result("workspace/executeCommand", command).await;
            assert_eq!(answer["text"], "\"a chip\" comes out as agreed, the one thing that it expects.");
            client.settle().await;
            let said: Vec<Value> = client.said.drain(..).filter(|said| said["method"] == "window/showMessage").collect();
            assert_eq!(said.len(), messages, "{said:?}");
            assert!(said.iter().all(|said| said["params"]["message"] == answer["text"]), "{said:?}");
            client.leave().await;
        }
    });
}
