//! The canonical layout: of the whole text, or of the items that a range touches.

use std::ops::Range;

use purfle_lang::diagnostic::Edit;
use purfle_lang::span::{FileId, Span};
use purfle_lang::tidy::Tidied;

use super::cursor::boundary;
use crate::analysis::Analysis;

/// The changes that lay a text out, in order; none where it is tidy already. Each is as small as its lines allow.
pub fn format(analysis: &Analysis, file: FileId) -> Vec<Edit> {
    edits(analysis, file, 0..analysis.text(file).len())
}

/// The changes to the items that a range touches.
pub fn format_range(analysis: &Analysis, file: FileId, from: u32, to: u32) -> Vec<Edit> {
    let text = analysis.text(file);
    let (from, to) = (boundary(text, from as usize), boundary(text, to as usize));
    edits(analysis, file, from.min(to)..from.max(to))
}

fn edits(analysis: &Analysis, file: FileId, within: Range<usize>) -> Vec<Edit> {
    let text = analysis.text(file);
    let all = Tidied::new(text).edits(within);
    all.into_iter().map(|edit| smaller(text, Edit { span: Span { file, ..edit.span }, text: edit.text })).collect()
}

/// An edit without the lines at its two ends that stay as they are, so that marks and pointers in them stay as well.
fn smaller(text: &str, edit: Edit) -> Edit {
    let old = text.get(edit.span.range()).unwrap_or_default();
    let new = edit.text.as_str();
    let ahead: usize = old
        .split_inclusive('\n')
        .zip(new.split_inclusive('\n'))
        .take_while(|(one, other)| one == other && one.ends_with('\n'))
        .map(|(one, _)| one.len())
        .sum();
    let (old, new) = (&old[ahead..], &new[ahead..]);
    let lines = |text: &'_ str| text.split_inclusive('\n').map(str::to_owned).collect::<Vec<String>>();
    let (olds, news) = (lines(old), lines(new));
    let behind: usize =
        olds.iter().rev().zip(news.iter().rev()).take_while(|(one, other)| one == other).map(|(one, _)| one.len()).sum();
    let start = edit.span.range().start + ahead;
    let end = edit.span.range().end - behind;
    Edit { span: Span::new(edit.span.file, start, end), text: new[..new.len() - behind].to_owned() }
}
