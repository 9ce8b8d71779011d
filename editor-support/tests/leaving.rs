//! How a client comes and goes, what it may say wrongly, and that it is told when files change.

use std::time::Duration;

use purfle_editor::server::Left;
use serde_json::{Value, json};

use crate::client::{Client, runtime};

const SMALL: &str = "rulebook small \"Small\"\n";

#[test]
fn a_client_that_asks_for_the_end_gets_it() {
    runtime().block_on(async {
        let (client, offered) = Client::start(json!({}), Value::Null).await;
        assert_eq!(offered["positionEncoding"], "utf-16");
        assert_eq!(offered["textDocumentSync"]["change"], 2);
        client.leave().await;
    });
}

#[test]
fn bytes_are_agreed_on_where_the_client_lists_them() {
    runtime().block_on(async {
        let (client, offered) =
            Client::start(json!({"general": {"positionEncodings": ["utf-32", "utf-16", "utf-8"]}}), Value::Null).await;
        assert_eq!(offered["positionEncoding"], "utf-8");
        client.leave().await;
    });
}

#[test]
fn a_client_that_dies_is_not_waited_for() {
    runtime().block_on(async {
        let (client, _) = Client::start(json!({}), Value::Null).await;
        assert_eq!(client.die().await, Left::Unannounced);
        // In the middle of a message, with questions open.
        let (mut client, _) = Client::start(json!({}), Value::Null).await;
        client.open("untitled:one", 1, SMALL).await;
        client.put("purfle/settled", Value::Null).await;
        client.write(b"Content-Length: 100\r\n\r\n{\"json").await;
        assert_eq!(client.die().await, Left::Unannounced);
    });
}

#[test]
fn exit_without_shutdown_is_unannounced() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), Value::Null).await;
        client.tell("exit", Value::Null).await;
        tokio::time::sleep(Duration::from_millis(20)).await;
        assert_eq!(client.die().await, Left::Unannounced);
    });
}

#[test]
fn what_is_no_message_is_answered_and_the_next_one_is_read() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), Value::Null).await;
        for (written, code) in [("{\"jsonrpc\":", -32700), ("[]", -32600), ("{\"jsonrpc\":\"2.0\",\"method\":7}", -32600)] {
            client.write(format!("Content-Length: {}\r\n\r\n{written}", written.len()).as_bytes()).await;
            client.hear().await;
            let said = client.said.pop_front().expect("an answer");
            assert_eq!((&said["id"], &said["error"]["code"]), (&Value::Null, &json!(code)), "{written}: {said}");
        }
        let answer = client.ask("no/such", json!({})).await;
        assert_eq!(answer["error"]["code"], -32601);
        client.tell("no/such", json!({})).await;
        client.tell("$/whatever", json!({})).await;
        let answer = client.ask("textDocument/formatting", json!({"textDocument": 7})).await;
        assert_eq!(answer["error"]["code"], -32602);
        client.settle().await;
        client.leave().await;
    });
}

#[test]
fn nothing_is_answered_before_the_beginning_or_after_the_end() {
    runtime().block_on(async {
        let mut client = Client::connect();
        assert_eq!(client.ask("purfle/settled", Value::Null).await["error"]["code"], -32002);
        client.result("initialize", json!({"capabilities": {}})).await;
        assert_eq!(client.ask("initialize", json!({"capabilities": {}})).await["error"]["code"], -32600);
        client.result("shutdown", Value::Null).await;
        assert_eq!(client.ask("purfle/settled", Value::Null).await["error"]["code"], -32600);
        client.tell("exit", Value::Null).await;
        assert_eq!(client.die().await, Left::AfterShutdown);
    });
}

#[test]
fn a_text_that_is_not_open_has_no_answers_and_changes_nothing() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), Value::Null).await;
        client.change("file:///nowhere.purfle", 2, json!([{"text": "x"}])).await;
        client.tell("textDocument/didClose", json!({"textDocument": {"uri": "file:///nowhere.purfle"}})).await;
        let params = json!({"textDocument": {"uri": "file:///nowhere.purfle"}, "options": {"tabSize": 2, "insertSpaces": true}});
        assert_eq!(client.result("textDocument/formatting", params).await, Value::Null);
        client.settle().await;
        assert_eq!(client.published("file:///nowhere.purfle"), Value::Null);
        client.leave().await;
    });
}
