//! Parts so tied together that what a record costs can only be enclosed.

use purfle_lang::book::{Book, PartId};
use purfle_lang::diagnostic::Diagnostic;
use purfle_lang::span::Span;

use crate::judge::Judge;
use crate::record::{Entry, Record};

/// Whether the costs of a record of which nothing was looked at are only enclosed; the parts whose being good would
/// settle them are named.
pub fn tied(book: &Book, judge: &mut Judge) -> Option<Diagnostic> {
    if exact(judge, Vec::new()) {
        return None;
    }
    let parts = (0..book.parts.len()).map(PartId::from_index).filter(|part| !book[*part].looks.is_empty());
    let tied: Vec<PartId> = parts.filter(|part| exact(judge, vec![Entry::Good(*part, None)])).collect();
    let first = tied.first().copied().or_else(|| (!book.parts.is_empty()).then(|| PartId::from_index(0)))?;
    let names: Vec<String> = tied.iter().map(|part| format!("`{}`", book[*part].name)).collect();
    let says = match names.as_slice() {
        [] => "Where nobody has looked, what a visit costs can only be enclosed: too much hangs together.".to_owned(),
        names => format!(
            "Where nobody has looked at {}, what a visit costs can only be enclosed: too much hangs together there.",
            names.join(" or ")
        ),
    };
    let diagnostic =
        tied.iter().skip(1).fold(Diagnostic::warning("tied-together", place(book, first), says), |diagnostic, part| {
            diagnostic.place(place(book, *part), "as tied")
        });
    Some(diagnostic.help("Let fewer findings read the same looks; reports mark such sums \"at the outside\" until then."))
}

fn place(book: &Book, part: PartId) -> Span {
    let origin = &book[part].origin;
    origin.own().unwrap_or(origin.span)
}

/// Whether the costs of a record that says this and no more are exact.
fn exact(judge: &mut Judge, entries: Vec<Entry>) -> bool {
    let record = Record { entries, ..Record::default() };
    judge.is_exact(&record)
}
