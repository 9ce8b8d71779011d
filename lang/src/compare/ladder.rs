//! How the steps of two ladders stand to each other: by name, and by the order in which one of the two has both.

use crate::book::Book;

/// How a step of the new ladder stands to one of the old.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Relation {
    /// They bear one name.
    Same,
    /// The new one is graver.
    Graver,
    /// The new one is milder.
    Milder,
    /// No ladder puts the two in an order, or the two ladders disagree on it.
    Other,
}

/// Every pair of an old step and a new one, by index, and how they stand.
pub fn relation(old: &Book, new: &Book) -> Vec<(usize, usize, Relation)> {
    let names = |book: &Book| book.steps.iter().map(|step| step.name.clone()).collect::<Vec<_>>();
    pairs(&names(old), &names(new))
}

/// The same for two lists of names, mildest first.
pub(super) fn pairs(old: &[String], new: &[String]) -> Vec<(usize, usize, Relation)> {
    let mut all = Vec::new();
    for (at, before) in old.iter().enumerate() {
        for (to, after) in new.iter().enumerate() {
            all.push((at, to, stand(old, new, (at, before), (to, after))));
        }
    }
    all
}

fn stand(old: &[String], new: &[String], (at, before): (usize, &String), (to, after): (usize, &String)) -> Relation {
    if before == after {
        return Relation::Same;
    }
    let by = |order: std::cmp::Ordering| if order == std::cmp::Ordering::Greater { Relation::Graver } else { Relation::Milder };
    let in_new = new.iter().position(|name| name == before).map(|before| by(to.cmp(&before)));
    let in_old = old.iter().position(|name| name == after).map(|after| by(after.cmp(&at)));
    match (in_new, in_old) {
        (Some(one), Some(other)) if one == other => one,
        (Some(one), None) | (None, Some(one)) => one,
        _ => Relation::Other,
    }
}

/// How hands stand to each other, by index in their ladders; none are the least skilled.
pub fn hand_relation(old: &Book, new: &Book, before: Option<usize>, after: Option<usize>) -> Relation {
    let names = |book: &Book| {
        let mut names = vec![String::new()];
        names.extend(book.hands.iter().map(|hand| hand.name.clone()));
        names
    };
    let (old, new) = (names(old), names(new));
    let (before, after) = (before.map_or(0, |at| at + 1), after.map_or(0, |at| at + 1));
    match (old.get(before), new.get(after)) {
        (Some(was), Some(now)) => stand(&old, &new, (before, was), (after, now)),
        _ => Relation::Other,
    }
}
