//! What was proved of a text and may go on being shown while the proof of a newer text is running.
//!
//! To take all of it away with each key press and to bring it back after each pause would flicker; to leave all of it
//! would underline yesterday's words. So a warning stays as long as every item that it speaks of stands as it was, and
//! moves along with it. One about an item that was touched goes at once.

use std::ops::Range;

use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::span::Span;
use purfle_lang::syntax::tree::Tree;

/// One text of a chain before and after, and what it said before.
pub struct Step<'a> {
    /// The text before.
    pub before: &'a str,
    /// What it said.
    pub tree: &'a Tree,
    /// The text after.
    pub after: &'a str,
}

/// Those of the diagnostics that may stay, at their places in the newer texts.
pub fn keep(steps: &[Step], told: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let moves: Vec<Move> = steps.iter().map(Move::of).collect();
    told.into_iter().filter_map(|diagnostic| moved(&moves, diagnostic)).collect()
}

fn moved(moves: &[Move], mut diagnostic: Diagnostic) -> Option<Diagnostic> {
    let place = |span: &mut Span| -> Option<()> {
        *span = moves.get(usize::from(span.file.0))?.place(*span)?;
        Some(())
    };
    place(&mut diagnostic.span)?;
    diagnostic.places.iter_mut().try_for_each(|label| place(&mut label.span))?;
    let mut edits = diagnostic.fixes.iter_mut().flat_map(|fix| &mut fix.edits);
    edits.try_for_each(|edit| place(&mut edit.span))?;
    Some(diagnostic)
}

/// How the places of a text move.
enum Move {
    /// Not at all.
    Still,
    /// What lies in `touched` is gone, and what lies behind it moves.
    Round { touched: Range<usize>, by: i64 },
}

impl Move {
    fn of(step: &Step) -> Self {
        let (before, after) = (step.before.as_bytes(), step.after.as_bytes());
        if before == after {
            return Self::Still;
        }
        let same = before.iter().zip(after).take_while(|(one, other)| one == other).count();
        let rest = before.len().min(after.len()) - same;
        let tail = before.iter().rev().zip(after.iter().rev()).take(rest).take_while(|(one, other)| one == other).count();
        let changed = same..before.len() - tail;
        // From the line of the item that holds the first change to the line of the first item behind the last.
        let line = |byte: usize| step.before.get(..byte).and_then(|text| text.rfind(['\n', '\r'])).map_or(0, |at| at + 1);
        let starts = step.tree.items.iter().map(|item| line(item.entry.keyword.start as usize));
        let touched = Range {
            start: starts.clone().take_while(|&start| start < changed.start.max(1)).last().unwrap_or(0),
            end: starts.clone().find(|&start| start > changed.end).unwrap_or(before.len()),
        };
        Self::Round { touched, by: i64::try_from(after.len()).unwrap_or(0) - i64::try_from(before.len()).unwrap_or(0) }
    }

    fn place(&self, span: Span) -> Option<Span> {
        let Self::Round { touched, by } = self else { return Some(span) };
        if span.range().end <= touched.start {
            return Some(span);
        }
        if span.range().start < touched.end {
            return None;
        }
        let shifted = |byte: u32| u32::try_from(i64::from(byte) + by).ok();
        Some(Span { start: shifted(span.start)?, end: shifted(span.end)?, ..span })
    }
}

#[cfg(test)]
mod tests {
    use purfle_lang::span::FileId;
    use purfle_lang::syntax::parse;

    use super::*;

    const BEFORE: &str = "finding a\n  when x is y\n\nfinding b\n  when x is y\n\nfinding c\n  when x is y\n";

    /// A warning about `at` in the text, and one about `other` as well.
    fn warning(at: &str, other: &str) -> Diagnostic {
        let span = |text: &str| {
            let start = BEFORE.find(text).expect("it stands there");
            Span::new(FileId::OWN, start, start + text.len())
        };
        Diagnostic::warning("never-found", span(at), "").place(span(other), "")
    }

    /// The texts of the places of the warnings that stay.
    fn kept(after: &str, told: Vec<Diagnostic>) -> Vec<(String, String)> {
        let tree = parse(FileId::OWN, BEFORE).tree;
        let kept = keep(&[Step { before: BEFORE, tree: &tree, after }], told);
        let text = |span: Span| after[span.range()].to_owned();
        kept.iter().map(|told| (text(told.span), text(told.places[0].span))).collect()
    }

    fn all() -> Vec<Diagnostic> {
        vec![warning("finding a", "finding a"), warning("finding b", "finding b"), warning("finding c", "finding a")]
    }

    fn said(pairs: &[(&str, &str)]) -> Vec<(String, String)> {
        pairs.iter().map(|(one, other)| ((*one).to_owned(), (*other).to_owned())).collect()
    }

    #[test]
    fn a_warning_goes_with_the_item_that_is_touched_and_the_others_move() {
        let after = BEFORE.replacen("finding b\n", "finding b\n  urgency soon\n", 1);
        assert_eq!(kept(&after, all()), said(&[("finding a", "finding a"), ("finding c", "finding a")]));
    }

    #[test]
    fn a_warning_goes_with_any_item_it_speaks_of() {
        let after = BEFORE.replacen("x is y", "x is z", 1);
        assert_eq!(kept(&after, all()), said(&[("finding b", "finding b")]));
    }

    #[test]
    fn without_a_change_all_stay() {
        assert_eq!(kept(BEFORE, all()).len(), 3);
    }

    #[test]
    fn the_first_and_the_last_byte_are_part_of_an_item() {
        assert_eq!(kept(&format!("x{BEFORE}"), all()), said(&[("finding b", "finding b")]));
        assert_eq!(kept(&BEFORE[..BEFORE.len() - 2], all()).len(), 2);
        assert_eq!(kept("", all()), []);
    }
}
