//! What the page for Helix says to install, put into a home of its own. The editor itself is not started.

use std::fs::{read, read_to_string, write};
use std::path::Path;
use std::process::Command;

use super::scene::{clients, path_with_server, run, there};

/// Runs the script in a home, and gives what it printed.
fn install(home: &Path) -> String {
    let mut script = Command::new("sh");
    script.arg(clients().join("helix/install.sh")).env("PATH", path_with_server());
    run(&mut script, home).expect("the client is installed");
    read_to_string(home.join("printed.txt")).expect("what it printed")
}

#[test]
fn helix_gets_its_parser_its_queries_and_its_settings() {
    if !there("cc", &["--version"], "what is installed for Helix", "it needs a C compiler, Debian's package `gcc`") {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let helix = folder.path().join("home/.config/helix");
    assert!(install(folder.path()).contains("Helix knows Purfle from"));
    let ending = if cfg!(target_os = "macos") { "dylib" } else { "so" };
    let parser = read(helix.join(format!("runtime/grammars/purfle.{ending}"))).expect("the parser");
    for name in ["tree_sitter_purfle", "tree_sitter_purfle_external_scanner_scan"] {
        assert!(parser.windows(name.len()).any(|bytes| bytes == name.as_bytes()), "{name} can be called");
    }
    for query in ["highlights.scm", "folds.scm", "textobjects.scm"] {
        let ours = clients().join("tree-sitter/queries/purfle").join(query);
        assert_eq!(read(helix.join("runtime/queries/purfle").join(query)).expect("a query"), read(ours).expect("ours"));
    }
    let settings = helix.join("languages.toml");
    assert_eq!(read(&settings).expect("settings"), read(clients().join("helix/languages.toml")).expect("ours"));
    // What is there stays; whoever has Purfle in it already is told nothing.
    assert_eq!(install(folder.path()), "");
    write(&settings, "[[language]]\nname = \"c\"\n").expect("settings of somebody");
    assert!(install(folder.path()).contains("Write at its end what stands in"));
    assert_eq!(read_to_string(&settings).expect("the same"), "[[language]]\nname = \"c\"\n");
}
