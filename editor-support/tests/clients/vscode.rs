//! The extension in a real VS Code, drawn by a browser without a screen.
//!
//! The variable PURFLE_VSCODE names a folder in which the npm packages code-server and playwright-core are installed, and
//! the machine has Chromium. The folder `pictures` in it then holds what was seen.

use std::path::PathBuf;
use std::process::Command;

use serde::Deserialize;

use super::scene::{SERVER, clients, hold, not_run, read, run, shop};

#[derive(Debug, Deserialize)]
struct Own {
    squiggles: usize,
    hover: String,
    keyword_colour: String,
    plain_colour: String,
    example: String,
    beside: usize,
}

#[test]
fn vscode_does_what_a_keeper_of_rulebooks_does() {
    let test = "the extension in VS Code";
    let Some(vscode) = std::env::var_os("PURFLE_VSCODE").map(PathBuf::from) else {
        not_run(test, "set PURFLE_VSCODE to a folder with code-server and playwright-core; see DEVELOPERS.md", false);
        return;
    };
    let extension = clients().join("vscode");
    assert!(extension.join("node_modules/.bin/vsce").exists(), "run `npm ci` in editor-support/clients/vscode first");
    let folder = shop();
    let here = folder.path();
    std::fs::create_dir(here.join("home")).expect("a folder");
    let mut npm = Command::new("npm");
    npm.args(["run", "package", "--prefix"]).arg(&extension);
    run(&mut npm, here).expect("the extension is packed");
    let result = here.join("result.json");
    let pictures = vscode.join("pictures");
    std::fs::create_dir_all(&pictures).expect("a folder");
    run(
        Command::new("node")
            .arg(extension.join("test/real.js"))
            .arg(&vscode)
            .arg(extension.join("purfle.vsix"))
            .arg(here)
            .arg(&pictures)
            .env("PURFLE_SERVER", SERVER)
            .env("PURFLE_RESULT", &result),
        here,
    )
    .expect("VS Code ends well");
    let (did, own) = read::<Own>(&result);
    hold(&did, here);
    assert!(own.squiggles > 0, "the mistake is underlined");
    assert!(own.hover.contains("No choice of") && own.hover.contains("Quick Fix..."), "{}", own.hover);
    assert_ne!(own.keyword_colour, own.plain_colour, "words are coloured");
    // One line is one message, and nothing beside it.
    assert_eq!(own.example, "Purfle: \"one slipping peg\" comes out as agreed, all that it expects.");
    assert_eq!(own.beside, 0);
}
