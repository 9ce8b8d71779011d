//! Mending: the safe fixes of one text, made round by round until none is left.
//!
//! A round makes every safe fix that touches no other one; where two touch, the first in the text goes first and the
//! other waits for the next round, when it is asked anew what there is to tell. Nothing is read or written here: who
//! asks for the mending says what there is to tell of a text.

#[cfg(test)]
mod tests;

use std::borrow::Cow;
use std::ops::Range;

use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::span::FileId;

/// The most rounds that are made.
pub const MOST_ROUNDS: usize = 10;

/// One fix that was made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mend {
    /// What it mended.
    pub slug: &'static str,
    /// What it does, beginning with a verb.
    pub title: String,
    /// Where, as a byte of the mended text.
    pub at: usize,
}

/// A text with its safe fixes made.
#[derive(Debug, Clone)]
pub struct Mended {
    /// The text.
    pub text: String,
    /// The fixes, in the order of the text.
    pub mends: Vec<Mend>,
}

/// Why a text is not mended.
#[derive(Debug, Clone)]
pub enum Stuck {
    /// After [`MOST_ROUNDS`] rounds there was still something to mend, such as this.
    Unsettled {
        /// The title of a fix that was still offered.
        title: String,
    },
    /// The mending would bring an error.
    NewError {
        /// The title of the fix that brings it.
        title: String,
        /// The error.
        error: Box<Diagnostic>,
    },
}

/// Makes the safe fixes of a text, which is `file` in all that `tell` tells of it. `told` is what there is to tell now.
pub fn mend(
    file: FileId,
    text: &str,
    told: &[Diagnostic],
    mut tell: impl FnMut(&str) -> Vec<Diagnostic>,
) -> Result<Mended, Stuck> {
    let mut mended = Mended { text: text.to_owned(), mends: Vec::new() };
    let mut told = Cow::Borrowed(told);
    for _ in 0..MOST_ROUNDS {
        let round = Round::choose(file, &mended.text, &told);
        let Some(first) = round.chosen.first() else {
            mended.mends.sort_by_key(|mend| mend.at);
            return Ok(mended);
        };
        let made = round.make(&mended.text);
        if made.text == mended.text {
            return Err(Stuck::Unsettled { title: first.fix.title.clone() });
        }
        for mend in &mut mended.mends {
            mend.at = made.moved(mend.at);
        }
        let mends = round.chosen.iter().zip(&made.written);
        mended.mends.extend(mends.map(|(chosen, written)| {
            let at = written.first().map_or(0, |range| range.start);
            Mend { slug: chosen.slug, title: chosen.fix.title.clone(), at }
        }));
        let after = tell(&made.text);
        if let Some((title, error)) = round.brings(&made, &told, &after) {
            return Err(Stuck::NewError { title, error: Box::new(error) });
        }
        mended.text = made.text;
        told = Cow::Owned(after);
    }
    match Round::choose(file, &mended.text, &told).chosen.first() {
        Some(chosen) => Err(Stuck::Unsettled { title: chosen.fix.title.clone() }),
        None => Ok(mended),
    }
}

/// A fix that is made in this round.
struct Chosen<'a> {
    slug: &'static str,
    fix: &'a Fix,
}

/// The fixes of one round.
struct Round<'a> {
    file: FileId,
    chosen: Vec<Chosen<'a>>,
}

/// A text after one round.
struct Made {
    text: String,
    /// What each fix wrote, edit by edit.
    written: Vec<Vec<Range<usize>>>,
    /// What was replaced, in order, and how long the new text is.
    edits: Vec<(Range<usize>, usize)>,
}

