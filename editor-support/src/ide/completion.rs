//! What may be written at a byte: also where the line is half written, and where other items have errors.

mod clause;
mod condition;
mod hand;
mod lines;
mod menu;
mod proposal;
mod quieting;
mod record;
#[cfg(test)]
mod tests;
mod value;

use purfle_lang::span::FileId;

use super::cursor::Cursor;
use crate::analysis::Analysis;
use menu::Menu;
pub use proposal::{Piece, Proposal, ProposalKind};

/// The proposals at a byte, best first. What is typed of a word so far is not held against them: the editor does that.
pub fn completion(analysis: &Analysis, file: FileId, offset: u32) -> Vec<Proposal> {
    let cursor = Cursor::new(analysis, file, offset);
    let mut menu = Menu::new(analysis, &cursor, file);
    if cursor.in_comment() {
        quieting::quieting(&mut menu);
        return sorted(menu);
    }
    if cursor.in_text() {
        return Vec::new();
    }
    let typed = cursor.typed();
    let ahead = cursor.text.get(cursor.line.start..typed.start).unwrap_or_default();
    // A number is written as its author means it.
    let written = cursor.text.get(typed.clone()).unwrap_or_default();
    if written.starts_with(|char: char| char.is_ascii_digit()) {
        return Vec::new();
    }
    if ahead.trim_matches('\u{feff}').is_empty() {
        lines::items(&mut menu);
    } else if clause::changing(&mut menu) {
        // What may be changed stands in the parents, whether or not the line can be read.
    } else if ahead.trim().is_empty() {
        lines::clauses(&mut menu);
        if goes_on(cursor.text, cursor.line.start) {
            clause::after(&mut menu, &cursor.tokens_before());
        }
    } else {
        clause::after(&mut menu, &cursor.tokens_before());
    }
    sorted(menu)
}

fn sorted(menu: Menu) -> Vec<Proposal> {
    let mut all = menu.all;
    all.sort_by_key(|proposal| proposal.rank);
    all
}

/// Whether what stands above asks for more: a comma, a joint or an open bracket at its end.
fn goes_on(text: &str, line_start: usize) -> bool {
    let above = text.get(..line_start).unwrap_or_default().trim_end();
    let last = above.rsplit(|char: char| char.is_whitespace()).next().unwrap_or_default();
    above.ends_with([',', '('])
        || matches!(last, "and" | "or" | "not" | "is" | "of" | "with" | "above" | "below" | "least" | "most")
}
