//! Several workers on one stream of blocks, and their answers in the order of the blocks.

use std::collections::BTreeMap;
use std::panic::{AssertUnwindSafe, catch_unwind, resume_unwind};
use std::sync::mpsc::{Receiver, Sender};
use std::sync::{Mutex, mpsc};
use std::thread::{self, Scope};

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
    if threads < 2 {
        return with_threads(1, 0, &mut produce, &make, &mut collect);
    }
    let Some(first) = produce()? else { return Ok(()) };
    match produce() {
        Ok(Some(second)) => {
            let mut begun = [first, second].into_iter();
            let mut produce = || begun.next().map_or_else(&mut produce, |block| Ok(Some(block)));
            with_threads(threads, usize::MAX, &mut produce, &make, &mut collect)
        }
        // A single block needs no thread.
        ended => {
            collect(make()(first))?;
            ended.map(|_| ())
        }
    }
}

/// The same, where no more than so many threads can be started: a machine may have no room for another. Work goes on with
/// those that could be, and with none it is done here.
fn with_threads<B, O, E, W>(
    wanted: usize,
    possible: usize,
    produce: &mut (impl FnMut() -> Result<Option<B>, E> + Send),
    make: &(impl Fn() -> W + Sync),
    collect: &mut impl FnMut(O) -> Result<(), E>,
) -> Result<(), E>
where
    B: Send,
    O: Send,
    E: Send,
    W: FnMut(B) -> O,
{
    if wanted > 1
        && let Some(done) = apart(wanted, possible, produce, make, collect)
    {
        return done;
    }
    let mut work = make();
    while let Some(block) = produce()? {
        collect(work(block))?;
    }
    Ok(())
}

/// Starts a thread, if there is room for one.
fn start<'scope>(scope: &'scope Scope<'scope, '_>, possible: &mut usize, work: impl FnOnce() + Send + 'scope) -> bool {
    let started = *possible > 0 && thread::Builder::new().spawn_scoped(scope, work).is_ok();
    *possible = possible.saturating_sub(1);
    started
}

/// Reads in one thread and works in others; none, with nothing read, where they could not be started.
fn apart<B, O, E, W>(
    threads: usize,
    mut possible: usize,
    produce: &mut (impl FnMut() -> Result<Option<B>, E> + Send),
    make: &(impl Fn() -> W + Sync),
    collect: &mut impl FnMut(O) -> Result<(), E>,
) -> Option<Result<(), E>>
where
    B: Send,
    O: Send,
    E: Send,
    W: FnMut(B) -> O,
{
    let (block_to, blocks) = mpsc::channel::<(u64, B)>();
    let blocks = Mutex::new(blocks);
    let blocks = &blocks;
    thread::scope(|scope| {
        let (answer_to, answers) = mpsc::channel::<(u64, Answered<O, E>)>();
        let (token_to, tokens) = mpsc::channel::<()>();
        for _ in 0..threads * UNDER_WAY {
            // The receiver lives in this scope, so this never fails.
            let _ = token_to.send(());
        }
        let failed_to = answer_to.clone();
        let read = move || {
            for number in 0.. {
                // No token: whoever collects has stopped.
                if tokens.recv().is_err() {
                    return;
                }
                match catch_unwind(AssertUnwindSafe(&mut *produce)) {
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
        };
        let work = |answer_to: Sender<(u64, Answered<O, E>)>| {
            move || {
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
            }
        };
        // One worker is the least: without it nothing may be read yet. Who reads has to be started as well.
        if !start(scope, &mut possible, work(answer_to.clone())) || !start(scope, &mut possible, read) {
            return None;
        }
        for _ in 1..threads {
            if !start(scope, &mut possible, work(answer_to.clone())) {
                break;
            }
        }
        drop(answer_to);
        Some(in_turn(&answers, &token_to, collect))
    })
}

/// Hands answers on in the order of their blocks, and lets a block more be read for each.
fn in_turn<O, E>(
    answers: &Receiver<(u64, Answered<O, E>)>,
    token_to: &Sender<()>,
    collect: &mut impl FnMut(O) -> Result<(), E>,
) -> Result<(), E> {
    let mut early = BTreeMap::new();
    let mut wanted = 0;
    for (number, answer) in answers {
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
}

enum Answered<O, E> {
    Done(O),
    Failed(E),
    Panicked(Box<dyn std::any::Any + Send>),
}

#[cfg(test)]
mod tests {
    use super::{in_order, with_threads};

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
    fn where_threads_cannot_be_started_the_work_is_done_with_fewer() {
        for possible in 0..5 {
            let mut blocks = (0..200_u32).collect::<Vec<_>>().into_iter();
            let mut seen = Vec::new();
            let done = with_threads(
                4,
                possible,
                &mut || Ok::<_, ()>(blocks.next()),
                &|| |block: u32| (block, std::thread::current().id()),
                &mut |answer| {
                    seen.push(answer);
                    Ok(())
                },
            );
            assert_eq!(done, Ok(()));
            let here = std::thread::current().id();
            let told: Vec<u32> = seen.iter().map(|(block, _)| *block).collect();
            assert_eq!(told, (0..200).collect::<Vec<_>>(), "with {possible} threads");
            // Who reads needs one thread, and who works another.
            assert_eq!(seen.iter().all(|(_, thread)| *thread == here), possible < 2, "with {possible} threads");
        }
    }

    #[test]
    fn a_single_block_is_worked_on_here() {
        let here = std::thread::current().id();
        for (blocks, last) in [(1, Ok(None)), (1, Err("the disk is gone")), (0, Ok(None))] {
            let mut left = blocks;
            let mut seen = Vec::new();
            let produce = || match left {
                0 => last,
                _ => {
                    left -= 1;
                    Ok(Some(left))
                }
            };
            let work = || |block: i32| (block, std::thread::current().id());
            let done = in_order(4, produce, work, |answer| {
                seen.push(answer);
                Ok(())
            });
            assert_eq!(done, last.map(|_: Option<i32>| ()));
            assert_eq!(seen, vec![(0, here); blocks as usize]);
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
