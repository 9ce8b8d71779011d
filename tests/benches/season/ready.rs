//! From the text of a rulebook to a judge that is ready: reading, resolving, making ready.

use std::error::Error;
use std::fs;
use std::sync::Arc;

use purfle::judge::Judge;
use purfle::load::load;
use purfle::plan::Plan;
use purfle_lang::book::Book;
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;

use super::report::{Rounds, line};

/// Rounds of each part.
const ROUNDS: usize = 21;

/// Measures each part and the whole; the book, to go on with.
pub fn measure(rulebook: &str) -> Result<Arc<Book>, Box<dyn Error>> {
    let text = fs::read_to_string(rulebook)?;
    let tree = parse(FileId(0), &text).tree;
    let book = load(rulebook)?.book.ok_or("the rulebook has errors: purfle proof names them")?;
    let book = Arc::new(book);
    line("rulebook: reading its text", Rounds::of(ROUNDS, || parse(FileId(0), &text)));
    line("rulebook: resolving", Rounds::of(ROUNDS, || resolve(std::slice::from_ref(&tree))));
    line("rulebook: making ready for the first record", Rounds::of(ROUNDS, || ready(&book)));
    let whole = Rounds::of(ROUNDS, || {
        let resolved = resolve(&[parse(FileId(0), &text).tree]);
        resolved.book.map(|book| ready(&Arc::new(book)))
    });
    line("rulebook: all of it (to reach: 20 ms)", &whole);
    Ok(book)
}

fn ready(book: &Arc<Book>) -> Judge {
    let mut judge = Judge::new(Arc::new(Plan::new(Arc::clone(book))));
    if let Err(fine) = judge.warm_up() {
        eprintln!("season: {fine:?}");
    }
    judge
}
