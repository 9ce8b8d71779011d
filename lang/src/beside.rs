//! Two things done at the same time.

use std::panic::resume_unwind;
use std::thread;

/// What both come to. The first is done by a thread of its own; where none can be had, one after the other.
pub fn beside<A: Send, B>(first: impl Fn() -> A + Sync, second: impl FnOnce() -> B) -> (A, B) {
    let first = &first;
    thread::scope(|scope| {
        let apart = thread::Builder::new().spawn_scoped(scope, first);
        let second = second();
        let first = apart.map_or_else(|_| first(), |apart| apart.join().unwrap_or_else(|panic| resume_unwind(panic)));
        (first, second)
    })
}
