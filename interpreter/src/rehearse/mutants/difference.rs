//! Whether a change to when a finding holds, or how grave it is, makes a difference to any record at all.
//!
//! The changed finding is put beside the one there is, and findings that hold where the two differ beside both. If none
//! of those can hold of an instrument nobody has looked at, that is a proof: the judge goes through every case. Else a
//! record in which one of them surely holds is an example that would notice the change. A search for cases of another
//! kind would take the place of [`difference`] and of nothing else.

use purfle_lang::book::{Condition, Finding, FindingId, StepId};
use purfle_lang::span::Span;

use super::witness::{Witness, search};
use crate::slice::Slice;

/// What difference a change makes.
#[derive(Debug)]
pub enum Difference {
    /// None, and that is proved.
    None,
    /// It makes one to this example.
    Shown(Witness),
    /// One that can be seen in the change itself, such as another price.
    Plain,
    /// It may make none: neither a record nor a proof was found.
    Undecided,
}

/// What a change makes of a finding, `changed` being the slice's book with the change made.
pub fn difference(slice: &Slice, id: FindingId, changed: &purfle_lang::book::Book) -> Difference {
    let mut book = slice.book.clone();
    let before = book[id].clone();
    let after = changed[id].clone();
    let found = |id: FindingId| Condition::Found(id, Span::default());
    let add = |book: &mut purfle_lang::book::Book, finding: Finding| {
        book.findings.push(finding);
        FindingId::from_index(book.findings.len() - 1)
    };
    let other = add(&mut book, after.clone());
    let plain = |signs: Condition, unless: Condition| {
        let mut urgency = before.urgency.clone();
        urgency.retain(|line| line.when.is_none());
        Finding { signs, unless: vec![unless], urgency, ..before.clone() }
    };
    let mut differing = vec![add(&mut book, plain(found(other), found(id))), add(&mut book, plain(found(id), found(other)))];
    if before.urgency.iter().zip(&after.urgency).any(|(old, new)| old.step != new.step || old.when != new.when) {
        let mut steps: Vec<StepId> = before.urgency.iter().chain(&after.urgency).map(|line| line.step).collect();
        steps.sort_unstable();
        steps.dedup();
        for step in steps {
            let (old, new) = (at_least(&before, step), at_least(&after, step));
            let both = |one: &Condition| Condition::All(vec![found(id), found(other), one.clone()]);
            differing.push(add(&mut book, plain(both(&new), old.clone())));
            differing.push(add(&mut book, plain(both(&old), new)));
        }
    }
    search(book, &slice.looks, id, &differing)
}

/// That a finding, where it holds, is at least as grave as this by its own lines.
fn at_least(finding: &Finding, step: StepId) -> Condition {
    let lines = finding.urgency.iter().filter(|line| line.step >= step);
    Condition::Any(lines.map(|line| line.when.clone().unwrap_or(Condition::All(Vec::new()))).collect())
}
