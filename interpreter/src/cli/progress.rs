//! Progress of a long run: on the standard error, only on a terminal, only after a while, gone in the end.

use std::io::{self, IsTerminal, Write};
use std::time::{Duration, Instant};

/// A run shorter than this shows nothing.
const PATIENCE: Duration = Duration::from_secs(2);

/// How often the count is written anew.
const EVERY: Duration = Duration::from_millis(250);

/// How many of them pass between two looks at the clock.
const STRIDE: u64 = 256;

/// Counts for whoever waits.
pub struct Progress {
    what: &'static str,
    doing: &'static str,
    next: Option<Instant>,
    count: u64,
    shown: bool,
}

impl Progress {
    /// Nothing counted yet; `what` is counted, such as `records`, and `doing` is what is done to it, such as `judged`.
    pub fn new(what: &'static str, doing: &'static str) -> Self {
        let next = io::stderr().is_terminal().then(|| Instant::now() + PATIENCE);
        Self { what, doing, next, count: 0, shown: false }
    }

    /// Counts one more.
    pub fn step(&mut self) {
        self.count += 1;
        if self.count.is_multiple_of(STRIDE)
            && let Some(next) = &mut self.next
            && Instant::now() >= *next
        {
            *next = Instant::now() + EVERY;
            self.shown = true;
            // Progress that cannot be shown is no reason to stop.
            let _ = write!(io::stderr(), "\r{} {} {}", self.count, self.what, self.doing);
        }
    }

    /// Takes the count off the terminal again.
    pub fn finish(self) {
        if self.shown {
            let _ = write!(io::stderr(), "\r{:60}\r", "");
        }
    }
}
