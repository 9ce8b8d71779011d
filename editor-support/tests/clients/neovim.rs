//! Neovim, without a screen: installed as the page beside the client says, then used.

use std::process::Command;

use serde::Deserialize;

use super::scene::{clients, hold, path_with_server, read, run, shop, there};

#[derive(Debug, Deserialize)]
struct Own {
    filetype: String,
    coloured: bool,
    root: String,
    hover: String,
}

#[test]
fn neovim_does_what_a_keeper_of_rulebooks_does() {
    let install = "it needs Neovim 0.7 or later, Debian's package `neovim`";
    if !there("nvim", &["--version"], "Neovim with the language server", install) {
        return;
    }
    let folder = shop();
    let here = folder.path();
    run(Command::new("sh").arg(clients().join("neovim/install.sh")).env("PATH", path_with_server()), here)
        .expect("the client is installed");
    let result = here.join("result.json");
    let script = clients().join("neovim/test/real.lua");
    run(
        Command::new("nvim")
            .args(["--headless", "-n", "-i", "NONE", "-c"])
            .arg(format!("luafile {}", script.display()))
            .env("PATH", path_with_server())
            .env("PURFLE_RESULT", &result),
        here,
    )
    .expect("Neovim ends well");
    let (did, own) = read::<Own>(&result);
    hold(&did, here);
    assert_eq!(own.filetype, "purfle");
    assert!(own.coloured, "the tree colours the text");
    assert_eq!(own.root, "source_file");
    assert!(own.hover.contains("The peg slips, and the paste is dear"), "{}", own.hover);
}
