//! What the words of the checker's claims mean: which looks findings read, whether they yield, what is amiss.

use std::collections::BTreeSet;

use purfle_lang::book::{Book, Condition, Finding, FindingId, LookAt, LookId, PlaceAt, Places};

use super::facts::is_good;
use crate::by_cases::case::Case;
use crate::by_cases::walk::{nested, read_by};

/// What each finding reads.
pub struct Reads(Vec<BTreeSet<LookId>>);

impl Reads {
    /// Of all findings of a book.
    pub fn of(book: &Book) -> Self {
        let mut all: Vec<BTreeSet<LookId>> = (0..book.findings.len()).map(|at| reads(book, at)).collect();
        // Whether a place as found is there stands for all that is read of it.
        for (looks, finding) in all.iter_mut().zip(&book.findings) {
            let parts: BTreeSet<_> = looks.iter().map(|look| book[*look].part).chain([finding.on]).collect();
            let as_found = parts.into_iter().filter(|part| matches!(book[*part].places, Places::AsFound));
            as_found.for_each(|part| looks.extend(&book[part].looks));
        }
        Self(all)
    }

    /// Whether two findings read a look in common, or both hang on whether a place is there.
    pub fn share(&self, one: usize, other: usize) -> bool {
        !self.0[one].is_disjoint(&self.0[other])
    }
}

/// All looks on which it hangs whether a finding holds: those of its conditions, of the findings it asks for, and those
/// that decide what applies.
pub fn reads(book: &Book, at: usize) -> BTreeSet<LookId> {
    let mut looks = BTreeSet::new();
    let mut waiting: Vec<&Condition> = Vec::new();
    let mut findings = vec![at];
    while let Some(at) = findings.pop() {
        let finding: &Finding = &book.findings[at];
        waiting.push(&finding.signs);
        waiting.extend(&finding.unless);
        waiting.extend(&book[finding.on].only_when);
        if finding.each {
            waiting.extend(book[finding.on].fixed_places().iter().filter_map(|place| place.only_when.as_ref()));
        }
        while let Some(condition) = waiting.pop() {
            nested(condition, &mut |inner| match inner {
                Condition::Found(found, _) => findings.push(found.index()),
                Condition::Places { part, .. } => {
                    if let Some(only_when) = &book[*part].only_when {
                        read_by(book, only_when, &mut |at| {
                            looks.insert(at.look);
                        });
                    }
                }
                _ => {}
            });
            let mut named = Vec::new();
            read_by(book, condition, &mut |at| named.push(at.look));
            for look in named {
                if looks.insert(look) {
                    waiting.extend(&book[look].only_when);
                    waiting.extend(&book[book[look].part].only_when);
                    waiting.extend(book[book[look].part].fixed_places().iter().filter_map(|place| place.only_when.as_ref()));
                }
            }
        }
    }
    looks
}

/// Whether one finding yields to another, through any number of others.
pub fn yields(book: &Book, from: usize, to: usize) -> bool {
    let mut seen = BTreeSet::from([from]);
    let mut waiting = vec![from];
    while let Some(at) = waiting.pop() {
        for next in book.findings[at].yields_to.iter().map(|next: &FindingId| next.index()) {
            if next == to {
                return true;
            }
            if seen.insert(next) {
                waiting.push(next);
            }
        }
    }
    false
}

/// Whether a look of a piece that the signs of both name, at a place that both read, applies and is not good.
pub fn same_look_amiss(case: &Case<'_>, one: &Finding, other: &Finding, place: Option<usize>) -> bool {
    let (here, there) = (named(case, one, place), named(case, other, place));
    let mut both = here.intersection(&there).filter(|(look, _)| !case.book[case.book[*look].part].context);
    both.any(|(look, place)| case.look_applies(*look, *place) && is_good(case, *look, *place) != Some(true))
}

/// The looks that the signs of a finding name, with their places.
fn named(case: &Case<'_>, finding: &Finding, place: Option<usize>) -> BTreeSet<(LookId, usize)> {
    let mut named = BTreeSet::new();
    into(
        case,
        &finding.signs,
        &|at: LookAt| match at.place {
            PlaceAt::Single => vec![0],
            PlaceAt::Fixed(fixed) => vec![fixed.index()],
            PlaceAt::Here => place.into_iter().collect(),
        },
        &mut named,
    );
    named
}

fn into(case: &Case<'_>, condition: &Condition, places: &dyn Fn(LookAt) -> Vec<usize>, named: &mut BTreeSet<(LookId, usize)>) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|condition| into(case, condition, places, named));
        }
        Condition::Not(inner) => into(case, inner, places, named),
        Condition::Found(..) => {}
        Condition::Test(..) => {
            let mut looks = Vec::new();
            read_by(case.book, condition, &mut |at| looks.push(at));
            named.extend(looks.into_iter().flat_map(|at| places(at).into_iter().map(move |place| (at.look, place))));
        }
        Condition::Places { part, with, .. } => {
            let all = case.scene.spots[part.index()].len();
            let within = |at: LookAt| match at.place {
                PlaceAt::Here if case.book[at.look].part == *part => (0..all).collect(),
                _ => places(at),
            };
            into(case, with, &within, named);
        }
    }
}