impl<'a> Round<'a> {
    /// The first safe fix of each diagnostic, as far as it touches none before it.
    fn choose(file: FileId, text: &str, told: &'a [Diagnostic]) -> Self {
        let mut taken: Vec<Range<usize>> = Vec::new();
        let mut chosen = Vec::new();
        let sound = |edit: &Edit| edit.span.file == file && text.get(edit.span.range()).is_some();
        for diagnostic in told.iter().filter(|diagnostic| diagnostic.span.file == file) {
            let Some(fix) = diagnostic.fixes.iter().find(|fix| fix.safe && fix.edits.iter().all(sound)) else { continue };
            let apart = |edit: &Edit| taken.iter().all(|other| apart(&edit.span.range(), other));
            if !fix.edits.is_empty() && fix.edits.iter().all(apart) {
                taken.extend(fix.edits.iter().map(|edit| edit.span.range()));
                chosen.push(Chosen { slug: diagnostic.slug, fix });
            }
        }
        Self { file, chosen }
    }

    /// The text with the fixes made.
    fn make(&self, text: &str) -> Made {
        let mut edits: Vec<(usize, usize, &Edit)> = Vec::new();
        for (at, chosen) in self.chosen.iter().enumerate() {
            edits.extend(chosen.fix.edits.iter().enumerate().map(|(nth, edit)| (at, nth, edit)));
        }
        edits.sort_by_key(|(.., edit)| (edit.span.start, edit.span.end));
        let breaks = line_break(text);
        let mut made = Made {
            text: String::with_capacity(text.len()),
            written: self.chosen.iter().map(|chosen| vec![0..0; chosen.fix.edits.len()]).collect(),
            edits: Vec::with_capacity(edits.len()),
        };
        let mut from = 0;
        for (at, nth, edit) in edits {
            let range = edit.span.range();
            made.text.push_str(&text[from..range.start]);
            let start = made.text.len();
            match breaks {
                "\n" => made.text.push_str(&edit.text),
                breaks => made.text.push_str(&edit.text.replace('\n', breaks)),
            }
            made.written[at][nth] = start..made.text.len();
            from = range.end;
            made.edits.push((range, made.text.len() - start));
        }
        made.text.push_str(&text[from..]);
        made
    }

    /// An error that was not there before and stands in what a fix wrote, with the title of that fix.
    fn brings(&self, made: &Made, before: &[Diagnostic], after: &[Diagnostic]) -> Option<(String, Diagnostic)> {
        for error in after.iter().filter(|error| error.is_error() && error.span.file == self.file) {
            let place = error.span.range();
            let Some(at) = made.written.iter().position(|all| all.iter().any(|written| meets(&place, written))) else { continue };
            let fix = &self.chosen[at].fix;
            let was_there = before.iter().any(|old| {
                old.is_error()
                    && old.slug == error.slug
                    && fix.edits.iter().any(|edit| meets(&old.span.range(), &edit.span.range()))
            });
            if !was_there {
                return Some((fix.title.clone(), error.clone()));
            }
        }
        None
    }
}

impl Made {
    /// Where a byte of the text before lies now.
    fn moved(&self, at: usize) -> usize {
        let mut now = at;
        for (range, length) in self.edits.iter().take_while(|(range, _)| range.start <= at) {
            now = if range.end <= at { now - range.len() + length } else { now - (at - range.start) };
        }
        now
    }
}

/// Whether two stretches neither overlap nor, where one of them is empty, touch.
fn apart(one: &Range<usize>, other: &Range<usize>) -> bool {
    let touching = one.is_empty() || other.is_empty();
    let before = |one: &Range<usize>, other: &Range<usize>| if touching { one.end < other.start } else { one.end <= other.start };
    before(one, other) || before(other, one)
}

/// Whether a place lies at least partly in a stretch that is not empty.
fn meets(place: &Range<usize>, stretch: &Range<usize>) -> bool {
    !stretch.is_empty() && place.start < stretch.end && place.end.max(place.start + 1) > stretch.start
}

/// How the lines of a text end.
fn line_break(text: &str) -> &'static str {
    match text.find(['\r', '\n']) {
        Some(at) if text[at..].starts_with("\r\n") => "\r\n",
        Some(at) if text[at..].starts_with('\r') => "\r",
        _ => "\n",
    }
}
