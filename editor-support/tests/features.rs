//! Fixtures: virtual documents, what is asked of them, and what a person would read as the answer.
//!
//! A fixture is a file of sections. Each begins with `### `:
//!
//!     ### file NAME          a text on the disk that is opened as well
//!     ### disk NAME          a text on the disk alone
//!     ### edit NAME          the text becomes this one
//!     ### told NAME          what is published of it, once there is nothing left to tell
//!     ### ask METHOD NAME at "some te|xt" with "more"
//!
//! The bar is where the pointer stands. Below `told` and `ask` stands the answer; `PURFLE_FIXTURES=write` writes down what
//! comes out, to be read before it is kept.

mod answer;

use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

use serde_json::{Value, json};

use crate::client::{Client, runtime};
use crate::counted::{position, range};
use answer::{Texts, answer};

/// One section.
struct Section {
    words: Vec<String>,
    heading: String,
    body: String,
}

/// The words of a heading; what stands in quotes is one.
fn words(heading: &str) -> Vec<String> {
    let mut words = Vec::new();
    for (at, piece) in heading.split('"').enumerate() {
        if at % 2 == 1 {
            words.push(piece.to_owned());
        } else {
            words.extend(piece.split_whitespace().map(str::to_owned));
        }
    }
    words
}

fn sections(text: &str) -> (String, Vec<Section>) {
    let mut pieces = text.split("### ");
    let comment = pieces.next().unwrap_or_default().to_owned();
    let section = |piece: &str| {
        let (heading, body) = piece.split_once('\n').unwrap_or((piece, ""));
        Section { words: words(heading), heading: heading.to_owned(), body: body.to_owned() }
    };
    (comment, pieces.map(section).collect())
}

/// The byte that the bar in `mark` stands for.
fn marked(text: &str, mark: &str) -> usize {
    let (before, after) = mark.split_once('|').unwrap_or_else(|| panic!("no bar in {mark:?}"));
    let whole = format!("{before}{after}");
    let found: Vec<usize> = text.match_indices(&whole).map(|(at, _)| at).collect();
    assert_eq!(found.len(), 1, "{whole:?} stands there once");
    found[0] + before.len()
}

/// What comes between what two texts begin and end with alike.
fn change(before: &str, after: &str) -> Value {
    let boundary = |at: usize| before.is_char_boundary(at) && after.is_char_boundary(at);
    let mut start = before.bytes().zip(after.bytes()).take_while(|(one, other)| one == other).count();
    while !boundary(start) {
        start -= 1;
    }
    let most = before.len().min(after.len()) - start;
    let mut same = before.bytes().rev().zip(after.bytes().rev()).take(most).take_while(|(one, other)| one == other).count();
    while !before.is_char_boundary(before.len() - same) || !after.is_char_boundary(after.len() - same) {
        same -= 1;
    }
    json!([{"range": range(before, start..before.len() - same, false), "text": &after[start..after.len() - same]}])
}

/// What a request is asked with.
fn params(uri: &str, text: &str, words: &[String]) -> Value {
    let after = |word: &str| words.iter().position(|known| known == word).and_then(|at| words.get(at + 1)).cloned();
    let mut params = json!({"textDocument": {"uri": uri}});
    let whole = range(text, 0..text.len(), false);
    params["range"] = whole;
    if let Some(mark) = after("at") {
        let at = position(text, marked(text, &mark), false);
        params["position"] = at.clone();
        params["positions"] = json!([at]);
        params["range"] = json!({"start": at, "end": at});
    }
    if let Some(with) = after("with") {
        params["newName"] = json!(with);
        params["query"] = json!(with);
    }
    params["context"] = json!({"includeDeclaration": true, "diagnostics": [], "triggerKind": 1, "isRetrigger": false});
    if let Some(only) = after("only") {
        params["context"]["only"] = json!([only]);
    }
    params["options"] = json!({"tabSize": 2, "insertSpaces": true});
    params
}

