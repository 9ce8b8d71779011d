//! A general solver as a program of its own, fed with text.

use std::env;
use std::process::Command;
use std::time::{Duration, Instant};

/// The solver found on this machine.
pub struct Solver {
    program: String,
    /// What it says it is.
    pub version: String,
}

/// What a run of it gave.
pub struct Run {
    /// For each question whether there is such a case; none where it did not say.
    pub answers: Vec<Option<bool>>,
    /// From start to end, reading included.
    pub took: Duration,
}

impl Solver {
    /// The solver, if there is one.
    pub fn here() -> Option<Solver> {
        let program = env::var("PURFLE_SOLVER").unwrap_or_else(|_| "z3".to_owned());
        let output = Command::new(&program).arg("--version").output().ok()?;
        let version = String::from_utf8_lossy(&output.stdout).trim().to_owned();
        output.status.success().then_some(Solver { program, version })
    }

    /// Gives it a text, and takes its answers; each question may take ten seconds. The shorter of two runs counts.
    pub fn run(&self, text: &str) -> Result<Run, String> {
        let told = |what: &str, error: std::io::Error| format!("{what}: {error}");
        let folder = tempfile::tempdir().map_err(|error| told("a folder for the solver's text", error))?;
        let file = folder.path().join("questions.smt2");
        std::fs::write(&file, text).map_err(|error| told("the solver's text", error))?;
        let once = || {
            let start = Instant::now();
            let output = Command::new(&self.program).arg("-t:10000").arg(&file).output();
            output.map(|output| (output, start.elapsed())).map_err(|error| told("the solver", error))
        };
        let (output, first) = once()?;
        let took = first.min(once()?.1);
        let printed = String::from_utf8_lossy(&output.stdout);
        let answer = |line: &str| match line.trim() {
            "sat" => Ok(Some(true)),
            "unsat" => Ok(Some(false)),
            "unknown" | "timeout" => Ok(None),
            other => Err(format!("the solver says: {other}")),
        };
        let answers = printed.lines().map(answer).collect::<Result<Vec<_>, _>>()?;
        Ok(Run { answers, took })
    }
}
