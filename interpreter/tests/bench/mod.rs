//! A folder to work in, and the program run in it as it is typed.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

/// The small rulebook.
pub const SMALL: &str = include_str!("../small.purfle");

/// A folder with the small rulebook in it.
pub struct Bench(tempfile::TempDir);

impl Bench {
    /// A new folder.
    pub fn new() -> Self {
        let bench = Self(tempfile::tempdir().expect("a folder to work in"));
        bench.write("small.purfle", SMALL.as_bytes());
        bench
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        self.0.path()
    }

    /// Puts a file into it.
    pub fn write(&self, name: &str, bytes: &[u8]) -> PathBuf {
        let path = self.path().join(name);
        std::fs::write(&path, bytes).expect("a file to read");
        path
    }

    /// Runs the program in it.
    pub fn purfle(&self, arguments: &[&str]) -> Output {
        self.purfle_with(arguments, "")
    }

    /// Runs the program in it, with something on its standard input.
    pub fn purfle_with(&self, arguments: &[&str], input: &str) -> Output {
        let mut child = Command::new(env!("CARGO_BIN_EXE_purfle"))
            .args(arguments)
            .current_dir(self.path())
            .env_remove("NO_COLOR")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program");
        // A program that complains about its command line reads nothing.
        let _ = child.stdin.take().expect("its input").write_all(input.as_bytes());
        child.wait_with_output().expect("its end")
    }
}

/// What was printed.
pub fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

/// What was said on the standard error.
pub fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

/// The exit code.
pub fn code(output: &Output) -> i32 {
    output.status.code().expect("an exit code")
}

/// What was printed, as JSON.
pub fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{error}: {}{}", out(output), err(output)))
}
