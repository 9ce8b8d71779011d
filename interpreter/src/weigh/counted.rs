//! What past records come to by either rulebook: which instruments move, and why, and what all of them cost.
//!
//! Where one reading does for both rulebooks, a record is read once, and it is judged by the new rulebook only where
//! something in which the two differ can matter to it. Else the files are gone through twice, once by each.

mod compared;
mod shared;
mod spared;
mod tally;

use std::sync::Arc;

use purfle_lang::book::Book;
use rustc_hash::FxHashMap;

use super::replay::Books;
use super::view::CountedView;
use crate::judge::{Brief, Judge};
use crate::record::Record;
use crate::records::{Answer, Earlier, Input, Noting, Refused, Repeated, Run, Stopped};
use compared::{Compared, Names};
use shared::Shared;
use spared::Spared;
use tally::Tally;

/// Files of records.
#[derive(Clone, Copy)]
pub struct Files<'a> {
    /// The records.
    pub inputs: &'a [Input],
    /// Earlier ones, for rulebooks that compare with last time.
    pub last: &'a [Input],
}

/// What past records come to by both. `step` is called for each record as it is judged.
pub fn counted(old: &Judge, new: &Judge, files: Files<'_>, mut step: impl FnMut()) -> Result<CountedView, Stopped> {
    let (was, now) = (Arc::clone(&old.plan().book), Arc::clone(&new.plan().book));
    if let Some(shared) = Shared::of(&was, &now)
        && let Some(view) = at_once(old, new, files, &shared, &mut step)?
    {
        return Ok(view);
    }
    counted_apart(old, new, files, step)
}

/// The same, every record read and judged by each rulebook for itself.
pub fn counted_apart(old: &Judge, new: &Judge, files: Files<'_>, mut step: impl FnMut()) -> Result<CountedView, Stopped> {
    let (was, now) = (Arc::clone(&old.plan().book), Arc::clone(&new.plan().book));
    let names = Names::new(Books { old: &was, new: &now });
    let mut tally = Tally::new(&names);
    let (before, earlier_old) = all(old, files, &mut step)?;
    let mut before = before.into_iter();
    let earlier_new = each(new, files, |new: Answer<Kept>| {
        step();
        match (before.next(), new) {
            (Some(Ok(old)), Ok(new)) => {
                tally.compared(names.compared(&new.record, new.tag.as_deref(), &old.brief, &new.brief));
            }
            (Some(old), new) => tally.refused(old.err().as_ref(), new.err().as_ref()),
            (None, _) => {}
        }
    })?;
    // Earlier records that are left out decide what the others are compared with.
    let by = |all: &'_ [Refused], refused: &Refused| all.iter().find(|other| other.source == refused.source).cloned();
    for refused in &earlier_old {
        tally.left_out(Some(refused), by(&earlier_new, refused).as_ref());
    }
    let only_new = earlier_new.iter().filter(|refused| by(&earlier_old, refused).is_none());
    only_new.for_each(|refused| tally.left_out(None, Some(refused)));
    Ok(tally.view())
}

/// What is kept of one record by one rulebook.
struct Kept {
    record: String,
    tag: Option<String>,
    brief: Brief,
}

/// Every record by one rulebook, in the order of the files, and the earlier ones that it refuses.
fn all(first: &Judge, files: Files<'_>, step: &mut impl FnMut()) -> Result<(Vec<Answer<Kept>>, Vec<Refused>), Stopped> {
    let mut kept = Vec::new();
    let refused = each(first, files, |answer| {
        step();
        kept.push(answer);
    })?;
    Ok((kept, refused))
}

