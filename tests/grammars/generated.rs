//! What is generated and committed is what its source makes.
//!
//! To make all of it anew, run this with PURFLE_WRITE_GENERATED set:
//! `PURFLE_WRITE_GENERATED=1 cargo test -p purfle-tests --test all grammars::generated`

use std::path::Path;
use std::process::Command;

use tree_sitter_generate::{OptLevel, generate_parser_in_directory};

use super::{clients, node};

/// The version of the tables that the parser is made of: the oldest that is still made, which older editors read as well.
const TABLES: usize = 14;

/// Generates the parser from a grammar into a folder.
fn generate(grammar: &Path, into: &Path) {
    let mut told = Vec::new();
    let made = generate_parser_in_directory(
        clients("tree-sitter"),
        Some(into),
        Some(grammar),
        TABLES,
        None,
        None,
        true,
        OptLevel::default(),
        &mut told,
    );
    if let Err(error) = made {
        panic!("{}: {error}", grammar.display());
    }
    let told: Vec<String> = told.iter().map(ToString::to_string).collect();
    assert!(told.is_empty(), "{}", told.join("\n"));
}

/// Whether a file is to be written, not compared.
fn writes() -> bool {
    std::env::var_os("PURFLE_WRITE_GENERATED").is_some()
}

fn hold(made: &str, path: &Path) {
    let kept = std::fs::read_to_string(path).unwrap_or_default().replace("\r\n", "\n");
    if writes() {
        std::fs::write(path, made).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    } else if kept != made {
        panic!("{} is not what its source makes; see the top of tests/grammars/generated.rs", path.display());
    }
}

/// Holds the files made in a folder against those that are kept.
fn hold_all(names: &[&str], made: &Path, kept: &Path) {
    for name in names {
        let text = std::fs::read_to_string(made.join(name)).expect("what was made");
        hold(&text, &kept.join(name));
    }
}

#[test]
fn the_parser_is_what_the_grammar_makes() {
    let folder = tempfile::tempdir().expect("a folder");
    let source = clients("tree-sitter/src");
    let names = ["parser.c", "node-types.json", "tree_sitter/alloc.h", "tree_sitter/array.h", "tree_sitter/parser.h"];
    // The grammar itself needs node; what is made of it does not.
    if node("grammar.json held against grammar.js") {
        generate(&clients("tree-sitter/grammar.js"), folder.path());
        hold_all(&["grammar.json"], folder.path(), &source);
    } else {
        generate(&source.join("grammar.json"), folder.path());
    }
    hold_all(&names, folder.path(), &source);
}

#[test]
fn the_textmate_grammar_is_what_its_program_makes() {
    if !node("purfle.tmLanguage.json held against make.js") {
        return;
    }
    let folder = clients("textmate");
    let output = Command::new("node").arg(folder.join("make.js")).arg("--print").output().expect("node starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    hold(&String::from_utf8(output.stdout).expect("UTF-8"), &folder.join("purfle.tmLanguage.json"));
}
