//! The changes that no example notices, as plain words and for people.

use std::fmt::Write;
use std::sync::Arc;
use std::time::{Duration, Instant};

use purfle_lang::book::Book;
use serde::Serialize;

use super::super::progress::Progress;
use super::view::Places;
use crate::load::Loaded;
use crate::rehearse::mutants::{Change, Difference, Texts, Trial, Tried, Unnoticed, changes};
use crate::report::{paragraph, plain, shown};

/// The most characters of a rulebook's text that are shown with a change.
const MOST_SHOWN: usize = 60;

/// What came of all changes to one rulebook.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct MutantsView {
    /// How many changes there are.
    pub changes: usize,
    /// How many an example notices.
    pub noticed: usize,
    /// How many are proved to change nothing.
    pub nothing: usize,
    /// Those that no example notices.
    pub unnoticed: Vec<UnnoticedView>,
    /// Those that were not tried.
    pub untried: Vec<ChangeView>,
}

/// A change.
#[derive(Serialize)]
pub struct ChangeView {
    /// The item it changes.
    pub item: String,
    /// Its file.
    pub file: String,
    /// Its line, from 1.
    pub line: usize,
    /// The text at that place.
    pub written: String,
    /// What is changed there.
    pub change: String,
}

/// A change that no example notices.
#[derive(Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct UnnoticedView {
    /// The change.
    #[serde(flatten)]
    pub change: ChangeView,
    /// The record of an example that would notice it, and what it expects, where one was found.
    pub record: Option<String>,
    /// What that example expects.
    pub expects: Option<String>,
    /// What kind of example would notice it, where none was found.
    pub kind: Option<String>,
    /// Whether it may change nothing at all.
    pub may_change_nothing: bool,
}

/// Tries every change, for so many seconds at the most.
pub fn tried(book: &Arc<Book>, loaded: &Loaded, places: &Places<'_>, within: Option<u64>) -> MutantsView {
    let texts = Texts::new(&loaded.sources);
    let changes = changes(book, &texts);
    let until = within.and_then(|seconds| Instant::now().checked_add(Duration::from_secs(seconds)));
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let mut progress = Progress::new("changes", "tried");
    let Tried { noticed, nothing, unnoticed, untried } =
        Trial { book, changes: &changes, until, threads }.run(|| progress.step());
    progress.finish();
    let view = |change: &Change| {
        let (file, line) = places.line(change.place);
        ChangeView { item: change.item.clone(), file, line, written: texts.written(change.place), change: change.says.clone() }
    };
    let unnoticed = unnoticed.into_iter().map(|Unnoticed { change, difference }| {
        let change = &changes[change];
        let (witness, undecided) = match difference {
            Difference::Shown(witness) => (Some(witness), false),
            Difference::Plain | Difference::None => (None, false),
            Difference::Undecided => (None, true),
        };
        UnnoticedView {
            change: view(change),
            kind: witness.is_none().then(|| change.notice.clone()),
            record: witness.as_ref().map(|witness| witness.record.clone()),
            expects: witness.map(|witness| witness.expects),
            may_change_nothing: undecided,
        }
    });
    MutantsView {
        changes: changes.len(),
        noticed,
        nothing,
        unnoticed: unnoticed.collect(),
        untried: untried.iter().map(|at| view(&changes[*at])).collect(),
    }
}

/// The whole list, for people.
pub fn report(view: &MutantsView) -> String {
    let MutantsView { changes, noticed, nothing, unnoticed, untried } = view;
    let mut text = String::new();
    let mut item = "";
    for (at, one) in unnoticed.iter().enumerate() {
        let UnnoticedView { change, record, expects, kind, may_change_nothing } = one;
        if item != change.item {
            item = &change.item;
            let _ = writeln!(text, "\n{}  ({})", shown(item), shown(&change.file));
        }
        told(&mut text, change);
        let same = |next: &UnnoticedView| {
            next.change.item == change.item && (&next.record, &next.expects, &next.kind) == (record, expects, kind)
        };
        if unnoticed.get(at + 1).is_some_and(same) {
            continue;
        }
        if let (Some(record), Some(expects)) = (record, expects) {
            paragraph(&mut text, "         noticed by  record  ", &plain(record));
            paragraph(&mut text, "                     ", &plain(expects));
        }
        if let Some(kind) = kind {
            let may = if *may_change_nothing { " It may change nothing." } else { "" };
            paragraph(&mut text, "         noticed by  ", &format!("an example {kind}.{may}"));
        }
    }
    text.push('\n');
    let few = format!(
        "{changes} changes to one limit, choice or step: {noticed} are noticed by an example, {} by none.",
        unnoticed.len()
    );
    paragraph(&mut text, "", &few);
    if *nothing > 0 {
        paragraph(&mut text, "", &format!("{nothing} more would change nothing, and are left out."));
    }
    if let [first, ..] = untried.as_slice() {
        let from = format!("{}, {}:{}", first.item, first.file, first.line);
        let words =
            format!("{} were not tried for want of time, from {from} on; give more with --within SECONDS.", untried.len());
        paragraph(&mut text, "", &shown(&words));
    }
    text
}

fn told(text: &mut String, change: &ChangeView) {
    let written = match change.written.char_indices().nth(MOST_SHOWN) {
        Some((end, _)) => format!("{}...", &change.written[..end]),
        None => change.written.clone(),
    };
    paragraph(text, &format!("  {:>5}  ", change.line), &format!("{}: {}", shown(&written), shown(&change.change)));
}
