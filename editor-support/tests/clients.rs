//! The clients with the real thing: each editor is started, given rulebooks and the language server, and made to do what
//! a keeper of rulebooks does.
//!
//! Where an editor is not on the machine, its test says so and what to install, and is not run; where the variable
//! PURFLE_EDITORS is `must`, as it is where the project is checked, that is a failure.

mod emacs;
mod helix;
mod neovim;
mod package;
mod scene;
mod snippets;
mod vscode;