/// Hands every record as one rulebook judges it to `take`; what is given back are earlier records that it refuses.
fn each(first: &Judge, Files { inputs, last }: Files<'_>, mut take: impl FnMut(Answer<Kept>)) -> Result<Vec<Refused>, Stopped> {
    let book = &first.plan().book;
    let threads = threads();
    let (earlier, counts) = Earlier::read(book, last, inputs, threads)?;
    let make = || {
        let mut judge = first.another();
        let earlier = &earlier;
        move |record: &mut Record| {
            if let Some(earlier) = earlier {
                earlier.fill(record);
            }
            let brief = judge.brief(record).map_err(|impossible| Refused::impossible(record, impossible))?;
            Ok(Kept { record: record.id.clone(), tag: record.tag.clone(), brief })
        }
    };
    let likeness = first.likeness();
    let likeness = |record: &Record| likeness.of_record(record);
    Run { book, inputs, threads, likeness: Some(&likeness) }.each(make, |answer| {
        take(answer);
        Ok(())
    })?;
    Ok(counts.refused)
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

/// What became of one record that was read once.
enum Weighed {
    /// Both judged it.
    Both(Box<Compared>),
    /// One of them refuses it, or both do.
    Refused(Option<Refused>, Option<Refused>),
    /// It says what only one of them knows.
    OnlyOne,
}

/// All records, each read once; none where that does not do after all.
fn at_once(
    old: &Judge,
    new: &Judge,
    Files { inputs, last }: Files<'_>,
    shared: &Shared,
    step: &mut impl FnMut(),
) -> Result<Option<CountedView>, Stopped> {
    if !shared.equal() && !last.is_empty() {
        return Ok(None);
    }
    let (was, now) = (Arc::clone(&old.plan().book), Arc::clone(&new.plan().book));
    let names = Names::new(Books { old: &was, new: &now });
    let spared = Spared::of(old, new);
    let book: &Arc<Book> = if shared.by_new() { &now } else { &was };
    let threads = threads();
    let (earlier, counts) = Earlier::read(book, last, inputs, threads)?;
    let make = || {
        let mut pair = Pair {
            old: old.another(),
            new: new.another(),
            spared: spared.as_ref().map(Spared::another),
            shared,
            names: &names,
            there: Record::default(),
            fields: FxHashMap::default(),
        };
        let earlier = &earlier;
        move |record: &mut Record| {
            if let Some(earlier) = earlier {
                earlier.fill(record);
            }
            pair.weighed(record)
        }
    };
    let mut tally = Tally::new(&names);
    let mut only_one = false;
    let likeness = if shared.by_new() { new.likeness() } else { old.likeness() };
    let likeness = |record: &Record| likeness.of_record(record);
    let run = Run { book, inputs, threads, likeness: Some(&likeness) };
    let collect = |answer: Answer<Weighed>, repeated: Option<Repeated>| {
        step();
        let refused = |before: Option<Refused>| match &repeated {
            Some(repeated) => Some(repeated.refused(before)),
            None => before,
        };
        match answer {
            Ok(Weighed::Both(compared)) if repeated.is_none() => tally.compared(*compared),
            Ok(Weighed::Both(_)) => tally.refused(refused(None).as_ref(), refused(None).as_ref()),
            Ok(Weighed::Refused(old, new)) => tally.refused(refused(old).as_ref(), refused(new).as_ref()),
            Err(read) if shared.equal() => {
                let read = refused(Some(read));
                tally.refused(read.as_ref(), read.as_ref());
            }
            // What one of them cannot read the other may.
            Ok(Weighed::OnlyOne) | Err(_) => {
                only_one = true;
                return Err(std::io::Error::other("each rulebook has to read by itself"));
            }
        }
        Ok(())
    };
    // Where only one of them knows a look, it counts as well that a field of it was there and empty.
    let noting = if shared.equal() { Noting::Nothing } else { Noting::EmptyToo };
    let ran = run.each_of_two(noting, make, collect);
    if only_one {
        return Ok(None);
    }
    ran?;
    counts.refused.iter().for_each(|refused| tally.left_out(Some(refused), Some(refused)));
    Ok(Some(tally.view()))
}

/// The two judges of one thread.
struct Pair<'a> {
    old: Judge,
    new: Judge,
    spared: Option<Spared>,
    shared: &'a Shared,
    names: &'a Names<'a>,
    /// The record in the other rulebook's terms.
    there: Record,
    /// Fields that were written and say nothing: whether only the rulebook that is read by knows them.
    fields: FxHashMap<Box<str>, bool>,
}

impl Pair<'_> {
    fn weighed(&mut self, record: &Record) -> Answer<Weighed> {
        let Self { old, new, spared, shared, names, there, fields } = self;
        let book = if shared.by_new() { &new.plan().book } else { &old.plan().book };
        if shared.names_only_one(book, record, fields) {
            return Ok(Weighed::OnlyOne);
        }
        let Ok(told) = shared.told(record, there) else { return Ok(Weighed::OnlyOne) };
        let (by_old, by_new) = if shared.by_new() { (told, record) } else { (record, told) };
        let before = old.brief(by_old);
        if let (Ok(brief), Some(spared)) = (&before, spared)
            && spared.same(by_new, brief)
        {
            return Ok(Weighed::Both(Box::new(names.unmoved(brief))));
        }
        match (before, new.brief(by_new)) {
            (Ok(before), Ok(after)) => {
                Ok(Weighed::Both(Box::new(names.compared(&record.id, record.tag.as_deref(), &before, &after))))
            }
            (before, after) => {
                let refused = |record: &Record, brief: Result<_, _>| brief.err().map(|why| Refused::impossible(record, why));
                Ok(Weighed::Refused(refused(by_old, before), refused(by_new, after)))
            }
        }
    }
}
