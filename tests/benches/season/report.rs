//! The lines a benchmark prints, and middles of several rounds.

use std::fmt::Display;
use std::time::{Duration, Instant};

/// One line: what, and how much.
pub fn line(what: &str, how_much: impl Display) {
    println!("{what:<66} {how_much}");
}

/// The middle, the least and the greatest of several rounds.
pub struct Rounds(Vec<Duration>);

impl Rounds {
    /// Measures `count` rounds.
    pub fn of<T>(count: usize, mut round: impl FnMut() -> T) -> Self {
        let mut took: Vec<Duration> = (0..count)
            .map(|_| {
                let began = Instant::now();
                std::hint::black_box(round());
                began.elapsed()
            })
            .collect();
        took.sort();
        Self(took)
    }
}

impl Display for Rounds {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let ms = |at: usize| self.0[at].as_secs_f64() * 1e3;
        let last = self.0.len() - 1;
        write!(f, "{:8.2} ms  ({:.2} to {:.2}, {} rounds)", ms(last / 2), ms(0), ms(last), last + 1)
    }
}