/// Plays a fixture, and gives it with the answers that came out.
async fn played(text: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let root = folder.path().canonicalize().expect("a folder");
    let uri = |name: &str| format!("file://{}/{name}", root.display());
    let capabilities = json!({
        "workspace": {"workspaceEdit": {"documentChanges": true}, "didChangeWatchedFiles": {"dynamicRegistration": true}},
        "textDocument": {"completion": {"completionItem": {"snippetSupport": true}}, "definition": {"linkSupport": true}},
    });
    let folders = json!([{"uri": format!("file://{}", root.display()), "name": "fixture"}]);
    let mut client = Client::start_in(folders, capabilities, json!({"diagnostics": {"delay": 0}})).await;
    let (mut texts, mut versions): (BTreeMap<String, String>, BTreeMap<String, i32>) = Default::default();
    let (mut out, sections) = sections(text);
    for Section { words, heading, body } in sections {
        let name = words.get(1).or(words.first()).cloned().unwrap_or_default();
        let name = if words[0] == "ask" { words.get(2).cloned().unwrap_or_default() } else { name };
        let said = match words[0].as_str() {
            "file" | "disk" => {
                let path = root.join(&name);
                std::fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
                std::fs::write(&path, &body).expect("written");
                if words[0] == "file" {
                    client.open(&uri(&name), 1, &body).await;
                    versions.insert(name.clone(), 1);
                }
                texts.insert(name, body.clone());
                body
            }
            "edit" => {
                let version = versions.entry(name.clone()).or_default();
                *version += 1;
                client.change(&uri(&name), *version, change(&texts[&name], &body)).await;
                texts.insert(name, body.clone());
                body
            }
            "told" => {
                client.settle().await;
                let told = client.published(&uri(&name));
                answer("told", &told, &Texts { root: &root, texts: &texts, own: &name })
            }
            "ask" => {
                client.settle().await;
                let asked = asked(&mut client, &uri(&name), &texts[&name], &words).await;
                answer(&words[1], &asked, &Texts { root: &root, texts: &texts, own: &name })
            }
            other => panic!("a section is no {other}"),
        };
        let _ = write!(out, "### {heading}\n{}\n", said.trim_end());
        if !said.trim_end().is_empty() {
            out.push('\n');
        }
    }
    client.settle().await;
    for name in versions.keys() {
        client.published(&uri(name));
    }
    while client.said.is_empty() {
        client.hear().await;
    }
    client.said.retain(|said| said["method"] != "client/registerCapability" && said["method"] != "window/showMessage");
    client.leave().await;
    format!("{}\n", out.trim_end())
}

async fn asked(client: &mut Client, uri: &str, text: &str, words: &[String]) -> Value {
    let params = params(uri, text, words);
    let whole = |method: &str| match method {
        "workspaceSymbol" => "workspace/symbol".to_owned(),
        method => format!("textDocument/{method}"),
    };
    match words[1].as_str() {
        "semanticTokens" => client.ask("textDocument/semanticTokens/full", params).await,
        "incomingCalls" | "outgoingCalls" => {
            let prepared = client.result("textDocument/prepareCallHierarchy", params).await;
            client.ask(&format!("callHierarchy/{}", words[1]), json!({"item": prepared[0]})).await
        }
        "resolve" => {
            let items = client.result("textDocument/completion", params).await;
            let label = words.last().expect("a label");
            let item = items.as_array().and_then(|items| items.iter().find(|item| item["label"] == label.as_str())).cloned();
            client.ask("completionItem/resolve", item.unwrap_or_else(|| panic!("no {label} among {items}"))).await
        }
        "command" => {
            let mut arguments = vec![json!(uri)];
            arguments.extend(words.iter().skip(4).map(|word| json!(word)));
            client.ask("workspace/executeCommand", json!({"command": words[3], "arguments": arguments})).await
        }
        method => client.ask(&whole(method), params).await,
    }
}

#[test]
fn fixtures_are_answered_as_they_say() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let writes = std::env::var("PURFLE_FIXTURES").is_ok_and(|value| value == "write");
    let mut wrong = Vec::new();
    let mut all: Vec<_> = std::fs::read_dir(&folder).expect("fixtures").map(|entry| entry.expect("a fixture").path()).collect();
    all.sort();
    assert!(all.len() >= 5, "{all:?}");
    for path in all {
        let text = std::fs::read_to_string(&path).expect("a fixture");
        let came = runtime().block_on(played(&text));
        if came != text && writes {
            std::fs::write(&path, &came).expect("written");
        }
        if came != text {
            wrong.push(format!("{}:\n{}", path.display(), differing(&text, &came)));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The lines that are not the same, from the first one on.
fn differing(expected: &str, came: &str) -> String {
    let same = expected.lines().zip(came.lines()).take_while(|(one, other)| one == other).count();
    let lines = |text: &str| text.lines().skip(same).take(12).collect::<Vec<_>>().join("\n");
    format!("from line {} on, expected\n{}\nand came\n{}", same + 1, lines(expected), lines(came))
}
