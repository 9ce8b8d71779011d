//! Parents' examples that cannot run here: told where this rulebook takes away what they speak of, all of one place
//! together.

use super::written::{Entry, Expected, Name, WrittenExample};
use crate::book::Origin;
use crate::diagnostic::{Diagnostic, Label};
use crate::resolve::draft::Draft;
use crate::span::{FileId, Span};

/// The most examples that a message names, and the most places it points at.
const MOST_NAMED: usize = 6;

/// The examples left out, by what left them out.
#[derive(Debug, Default)]
pub struct LeftOut(Vec<Cause>);

/// One thing that this rulebook does, and the examples that cannot run for it.
#[derive(Debug)]
struct Cause {
    /// What it does, as the beginning of a sentence.
    says: String,
    span: Span,
    /// The examples' words, each once, and where each speaks of what is not there.
    examples: Vec<(String, Label)>,
    /// The rulebooks they stand in, each once.
    rulebooks: Vec<String>,
}

impl LeftOut {
    /// Adds an example of a rulebook further up, with the errors that it has here.
    pub fn add(&mut self, draft: &Draft, example: &WrittenExample, rulebook: &str, errors: &[Diagnostic]) {
        for error in errors.iter().filter(|error| error.is_error()) {
            let Some((says, span, label)) = cause(draft, example, error) else { continue };
            let at = self.0.iter().position(|cause| cause.span == span && cause.says == says);
            let at = at.unwrap_or_else(|| {
                self.0.push(Cause { says, span, examples: Vec::new(), rulebooks: Vec::new() });
                self.0.len() - 1
            });
            let cause = &mut self.0[at];
            if !cause.rulebooks.iter().any(|known| known == rulebook) {
                cause.rulebooks.push(rulebook.to_owned());
            }
            if !cause.examples.iter().any(|(words, _)| *words == example.words.value) {
                cause.examples.push((example.words.value.clone(), Label { span: error.span, says: label }));
            }
        }
    }

    /// One warning for each cause.
    pub fn told(self) -> impl Iterator<Item = Diagnostic> {
        self.0.into_iter().map(Cause::told)
    }
}

/// What this rulebook does that gives the error, where, and what is said beside the example. None where a rulebook
/// between the two did it: that one has been told.
fn cause(draft: &Draft, example: &WrittenExample, error: &Diagnostic) -> Option<(String, Span, String)> {
    let names = &draft.names;
    let inside = names.inside.iter().flat_map(|part| part.dropped_looks.iter().chain(&part.dropped_places));
    if let Some(dropped) = names.dropped.iter().chain(inside).find(|dropped| dropped.is_used_in(error)) {
        let says = match dropped.left_out {
            true => format!("The ladder written anew leaves out {}", dropped.what),
            false => format!("This drops {}", dropped.what),
        };
        return (dropped.span.file == FileId::OWN).then(|| (says, dropped.span, "used here".to_owned()));
    }
    let why = error.says.trim_end_matches('.').to_owned();
    let changed = spoken_of(example, error.span).into_iter().find_map(|path| changed(draft, path));
    Some(match changed {
        Some((name, span)) => (format!("`{name}` is another here"), span, why),
        None => ("This rulebook differs from the one it builds on".to_owned(), draft.rulebook, why),
    })
}

/// The names in the entry of the record, or the expectation, in which an error is.
fn spoken_of(example: &WrittenExample, at: Span) -> Vec<&[Name]> {
    let holds = |span: Span| span.start <= at.start && at.end <= span.end;
    let entry = example.record.iter().find(|entry| holds(entry.span)).map(|entry| match &entry.value {
        Entry::Said { path, .. } => vec![path.as_slice()],
        Entry::No(part) => vec![std::slice::from_ref(part)],
        Entry::RestGood | Entry::Quoted(_) | Entry::InspectedOn(_) => Vec::new(),
    });
    let expected = || {
        example.expects.iter().find(|expected| holds(expected.span)).map(|expected| match &expected.value {
            Expected::Finding { finding, on, .. } => {
                std::iter::once(std::slice::from_ref(finding)).chain(on.as_deref()).collect()
            }
            Expected::Looks { path, .. } => vec![path.as_slice()],
            Expected::Counsel(name, _) | Expected::Aid(name, _) => vec![std::slice::from_ref(name)],
            _ => Vec::new(),
        })
    };
    entry.or_else(expected).unwrap_or_default()
}

/// The look, part or finding that a path names and this rulebook wrote or altered, and where it did.
fn changed(draft: &Draft, path: &[Name]) -> Option<(String, Span)> {
    let (names, book) = (&draft.names, &draft.book);
    let (first, last) = (path.first()?, path.last()?);
    let own = |name: &str, origin: &Origin| origin.own().map(|span| (name.to_owned(), span));
    let part = names.parts.get(&first.value);
    let inside = part.and_then(|part| names.inside.get(part.index()));
    let look = inside.and_then(|inside| inside.looks.get(&last.value)).and_then(|look| book.looks.get(look.index()));
    let finding = names.findings.get(&first.value).and_then(|finding| book.findings.get(finding.index()));
    let look = look.and_then(|look| own(&format!("{}.{}", first.value, last.value), &look.origin));
    look.or_else(|| own(&first.value, &book.parts.get(part?.index())?.origin)).or_else(|| own(&first.value, &finding?.origin))
}

impl Cause {
    fn told(self) -> Diagnostic {
        let count = self.examples.len();
        let of = match self.rulebooks.as_slice() {
            [one] => one.as_str(),
            _ => "the rulebooks further up",
        };
        let mut named: Vec<String> = self.examples.iter().take(MOST_NAMED).map(|(words, _)| format!("\"{words}\"")).collect();
        if count > MOST_NAMED {
            named.push(format!("{} more", count - MOST_NAMED));
        }
        let listed = match named.as_slice() {
            [front @ .., last] if !front.is_empty() => format!("{} and {last}", front.join(", ")),
            _ => named.concat(),
        };
        let (examples, stead) =
            if count == 1 { ("an example".to_owned(), "its") } else { (format!("{count} examples"), "their") };
        let says = format!("{}, so {examples} of {of} cannot run: {listed}.", self.says);
        let help = format!("Write an example of this rulebook's own in {stead} stead.");
        let diagnostic = Diagnostic::warning("example-left-out", self.span, says).help(help);
        self.examples.into_iter().take(MOST_NAMED).fold(diagnostic, |diagnostic, (_, at)| diagnostic.place(at.span, at.says))
    }
}
