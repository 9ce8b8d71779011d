//! Every feature on small texts with the pointer drawn in them as `§`, and answers drawn the same way.

mod calls;
mod colours;
mod definition;
mod folding;
mod format;
mod hover;
mod inlay;
mod lenses;
mod links;
mod outline;
mod plain;
mod rename;
mod robust;
mod selection;
pub mod shop;
mod signature;

use purfle_lang::diagnostic::Edit;
use purfle_lang::span::Span;

use crate::analysis::Analysis;

/// The sign that draws the pointer.
pub const POINTER: char = '§';

/// A text without its pointers, and the bytes at which they stood.
pub fn drawn(text: &str) -> (String, Vec<u32>) {
    let (mut plain, mut at) = (String::new(), Vec::new());
    for char in text.chars() {
        if char == POINTER {
            at.push(plain.len() as u32);
        } else {
            plain.push(char);
        }
    }
    (plain, at)
}

/// An analysis of a text with one pointer in it, and where that stands.
pub fn at(text: &str) -> (Analysis, u32) {
    let (plain, pointers) = drawn(text);
    let [pointer] = pointers[..] else { panic!("one pointer: {text}") };
    (Analysis::of("own.purfle", &plain, &[]), pointer)
}

/// The same for a rulebook that builds on another.
pub fn at_on(text: &str, parent: &str) -> (Analysis, u32) {
    let (plain, pointers) = drawn(text);
    let [pointer] = pointers[..] else { panic!("one pointer: {text}") };
    (Analysis::of("own.purfle", &plain, &[("shop.purfle", parent)]), pointer)
}

/// A text with some stretches of it set between `[` and `]`.
pub fn marked(text: &str, spans: &[Span]) -> String {
    let mut marks: Vec<(usize, u8, char)> = Vec::new();
    for span in spans {
        marks.push((span.range().start, 1, '['));
        marks.push((span.range().end, 0, ']'));
    }
    marks.sort_unstable();
    let (mut out, mut from) = (String::new(), 0);
    for (at, _, mark) in marks {
        out.push_str(&text[from..at]);
        out.push(mark);
        from = at;
    }
    out.push_str(&text[from..]);
    out
}

/// The lines with a mark in them.
pub fn marked_lines(text: &str, spans: &[Span]) -> String {
    let marked = marked(text, spans);
    marked.lines().filter(|line| line.contains('[')).map(str::trim).collect::<Vec<_>>().join("\n")
}

/// A text with edits made.
pub fn edited(text: &str, edits: &[Edit]) -> String {
    let mut text = text.to_owned();
    for edit in edits.iter().rev() {
        text.replace_range(edit.span.range(), &edit.text);
    }
    text
}

/// The lines that are new after edits, each with `+`, and those that are gone, with `-`.
pub fn changed_lines(before: &str, after: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
    let gone = old.iter().filter(|line| !new.contains(line)).map(|line| format!("- {line}"));
    let added = new.iter().filter(|line| !old.contains(line)).map(|line| format!("+ {line}"));
    gone.chain(added).collect::<Vec<_>>().join("\n")
}
