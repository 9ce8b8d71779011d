//! Judges files of records by a book, for one report of all of them or for single slips.

use std::io::Write;

use indexmap::IndexSet;

use crate::judge::Judge;
use crate::record::Record;
use crate::records::{Earlier, EarlierCounts, Input, Refused, Run, Stopped};
use crate::report::{As, Rendered, Renderer, Settings, Triage};

/// What is judged: records, and those of last time beside them.
#[derive(Clone, Copy)]
pub struct Files<'a> {
    /// The records.
    pub inputs: &'a [Input],
    /// Earlier records, for rulebooks that compare with last time.
    pub last: &'a [Input],
}

/// Judges all records and gathers what came out; the report is whole once it is finished with what is given back beside
/// it. `step` is called after each record.
pub fn triage<'a>(
    first: &Judge,
    files: Files,
    settings: Settings,
    out: &'a mut dyn Write,
    mut step: impl FnMut(),
) -> Result<(Triage<'a>, EarlierCounts), Stopped> {
    let mut report = Triage::new(first.plan().book.clone(), settings, out);
    let take = |answer| {
        step();
        report.take(answer)
    };
    let counts = each(first, files, settings, |_| true, take)?;
    Ok((report, counts))
}

/// The slips of those records that bear this mark, as their own or as their instrument's, in the order of the files.
pub fn slips(first: &Judge, files: Files, settings: Settings, mark: &str) -> Result<Vec<Result<String, Refused>>, Stopped> {
    let mut slips = Vec::new();
    let bears = |record: &Record| record.id == mark || record.tag.as_deref() == Some(mark);
    each(first, files, settings, bears, |answer| {
        slips.push(answer.map(|rendered| String::from_utf8_lossy(rendered.text()).into_owned()));
        Ok(())
    })?;
    Ok(slips)
}

/// The marks of the records and of their instruments, each once, in the order of the files.
pub fn marks(judge: &Judge, inputs: &[Input]) -> Result<Vec<String>, Stopped> {
    let mut marks: IndexSet<String> = IndexSet::new();
    let make = || |record: &mut Record| Ok((Some(record.id.clone()), record.tag.clone()));
    Run { book: &judge.plan().book, inputs, threads: 1, likeness: None }.each(make, |answer| {
        let (record, tag) = answer.unwrap_or_else(|refused: Refused| (refused.record, None));
        marks.extend([record, tag].into_iter().flatten().filter(|mark| !mark.is_empty()));
        Ok(())
    })?;
    Ok(marks.into_iter().collect())
}

/// Judges those records that are wanted.
fn each(
    first: &Judge,
    Files { inputs, last }: Files,
    settings: Settings,
    wanted: impl Fn(&Record) -> bool + Sync,
    mut take: impl FnMut(Result<Rendered, Refused>) -> std::io::Result<()>,
) -> Result<EarlierCounts, Stopped> {
    let book = &first.plan().book;
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let (earlier, counts) = Earlier::read(book, last, inputs, threads)?;
    let renderer = Renderer::new(book.clone(), settings);
    let rows = matches!(settings.form, As::Csv | As::Xlsx);
    let make = || {
        let mut judge = first.another();
        let (earlier, renderer, wanted) = (&earlier, renderer.clone(), &wanted);
        move |record: &mut Record| {
            if !wanted(record) {
                return Ok(None);
            }
            if let Some(earlier) = earlier {
                earlier.fill(record);
            }
            let outcome = if rows { judge.judge_for_row(record) } else { judge.judge(record) };
            let outcome = outcome.map_err(|impossible| Refused::impossible(record, impossible))?;
            Ok(Some(renderer.outcome(record, &outcome)))
        }
    };
    let likeness = first.likeness();
    let likeness = |record: &Record| likeness.of_record(record);
    let run = Run { book, inputs, threads, likeness: Some(&likeness) };
    run.each(make, |answer: Result<Option<Rendered>, Refused>| match answer {
        Ok(None) => Ok(()),
        Ok(Some(rendered)) => take(Ok(rendered)),
        Err(refused) => take(Err(refused)),
    })?;
    Ok(counts)
}
