//! Emacs with Eglot, without a screen.

use std::process::Command;

use serde::Deserialize;

use super::scene::{clients, hold, path_with_server, read, run, shop, there};

#[derive(Debug, Deserialize)]
struct Own {
    mode: String,
    faces: Vec<String>,
}

/// Looks for Eglot, which is part of Emacs from 29 on and a package before.
const EGLOT: &str = "(progn (require 'package) (package-initialize) (require 'eglot))";

#[test]
fn emacs_does_what_a_keeper_of_rulebooks_does() {
    let install = "it needs Emacs 29 or later, or Emacs with Eglot: Debian's packages `emacs-nox` and `elpa-eglot`";
    if !there("emacs", &["--batch", "--eval", EGLOT], "Emacs with the language server", install) {
        return;
    }
    let folder = shop();
    let here = folder.path();
    std::fs::create_dir(here.join("home")).expect("a folder");
    let result = here.join("result.json");
    run(
        Command::new("emacs")
            .args(["--batch", "--eval", EGLOT, "-l"])
            .arg(clients().join("emacs/purfle-mode.el"))
            .arg("-l")
            .arg(clients().join("emacs/test/real.el"))
            .env("PATH", path_with_server())
            .env("PURFLE_RESULT", &result),
        here,
    )
    .expect("Emacs ends well");
    let (did, own) = read::<Own>(&result);
    hold(&did, here);
    assert_eq!(own.mode, "purfle-mode");
    assert_eq!(own.faces, ["font-lock-keyword-face", "font-lock-builtin-face", "font-lock-string-face"]);
}

#[test]
fn the_mode_for_emacs_compiles_without_a_warning() {
    let install = "it needs Emacs, Debian's package `emacs-nox`";
    if !there("emacs", &["--version"], "the mode for Emacs compiled", install) {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::copy(clients().join("emacs/purfle-mode.el"), folder.path().join("purfle-mode.el")).expect("a copy");
    let mut emacs = Command::new("emacs");
    emacs.args(["-Q", "--batch", "--eval", "(setq byte-compile-error-on-warn t)", "-f", "batch-byte-compile", "purfle-mode.el"]);
    run(&mut emacs, folder.path()).expect("it compiles");
}

#[test]
fn the_mode_for_emacs_indents_the_standard_rulebook_as_it_stands() {
    let install = "it needs Emacs, Debian's package `emacs-nox`";
    if !there("emacs", &["--version"], "the indentation of Emacs", install) {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let rulebooks = clients().join("../../rulebooks");
    for name in ["first-look.purfle", "harrow-bench.purfle"] {
        let before = std::fs::read_to_string(rulebooks.join(name)).expect("the rulebook");
        std::fs::write(folder.path().join(name), &before).expect("a copy");
        let indent = format!(
            "(with-current-buffer (find-file-noselect {name:?})
               (let ((inhibit-message t)) (indent-region (point-min) (point-max)))
               (let ((make-backup-files nil)) (save-buffer)))"
        );
        let mut emacs = Command::new("emacs");
        emacs.args(["-Q", "--batch", "-l"]).arg(clients().join("emacs/purfle-mode.el")).args(["--eval", &indent]);
        run(&mut emacs, folder.path()).expect("Emacs ends well");
        let after = std::fs::read_to_string(folder.path().join(name)).expect("the rulebook");
        let moved = before.lines().zip(after.lines()).find(|(before, after)| before != after);
        assert_eq!(moved, None, "{name}");
    }
}
