//! Measuring time.

use std::time::{Duration, Instant};

/// How often something is measured.
const RUNS: usize = 5;

/// What something gives, and the shortest time it took in five runs: what else the machine does only adds to it.
pub fn timed<T>(mut run: impl FnMut() -> T) -> (T, Duration) {
    let mut once = || {
        let start = Instant::now();
        let given = std::hint::black_box(run());
        (given, start.elapsed())
    };
    let (given, mut least) = once();
    for _ in 1..RUNS {
        least = least.min(once().1);
    }
    (given, least)
}

/// A time in milliseconds, with as many digits as mean something.
pub fn shown(time: Duration) -> String {
    let milliseconds = time.as_secs_f64() * 1e3;
    match milliseconds {
        ..10.0 => format!("{milliseconds:.2}"),
        ..100.0 => format!("{milliseconds:.1}"),
        _ => format!("{milliseconds:.0}"),
    }
}

/// How many times as long one takes as the other.
pub fn ratio(one: Duration, other: Duration) -> String {
    let ratio = one.as_secs_f64() / other.as_secs_f64().max(1e-9);
    if ratio < 10.0 { format!("{ratio:.1}x") } else { format!("{ratio:.0}x") }
}
