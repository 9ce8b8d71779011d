//! Which findings decide whether a record can come out differently by two books at all.
//!
//! Where none of them can hold, everything that can hold is the same in both, and so is all that is added up of it: a
//! record's outcome is a matter of the findings that hold, case by case, and of what these cost and become.

use std::collections::BTreeSet;

use super::both::Both;
use crate::book::{Book, FindingId};
use crate::unit::Duration;

/// The findings that matter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matters {
    /// Those of the old book: where none of these can hold, and none of `new`, both books say the same.
    pub old: Vec<FindingId>,
    /// Those of the new book that can hold in other cases than the old one's of their name.
    pub new: Vec<FindingId>,
}

/// Which findings matter; none where the books differ in something that every record can come out differently by, or may.
pub fn matters(both: &Both<'_>) -> Option<Matters> {
    let (old, new) = (both.old, both.new);
    let rungs = |book: &Book| book.steps.iter().map(|step| (step.name.clone(), step.not_played)).collect::<Vec<_>>();
    // What is said of a figure beside it: by when, and in which tier.
    let said = |book: &Book| {
        let within = book.steps.iter().map(|step| step.within).collect::<Vec<_>>();
        (within, book.tiers.iter().map(|tier| (tier.name.clone(), tier.up_to)).collect::<Vec<_>>())
    };
    let hands = |book: &Book| book.hands.iter().map(|hand| hand.name.clone()).collect::<Vec<_>>();
    let parts = old.parts.iter().filter_map(|part| Some((part, &new[new.find_part(&part.name)?])));
    let mut parts = parts.map(|(one, other)| (one.apart, one.context) == (other.apart, other.context));
    let alike = old.money == new.money
        && old.least_charge == new.least_charge
        && rungs(old) == rungs(new)
        && hands(old) == hands(new)
        && said(old) == said(new)
        && parts.all(|same| same)
        && both.looks_alike
        && both.same_aids()
        && both.same_counsels();
    if !alike {
        return None;
    }
    let mut matter: BTreeSet<&str> = BTreeSet::new();
    let mut holds: BTreeSet<&str> = BTreeSet::new();
    for pair in &both.pairs {
        if !pair.written_alike() {
            matter.insert(&pair.name);
            holds.insert(&pair.name);
        } else if again(old, &pair.name) != again(new, &pair.name)
            || both.hands(pair).is_none_or(|(one, other)| one != other)
            || !both.same_money(&pair.name)
        {
            matter.insert(&pair.name);
        }
    }
    // What becomes one of them costs what it costs.
    while let Some(next) = both.pairs.iter().find(|pair| {
        !matter.contains(pair.name.as_str()) && both.becomes(&pair.name).iter().any(|goal| matter.contains(goal.as_str()))
    }) {
        matter.insert(&next.name);
    }
    let of = |book: &Book, names: &BTreeSet<&str>| names.iter().filter_map(|name| book.find_finding(name)).collect();
    Some(Matters { old: of(old, &matter), new: of(new, &holds) })
}

/// When a finding of this name is to be looked at again.
fn again(book: &Book, name: &str) -> Option<Duration> {
    book[book.find_finding(name)?].again
}
