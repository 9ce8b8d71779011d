//! What findings cost whose looks nobody touched: records of one part alone, judged by the whole rulebook and by one
//! cut down to that part.

use std::error::Error;
use std::fs;
use std::path::Path;

use purfle_lang::book::Book;
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;

use super::program::{records, run};
use super::report::line;
use purfle_tests::generate::Manner;

/// The part that is looked at.
const PART: &str = "bow";

/// Measures both, and prints how much longer the whole rulebook takes a record.
pub fn measure(rulebook: &str, book: &Book, folder: &Path, count: u64) -> Result<(), Box<dyn Error>> {
    let part = book.find_part(PART).ok_or("the rulebook has lost the part that is measured alone")?;
    let (cut, findings) = cut(&fs::read_to_string(rulebook)?)?;
    let short = folder.join("one-part.purfle");
    fs::write(&short, cut)?;
    let file = folder.join("one-part.jsonl");
    records(book, Manner::OnlyPart(part), count, &file)?;
    let few = folder.join("one-part-few.jsonl");
    records(book, Manner::OnlyPart(part), 40, &few)?;
    let out = folder.join("one-part.csv");
    // Starting up is taken off: what is wanted is the price of a record.
    let per_record = |rulebook: &str| -> Result<f64, Box<dyn Error>> {
        let start = run(&["triage", rulebook, &few.to_string_lossy(), "--as", "csv"], &out)?.took;
        let all = run(&["triage", rulebook, &file.to_string_lossy(), "--as", "csv"], &out)?.took;
        Ok(all.saturating_sub(start).as_secs_f64() / count as f64 * 1e6)
    };
    let whole = per_record(rulebook)?;
    let alone = per_record(&short.to_string_lossy())?;
    line(&format!("only the {PART} looked at: all {} findings", book.findings.len()), format!("{whole:8.2} us a record"));
    line(&format!("only the {PART} looked at: its {findings} findings alone"), format!("{alone:8.2} us a record"));
    line("only one part looked at: what untouched findings cost", format!("{:8.2} times", whole / alone));
    Ok(())
}

/// The rulebook with one part, the findings on it and on contexts, and all else that still makes sense then; with the
/// number of its findings.
fn cut(text: &str) -> Result<(String, usize), Box<dyn Error>> {
    let mut items = items(text);
    items.retain(|item| {
        let mut words = item.split_whitespace();
        let (word, name) = (words.next().unwrap_or_default(), words.next().unwrap_or_default());
        match word {
            "part" => name == PART,
            "finding" => item.lines().any(|line| line.split_whitespace().eq(["on", PART])),
            "example" | "raise" | "aid" => false,
            _ => true,
        }
    });
    // What speaks of something that is gone goes as well.
    for _ in 0..items.len() {
        let text = items.concat();
        let parsed = parse(FileId(0), &text);
        let resolved = resolve(&[parsed.tree]);
        if let Some(book) = resolved.book {
            return Ok((text, book.findings.len()));
        }
        let mut start = 0;
        items.retain(|item| {
            let range = start..start + item.len();
            start += item.len();
            !resolved.diagnostics.iter().any(|told| told.is_error() && range.contains(&(told.span.start as usize)))
        });
    }
    Err("nothing is left of the rulebook".into())
}

/// The items of a rulebook, each with the lines that belong to it.
fn items(text: &str) -> Vec<String> {
    let mut items: Vec<String> = Vec::new();
    for line in text.split_inclusive('\n') {
        match items.last_mut() {
            Some(item) if line.starts_with([' ', '\n', '#']) => item.push_str(line),
            _ => items.push(line.to_owned()),
        }
    }
    items
}
