//! Several workers on one stream of blocks, and their answers in the order of the blocks.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::{Mutex, mpsc};
use std::thread;

/// Blocks under way for each worker: one in hand and one waiting.
const UNDER_WAY: usize = 3;

/// Takes blocks from `produce` until it gives none, lets `threads` workers (each made by `make`) work on them, and
/// hands their answers to `collect` in order. Holds only a few blocks at a time. Ends at the first error.
pub fn in_order<B, O, E, W>(
    threads: usize,
    mut produce: impl FnMut() -> Result<Option<B>, E> + Send,
    make: impl Fn() -> W + Sync,
    mut collect: impl FnMut(O) -> Result<(), E>,
) -> Result<(), E>
where
    B: Send,
    O: Send,
    E: Send,
    W: FnMut(B) -> O,
{
    if threads <= 1 {
        let mut work = make();
        while let Some(block) = produce()? {
            collect(work(block))?;
        }
        return Ok(());
    }
    let (block_to, blocks) = mpsc::channel::<(u64, B)>();
    let blocks = Mutex::new(blocks);
    let (blocks, make) = (&blocks, &make);
    thread::scope(|scope| {
        let (answer_to, answers) = mpsc::channel::<(u64, Answered<O, E>)>();
        let (token_to, tokens) = mpsc::channel::<()>();
        for _ in 0..threads * UNDER_WAY {
            // The receiver lives in this scope, so this never fails.
            let _ = token_to.send(());
        }
        let failed_to = answer_to.clone();
        scope.spawn(move || {
            for number in 0.. {
                // No token: whoever collects has stopped.
                if tokens.recv().is_err() {
                    return;
                }
                match catch_unwind(AssertUnwindSafe(&mut produce)) {
                    Ok(Ok(Some(block))) => {
                        if block_to.send((number, block)).is_err() {
                            return;
                        }
                    }
                    Ok(Ok(None)) => return,
                    Ok(Err(error)) => return drop(failed_to.send((number, Answered::Failed(error)))),
                    Err(panic) => return drop(failed_to.send((number, Answered::Panicked(panic)))),
                }
            }
        });
        for _ in 0..threads {
            let answer_to = answer_to.clone();
            scope.spawn(move || {
                // Made with the first block, so that a short file costs only the workers it needs.
                let mut worker: Option<W> = None;
                loop {
                    let next = blocks.lock().map_or(None, |blocks| blocks.recv().ok());
                    let Some((number, block)) = next else { return };
                    let answer = catch_unwind(AssertUnwindSafe(|| worker.get_or_insert_with(make)(block)));
                    let answer = answer.map_or_else(Answered::Panicked, Answered::Done);
                    if answer_to.send((number, answer)).is_err() {
                        return;
                    }
                }
            });
        }
        drop(answer_to);
        let mut early = BTreeMap::new();
        let mut wanted = 0;
        for (number, answer) in &answers {
            early.insert(number, answer);
            while let Some(answer) = early.remove(&wanted) {
                wanted += 1;
                match answer {
                    Answered::Done(answer) => collect(answer)?,
                    Answered::Failed(error) => return Err(error),
                    Answered::Panicked(panic) => resume_unwind(panic),
                }
                // The producer may have ended already.
                let _ = token_to.send(());
            }
        }
        Ok(())
    })
}

enum Answered<O, E> {
    Done(O),
    Failed(E),
    Panicked(Box<dyn std::any::Any + Send>),
}

#[cfg(test)]
mod tests {
    use super::in_order;

    #[test]
    fn answers_come_in_the_order_of_the_blocks() {
        for threads in [1, 2, 5] {
            let mut blocks = (0..1000_u32).collect::<Vec<_>>().into_iter();
            let mut seen = Vec::new();
            let done = in_order(
                threads,
                || Ok::<_, ()>(blocks.next()),
                || {
                    |block: u32| {
                        if block.is_multiple_of(7) {
                            std::thread::yield_now();
                        }
                        block * 2
                    }
                },
                |answer| {
                    seen.push(answer);
                    Ok(())
                },
            );
            assert_eq!(done, Ok(()));
            assert_eq!(seen, (0..1000).map(|block| block * 2).collect::<Vec<_>>());
        }
    }

    #[test]
    fn the_first_error_ends_it() {
        for threads in [1, 2] {
            let mut next = 0;
            let done = in_order(
                threads,
                || {
                    next += 1;
                    if next > 10 { Err("the disk is gone") } else { Ok(Some(next)) }
                },
                || |block: i32| block,
                |_| Ok(()),
            );
            assert_eq!(done, Err("the disk is gone"));
            let done = in_order(threads, || Ok(Some(1)), || |block: i32| block, |_| Err("nobody reads"));
            assert_eq!(done, Err("nobody reads"));
        }
    }
}
