//! The tree-sitter grammar against all texts.

use std::sync::OnceLock;

use tree_sitter::{Language, Node, Parser, Query, QueryCursor, StreamingIterator, Tree};

use super::{Shown, valid};

/// The grammar.
pub fn language() -> Language {
    tree_sitter_purfle::LANGUAGE.into()
}

/// What the queries say is coloured.
fn query() -> &'static Query {
    static QUERY: OnceLock<Query> = OnceLock::new();
    QUERY.get_or_init(|| Query::new(&language(), tree_sitter_purfle::HIGHLIGHTS).expect("a query this grammar reads"))
}

/// The tree of a text.
pub fn tree(text: &str) -> Tree {
    let mut parser = Parser::new();
    parser.set_language(&language()).expect("a grammar this library reads");
    parser.parse(text, None).expect("no limit of time was set")
}

/// All nodes, parents first.
pub fn nodes<'t>(node: Node<'t>, into: &mut Vec<Node<'t>>) {
    into.push(node);
    let mut cursor = node.walk();
    for child in node.children(&mut cursor) {
        nodes(child, into);
    }
}

/// Whether a node marks what cannot be read.
pub fn is_fault(node: &Node) -> bool {
    node.is_error() || node.is_missing() || node.kind() == "unclosed"
}

/// What the queries say of each byte. No byte may be claimed twice.
pub fn shown(name: &str, text: &str) -> Vec<Shown> {
    let query = query();
    let mut shown = vec![Shown::Plain; text.len()];
    let mut claimed: Vec<Option<&str>> = vec![None; text.len()];
    let tree = tree(text);
    let mut cursor = QueryCursor::new();
    let mut captures = cursor.captures(query, tree.root_node(), text.as_bytes());
    while let Some((found, at)) = captures.next() {
        let capture = found.captures()[*at];
        let says = query.capture_names()[capture.index as usize];
        let what = match says {
            "keyword" | "attribute" | "keyword.operator" => Shown::Word,
            "string" => Shown::Text,
            "comment" => Shown::Comment,
            "constant.numeric" => Shown::Number,
            "type" => Shown::Unit,
            _ => Shown::Plain,
        };
        for byte in capture.node.byte_range() {
            let before = claimed[byte].replace(says);
            assert!(before.is_none(), "{name}: {:?} is both {before:?} and {says}", &text[capture.node.byte_range()]);
            shown[byte] = what;
        }
    }
    shown
}

#[test]
fn valid_texts_have_no_fault_in_the_tree() {
    for (name, text) in valid() {
        let tree = tree(&text);
        let mut all = Vec::new();
        nodes(tree.root_node(), &mut all);
        let fault = all.iter().find(|node| is_fault(node));
        assert!(fault.is_none(), "{name}: {fault:?} {:?}", fault.map(|node| &text[node.byte_range()]));
    }
}

#[test]
fn every_word_and_name_in_a_tree_is_coloured() {
    let query = query();
    for (name, text) in valid() {
        let tree = tree(&text);
        let mut coloured = std::collections::HashSet::new();
        let mut cursor = QueryCursor::new();
        let mut captures = cursor.captures(query, tree.root_node(), text.as_bytes());
        while let Some((found, at)) = captures.next() {
            coloured.insert(found.captures()[*at].node.id());
        }
        let mut all = Vec::new();
        nodes(tree.root_node(), &mut all);
        for node in all {
            let word = !node.is_named() && node.kind().starts_with(char::is_alphabetic);
            if word || node.kind() == "name" {
                let mut up = Some(node);
                let reached = std::iter::from_fn(|| {
                    let here = up?;
                    up = here.parent();
                    Some(here)
                });
                let coloured = reached.into_iter().any(|node| coloured.contains(&node.id()));
                let line = text[..node.start_byte()].lines().count();
                assert!(coloured, "{name}:{line}: {:?} in {:?}", &text[node.byte_range()], node.parent().map(|node| node.kind()));
            }
        }
    }
}
