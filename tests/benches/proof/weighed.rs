//! Two rulebooks weighed against each other: few of their findings changed, and all of them.

use std::sync::Arc;

use purfle::judge::Judge;
use purfle::plan::Plan;
use purfle::weigh::proven;
use purfle_lang::book::Book;
use purfle_lang::compare::{Both, Weighing, same_figures};
use purfle_lang::resolve::resolve;
use purfle_lang::span::FileId;
use purfle_lang::syntax::parse;

use crate::clock::{shown, timed};
use crate::whole::made;

/// Prints what is proved of pairs, and what that takes: the claims alone, and with every record replayed.
pub fn measure() -> Result<(), String> {
    println!("\ntwo rulebooks weighed: claims alone, and with every difference replayed by both judges");
    println!(
        "{:<44} {:>9} {:>11} {:>9} {:>6} {:>6} {:>5}",
        "rulebooks", "claims ms", "replayed ms", "differ", "same", "open", "all"
    );
    for findings in [100, 300, 1_000] {
        for (least, most) in [(2, 6), (4, 8)] {
            let (old, other) = (made(findings, least, most, 0), made(findings, least, most, 1));
            for every in [10, 1] {
                let words = if every == 1 { "all changed" } else { "one in ten changed" };
                row(&format!("{findings}, {least} to {most} looks each, {words}"), &old, &mixed(&old, &other, every))?;
            }
        }
    }
    Ok(())
}

/// The one text with the signs of every so many findings taken from the other.
fn mixed(old: &str, other: &str, every: usize) -> String {
    let mut number = 0;
    let lines = old.lines().zip(other.lines()).map(|(one, other)| {
        let signs = one.starts_with("  signs ");
        number += usize::from(signs);
        if signs && number % every == 0 { other } else { one }
    });
    lines.collect::<Vec<_>>().join("\n") + "\n"
}

fn book(text: &str) -> Result<Arc<Book>, String> {
    let resolved = resolve(&[parse(FileId(0), text).tree]);
    resolved.book.map(Arc::new).ok_or_else(|| format!("a made rulebook has errors: {:?}", resolved.diagnostics))
}

fn row(name: &str, old: &str, new: &str) -> Result<(), String> {
    let (old, new) = (book(old)?, book(new)?);
    let (_, claims) = timed(|| {
        let both = Both::new(&old, &new);
        Weighing::new(&both).map(|weighing| {
            let (findings, whole) = (weighing.findings(), weighing.whole());
            same_figures(&weighing, &findings, &whole)
        })
    });
    let judge = |book: &Arc<Book>| Judge::new(Arc::new(Plan::new(Arc::clone(book))));
    let (view, replayed) = timed(|| proven(&mut judge(&old), &mut judge(&new)));
    let view = view.ok_or("a made rulebook is cut too finely")?;
    println!(
        "{name:<44} {:>9} {:>11} {:>9} {:>6} {:>6} {:>5}",
        shown(claims),
        shown(replayed),
        view.can,
        view.same,
        view.not_decided,
        old.findings.len()
    );
    Ok(())
}
