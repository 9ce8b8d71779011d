//! The snippets of the VS Code extension, filled in with what they propose, are text that the language reads.

use std::collections::BTreeMap;

use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use serde::Deserialize;

use super::scene::clients;

#[derive(Debug, Deserialize)]
struct Snippet {
    prefix: String,
    description: String,
    body: Vec<String>,
}

/// A snippet's text with each place filled in with what it proposes.
fn filled(body: &[String]) -> String {
    let mut text = body.join("\n");
    while let Some(start) = text.find("${") {
        let end = start + text[start..].find('}').expect("a place is closed");
        let place = &text[start + 2..end];
        let proposed = match place.split_once(['|', ':']) {
            Some((_, choices)) if place.contains('|') => choices.split([',', '|']).next().unwrap_or_default(),
            Some((_, proposed)) => proposed,
            None => panic!("a place that proposes nothing: {place}"),
        };
        let proposed = proposed.to_owned();
        text.replace_range(start..=end, &proposed);
    }
    text.replace("$0", "")
}

#[test]
fn what_a_snippet_writes_can_be_read() {
    let text = std::fs::read_to_string(clients().join("vscode/snippets.json")).expect("the snippets");
    let snippets: BTreeMap<String, Snippet> = serde_json::from_str(&text).expect("snippets");
    assert!(snippets.len() > 15, "the snippets are found");
    for (name, snippet) in snippets {
        assert!(snippet.description.len() > 10, "{name} says what it is for");
        assert!(snippet.body.last().is_some_and(|line| line == "$0"), "{name} ends where writing goes on");
        let text = filled(&snippet.body);
        // What stands under a part is tried under one.
        let text = match snippet.prefix.as_str() {
            "look" => format!("part button \"Button\"\n  {}", text.replace('\n', "\n  ")),
            _ => text,
        };
        let told = parse(FileId(0), &text).diagnostics;
        assert!(told.is_empty(), "{name}: {told:?}\n{text}");
    }
}
