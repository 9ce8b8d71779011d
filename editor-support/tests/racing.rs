//! Edits and requests that race: each answer is about the text as it was when it was asked for, and edits are made in
//! the order in which they come, however many there are.

use purfle_editor::analysis::Analysis;
use purfle_editor::ide::format::format;
use purfle_editor::server::Left;
use purfle_lang::span::FileId;
use serde_json::{Value, json};

use crate::client::{Client, runtime};
use crate::counted::range;
use crate::dice::Dice;

const TEXT: &str = include_str!("texts/parent.purfle");

fn formatting(uri: &str) -> Value {
    json!({"textDocument": {"uri": uri}, "options": {"tabSize": 2, "insertSpaces": true}})
}

/// The changes that lay a text out, as the protocol says them.
fn layout(text: &str) -> Value {
    let edits = format(&Analysis::of("/nowhere/racing.purfle", text, &[]), FileId::OWN);
    edits.iter().map(|edit| json!({"range": range(text, edit.span.range(), false), "newText": edit.text})).collect()
}

#[test]
fn each_answer_is_about_the_text_as_it_was_when_it_was_asked_for() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), json!({"proof": {"run": "never"}, "diagnostics": {"delay": 0}})).await;
        let (uri, mut dice, mut text) = ("untitled:racing", Dice::new(3), TEXT.to_owned());
        client.open(uri, 0, &text).await;
        let mut open = Vec::new();
        for version in 1..=300 {
            let at = text.match_indices('\n').nth(dice.below(20)).map_or(0, |(at, _)| at + 1);
            let change = json!([{"range": range(&text, at..at, false), "text": *dice.pick(&["\n", "  ", "# é€𝄞\n"])}]);
            client.change(uri, version, change.clone()).await;
            text.insert_str(at, change[0]["text"].as_str().expect("a text"));
            if dice.below(3) == 0 {
                open.push((client.put("textDocument/formatting", formatting(uri)).await, layout(&text)));
            }
        }
        assert!(open.len() > 50);
        // Asked for first and answered first, or last; it makes no difference.
        for (id, expected) in open.into_iter().rev() {
            assert_eq!(client.answer(id).await["result"], expected);
        }
        client.settle().await;
        assert_eq!(client.published(uri)["version"], 300);
        client.leave().await;
    });
}

#[test]
fn a_question_that_is_taken_back_gets_one_answer_all_the_same() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), json!({"proof": {"run": "never"}, "diagnostics": {"delay": 0}})).await;
        let uri = "untitled:racing";
        client.open(uri, 0, &TEXT.repeat(40)).await;
        let mut open = Vec::new();
        for _ in 0..50 {
            let id = client.put("textDocument/formatting", formatting(uri)).await;
            client.tell("$/cancelRequest", json!({"id": id})).await;
            open.push(id);
        }
        let mut cancelled = 0;
        for id in open {
            let answer = client.answer(id).await;
            match answer["error"]["code"].as_i64() {
                Some(-32800) => cancelled += 1,
                None => assert!(answer["result"].is_array(), "{answer}"),
                _ => panic!("{answer}"),
            }
        }
        assert!(cancelled > 0, "not one of fifty was cancelled");
        // A question that was never put cannot be taken back.
        client.tell("$/cancelRequest", json!({"id": 4711})).await;
        client.settle().await;
        client.published(uri);
        client.leave().await;
    });
}

#[test]
fn a_question_put_twice_under_one_number_is_refused_and_the_first_is_answered() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), json!({"proof": {"run": "never"}, "diagnostics": {"delay": 0}})).await;
        for _ in 0..2 {
            let message = json!({"jsonrpc": "2.0", "id": "twice", "method": "purfle/settled"}).to_string();
            client.write(format!("Content-Length: {}\r\n\r\n{message}", message.len()).as_bytes()).await;
        }
        while client.said.len() < 2 {
            client.hear().await;
        }
        let mut codes: Vec<Option<i64>> = client.said.drain(..).map(|said| said["error"]["code"].as_i64()).collect();
        codes.sort();
        assert!(codes == [None, Some(-32600)] || codes == [None, None], "{codes:?}");
        client.leave().await;
    });
}

#[test]
fn thousands_of_edits_in_one_breath_are_made_in_order_and_told_of_once_they_are_made() {
    runtime().block_on(async {
        let (mut client, _) = Client::start(json!({}), json!({"proof": {"run": "never"}, "diagnostics": {"delay": 0}})).await;
        let uri = "untitled:breath";
        client.open(uri, 0, "").await;
        let mut text = String::new();
        for version in 1..=4000 {
            let piece = TEXT.as_bytes()[version % TEXT.len()] as char;
            client
                .change(
                    uri,
                    i32::try_from(version).expect("small"),
                    json!([{"range": range(&text, text.len()..text.len(), false), "text": piece}]),
                )
                .await;
            text.push(piece);
        }
        let id = client.put("textDocument/formatting", formatting(uri)).await;
        assert_eq!(client.answer(id).await["result"], layout(&text));
        client.settle().await;
        assert_eq!(client.published(uri)["version"], 4000);
        client.leave().await;
    });
}

#[test]
fn a_client_that_dies_while_it_is_served_leaves_nothing_behind() {
    runtime().block_on(async {
        for edits in 0..20 {
            let (mut client, _) = Client::start(json!({}), json!({"diagnostics": {"delay": 0}})).await;
            client.open("untitled:dies", 0, TEXT).await;
            for version in 1..=edits {
                client.change("untitled:dies", version, json!([{"text": format!("{TEXT}# {version}\n")}])).await;
                client.put("textDocument/formatting", formatting("untitled:dies")).await;
            }
            assert_eq!(client.die().await, Left::Unannounced);
        }
    });
}
