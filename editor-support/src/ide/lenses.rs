//! What stands above an item: an example's result, and in how many examples a finding is spoken of.

use purfle_lang::book::FindingId;
use purfle_lang::resolve::noted::Target;
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Doing, Kind};

use crate::analysis::{Analysis, Came};

/// A line above an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lens {
    /// The item's own line.
    pub span: Span,
    /// What stands there.
    pub title: String,
    /// What it is about.
    pub about: About,
}

/// What a lens is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum About {
    /// An example, by its number among those that were run; `result` tells more of it.
    Example {
        /// Its number in [`Analysis::came`].
        number: usize,
        /// Whether all came out as agreed.
        agreed: bool,
    },
    /// The examples that speak of a finding: where their words are.
    Spoken(Vec<Span>),
}

/// The lenses of a text. The examples are run, unless that was done before; nothing stands anywhere while there are errors.
pub fn lenses(analysis: &Analysis, file: FileId) -> Vec<Lens> {
    let came = analysis.came();
    let mut lenses = Vec::new();
    for item in analysis.items(file) {
        let entry = &item.entry;
        match (entry.kind, &item.doing) {
            (Kind::Example, _) => {
                if let Some(number) = came.iter().position(|came| came.span == entry.name_span()) {
                    lenses.push(example(entry.line, number, &came[number]));
                }
            }
            (Kind::Finding, Doing::Writes | Doing::Alters { .. }) => {
                let note = entry.name.as_ref().and_then(|name| analysis.note_at(file, name.span.start));
                if let Some(Target::Finding(finding)) = note.map(|note| note.target)
                    && analysis.sound()
                {
                    lenses.push(spoken(entry.line, finding, came));
                }
            }
            _ => {}
        }
    }
    lenses
}

fn example(span: Span, number: usize, came: &Came) -> Lens {
    let agreed = came.misses.is_empty();
    let title = match came.misses.first() {
        None => "comes out as agreed".to_owned(),
        Some(miss) => {
            let more = came.misses.len() - 1;
            let more = if more == 0 { String::new() } else { format!(", and {more} more") };
            format!("comes out differently: {}{more}", miss.came_out)
        }
    };
    Lens { span, title, about: About::Example { number, agreed } }
}

fn spoken(span: Span, finding: FindingId, came: &[Came]) -> Lens {
    let spans: Vec<Span> = came.iter().filter(|came| came.speaks_of.contains(&finding)).map(|came| came.span).collect();
    let title = match spans.len() {
        0 => "in no example".to_owned(),
        1 => "in 1 example".to_owned(),
        many => format!("in {many} examples"),
    };
    Lens { span, title, about: About::Spoken(spans) }
}

/// What came of an example, line by line: each thing that was expected and did not come out, and what decides it.
pub fn result(analysis: &Analysis, number: usize) -> Option<String> {
    let came = analysis.came().get(number)?;
    if came.misses.is_empty() {
        let things = if came.expects == 1 { "the one thing" } else { "all" };
        return Some(format!("\"{}\" comes out as agreed, {things} that it expects.", came.words));
    }
    let mut lines = vec![format!("\"{}\" comes out differently.", came.words)];
    for miss in &came.misses {
        let expected = super::source::one_line(analysis, miss.span);
        lines.push(format!("  expected: {expected}"));
        lines.push(format!("  came out: {}", miss.came_out));
        if !miss.because.is_empty() {
            lines.push(format!("  because:  {}", miss.because.join(", ")));
        }
    }
    Some(lines.join("\n"))
}
