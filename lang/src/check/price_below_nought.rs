#![doc = include_str!("../../pages/price-below-nought.md")]

use std::collections::BTreeSet;

use super::prices::Priced;
use super::world::World;
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;
use crate::saying::entries;
use crate::search::Verdict;

/// Prices that some record brings below nought, each once.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut told = BTreeSet::new();
    let mut found = Vec::new();
    for priced in &world.prices {
        if told.contains(&priced.span) {
            continue;
        }
        if let Some(diagnostic) = tell(world, priced) {
            told.insert(priced.span);
            found.push(diagnostic);
        }
    }
    found
}

/// What is told of a price; nothing unless a record shows it.
fn tell(world: &World, priced: &Priced) -> Option<Diagnostic> {
    let claim = Node::all([world.holds[priced.standing].clone(), priced.below.clone()]);
    let Verdict::Found(case) = world.case(&[&claim], &[]) else { return None };
    let record = world.record(&case, &claim)?;
    let (what, nothing) = match priced.work.map(|work| &world.book[work]) {
        Some(work) if work.timed => (format!("`{}`", work.name), "0 h".to_owned()),
        Some(work) => (format!("`{}`", work.name), format!("0 {}", world.book.money)),
        None => (format!("The price of \"{}\"", priced.goods), format!("0 {}", world.book.money)),
    };
    let says = format!("{what} can come to less than nothing, and then counts as nothing.");
    let diagnostic = Diagnostic::warning("price-below-nought", priced.span, says)
        .help(format!("Write `higher of {nothing} and (…)`, or change it so that it is never below 0."));
    Some(diagnostic.witness(entries(world.book, &record), world.finds(priced.standing, &case)))
}
