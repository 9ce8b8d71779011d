//! Every fault of a large rulebook is told, each once and at its own line.

use purfle_lang::resolve::resolve;
use purfle_lang::source::LineIndex;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;
use purfle_tests::faulty::rulebook;

#[test]
fn a_fault_in_every_tenth_of_5000_items_is_told_at_its_own_line() {
    let faulty = rulebook(5_000);
    let parsed = parse(FileId(0), &faulty.text);
    assert_eq!(parsed.tree.items.len(), 5_000);
    let resolved = resolve(&[parsed.tree]);
    assert!(resolved.book.is_none());
    let index = LineIndex::new(&faulty.text);
    let line = |at: u32| index.line_column(&faulty.text, at as usize).line;
    let told = parsed.diagnostics.iter().chain(&resolved.diagnostics);
    let mut told: Vec<(usize, &str)> = told.map(|diagnostic| (line(diagnostic.span.start), diagnostic.slug)).collect();
    told.sort_unstable();
    assert_eq!(told.len(), 500);
    assert_eq!(told, faulty.faults);
}
