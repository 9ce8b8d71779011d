//! What the README shows is what its commands print.

use std::path::{Path, PathBuf};
use std::process::Command;

const README: &str = include_str!("../../README.md");

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The fenced blocks of one kind.
fn blocks(kind: &str) -> Vec<&'static str> {
    let fence = format!("```{kind}\n");
    README.split(fence.as_str()).skip(1).filter_map(|rest| rest.split("\n```").next()).collect()
}

#[test]
fn the_excerpts_come_from_the_season() {
    let command = README.lines().find_map(|line| line.trim().strip_prefix("cargo run --release -p purfle -- "));
    let command: Vec<&str> = command.expect("the command that runs the season").split(' ').collect();
    let output = Command::new(env!("CARGO_BIN_EXE_purfle")).args(command).current_dir(root()).output().expect("the program");
    assert_eq!(output.status.code(), Some(1), "two records of the season are wrong on purpose");
    let report = String::from_utf8(output.stdout).expect("UTF-8");
    let excerpts = blocks("text");
    assert!(excerpts.len() >= 4);
    for excerpt in excerpts {
        assert!(report.contains(excerpt), "the report does not hold this excerpt of the README:\n{excerpt}");
    }
}

#[test]
fn the_piece_of_a_rulebook_stands_in_the_standard_one() {
    let rulebook = std::fs::read_to_string(root().join("rulebooks/first-look.purfle")).expect("the standard rulebook");
    for piece in blocks("purfle") {
        assert!(rulebook.contains(piece), "the standard rulebook does not hold this excerpt of the README:\n{piece}");
    }
}

#[test]
fn every_file_that_is_named_is_there() {
    let links = README.split("](").skip(1).filter_map(|rest| rest.split(')').next()).filter(|link| !link.contains("://"));
    let quoted = README.split('`').skip(1).step_by(2).filter(|text| text.starts_with("rulebooks/") && !text.contains(' '));
    for path in links.chain(quoted) {
        assert!(root().join(path).exists(), "the README names {path}, which is not there");
    }
}
