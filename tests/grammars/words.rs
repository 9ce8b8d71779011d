//! Every word of the language is in both grammars.

use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_lang::syntax::tree::Kind;
use purfle_lang::syntax::words::{self, ALTERED, DROPPED, ITEMS};

use super::{Shown, clients, textmate, tree};

/// The words of the language's own grammar.
fn known() -> Vec<&'static str> {
    let grammar = include_str!("../../lang/src/syntax/purfle.pest");
    let rules = grammar.lines().filter(|line| line.starts_with("k_"));
    let words: Vec<&str> = rules.filter_map(|rule| rule.split('"').nth(1)).collect();
    assert!(words.len() > 100, "the words are found");
    words
}

#[test]
fn the_tree_sitter_grammar_has_every_word() {
    let language = tree::language();
    let missing: Vec<&str> = known()
        .into_iter()
        // A kind of node of its own, or one that is nothing but the word.
        .filter(|word| language.id_for_node_kind(word, false) == 0 && !["dated", "written", "place"].contains(word))
        .collect();
    assert!(missing.is_empty(), "these words are missing in grammar.js: {missing:?}");
}

#[test]
fn the_textmate_grammar_has_every_word() {
    let path = clients("textmate").join("purfle.tmLanguage.json");
    let grammar = std::fs::read_to_string(path).expect("the grammar");
    let written: std::collections::BTreeSet<&str> = grammar.split(|char: char| !char.is_ascii_lowercase()).collect();
    let missing: Vec<&str> = known().into_iter().filter(|word| !written.contains(word)).collect();
    assert!(missing.is_empty(), "these words are missing in textmate/make.js: {missing:?}");
}

/// What stands above a clause of an item, since some stand only under a look.
fn above(kind: Kind) -> &'static str {
    match kind {
        Kind::Part | Kind::Context => "  look gap \"How wide?\" measured in mm from 0 to 8\n",
        _ => "",
    }
}

/// An item of each kind with one clause, as messages show them: the text, and where the clause's words stand.
fn items() -> Vec<(String, std::ops::Range<usize>)> {
    let mut texts = Vec::new();
    for kind in ITEMS {
        let above = above(kind);
        for clause in words::clauses(kind) {
            let before = format!("{}\n{above}  ", words::item(kind).example);
            let word = before.len()..before.len() + clause.word.len();
            texts.push((format!("{before}{}\n", clause.example), word));
        }
        texts.push((format!("{}\n", words::item(kind).example), 0..kind.word().len()));
    }
    for kind in ALTERED {
        // Kinds that are altered alike share an example.
        let example = words::alter(kind).example;
        let shown = example.split(' ').nth(1).expect("the kind");
        let line = example.replacen(shown, kind.word(), 1);
        texts.push((format!("{line}\n"), 0.."alter".len()));
        for clause in words::clauses(kind) {
            let before = format!("{line}\n{}  ", above(kind));
            let word = before.len()..before.len() + clause.word.len();
            texts.push((format!("{before}{}\n", clause.example), word));
        }
    }
    for kind in DROPPED {
        let name = if matches!(kind, Kind::Look | Kind::Place | Kind::Way) { "peg.turns" } else { "peg" };
        texts.push((format!("without {} {name} because \"why\"\n", kind.word()), 0.."without".len()));
    }
    assert!(texts.len() > 150, "the words are found");
    texts
}

#[test]
fn every_item_and_clause_is_one_in_both_grammars() {
    let items = items();
    let texts: Vec<&str> = items.iter().map(|(text, _)| text.as_str()).collect();
    let by_lines = textmate::shown("the words of items and clauses in the TextMate grammar", &texts);
    for (at, (text, word)) in items.iter().enumerate() {
        let told = parse(FileId(0), text).diagnostics;
        assert!(told.is_empty(), "{told:?}\n{text}");
        let mut all = Vec::new();
        let tree = tree::tree(text);
        tree::nodes(tree.root_node(), &mut all);
        assert!(!all.iter().any(tree::is_fault), "{}\n{text}", tree.root_node().to_sexp());
        let clause = all.iter().any(|node| !node.is_named() && node.start_byte() == word.start);
        assert!(clause, "{:?} begins nothing in\n{text}", &text[word.clone()]);
        let spaces = |at: &usize| text.as_bytes()[*at] == b' ';
        let all_words = |shown: &[Shown]| word.clone().all(|at| spaces(&at) || shown[at] == Shown::Word);
        assert!(all_words(&tree::shown("an item", text)), "{:?} is not coloured by the tree in\n{text}", &text[word.clone()]);
        if let Some(by_lines) = &by_lines {
            assert!(all_words(&by_lines[at]), "{:?} is not coloured by lines in\n{text}", &text[word.clone()]);
        }
    }
}
