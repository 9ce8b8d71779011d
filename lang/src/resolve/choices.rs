//! All choices of a set of table keys that some record can make, and what a condition says of one of them.

use super::bounds::Choice;
use crate::book::{Condition, Look, LookAt, LookKind, Part, PlaceAt, TableKey, Test};

/// More combinations than this are not gone through; no sheet asks for so many.
pub const MOST_CHOICES: usize = 65_536;

/// The parts and looks that decide which choices there are.
#[derive(Clone, Copy)]
pub struct Looks<'a> {
    /// Parts by their number.
    pub parts: &'a [Part],
    /// Looks by their number.
    pub looks: &'a [Look],
}

impl<'a> Looks<'a> {
    /// Every choice of `keys` that can occur while all of `guards` are met; none if there are more than [`MOST_CHOICES`].
    /// With `absent`, choices in which a key's look does not apply are among them.
    pub fn choices(self, keys: &[TableKey], guards: &[&Condition], absent: bool) -> Option<Vec<Choice>> {
        let chosen: Vec<(TableKey, Vec<Option<usize>>)> = keys.iter().map(|&key| (key, self.values(key, absent))).collect();
        // What decides whether a key or a guard applies is chosen along, as far as that stays small.
        let mut all = chosen.clone();
        for key in self.deciders(keys, guards) {
            let values = self.values(key, true);
            if size(&all).saturating_mul(values.len()) <= MOST_CHOICES {
                all.push((key, values));
            }
        }
        if size(&chosen) > MOST_CHOICES {
            return None;
        }
        let mut choices: Vec<Choice> = vec![Vec::new()];
        for (key, values) in &all {
            let with = |choice: &Choice, value| choice.iter().copied().chain([(*key, value)]).collect();
            choices = choices.iter().flat_map(|choice| values.iter().map(move |&value| with(choice, value))).collect();
        }
        choices.retain(|choice| self.possible(choice) && guards.iter().all(|guard| met(guard, choice) != Some(false)));
        choices.iter_mut().for_each(|choice| choice.truncate(keys.len()));
        // The keys come first, so choices that differ in nothing else stand side by side.
        choices.dedup();
        Some(choices)
    }

    /// The choices and places, beyond the keys, on which it hangs whether keys apply and guards are met.
    fn deciders(self, keys: &[TableKey], guards: &[&Condition]) -> Vec<TableKey> {
        let mut known: Vec<TableKey> = keys.to_vec();
        guards.iter().for_each(|guard| asked(guard, &mut known));
        let mut next = 0;
        while let Some(&key) = known.get(next) {
            next += 1;
            match key {
                TableKey::Look(at) => self.applies(at).for_each(|condition| asked(condition, &mut known)),
                TableKey::Place(part) => {
                    if let Some(part) = self.parts.get(part.index()) {
                        let places = part.fixed_places().iter().filter_map(|place| place.only_when.as_ref());
                        part.only_when.iter().chain(places).for_each(|condition| asked(condition, &mut known));
                    }
                }
            }
        }
        known.split_off(keys.len())
    }

    fn values(self, key: TableKey, absent: bool) -> Vec<Option<usize>> {
        match key {
            TableKey::Place(part) => {
                let places = self.parts.get(part.index()).map_or(0, |part| part.fixed_places().len());
                (0..places).map(Some).collect()
            }
            TableKey::Look(at) => {
                let count = match self.looks.get(at.look.index()).map(|look| &look.kind) {
                    Some(LookKind::YesNo) => 2,
                    Some(LookKind::OneOf(choices)) => choices.len(),
                    _ => 0,
                };
                (0..count).map(Some).chain(absent.then_some(None)).collect()
            }
        }
    }

    /// Whether nothing surely forbids the choice.
    fn possible(self, choice: &Choice) -> bool {
        choice.iter().all(|&(key, value)| match key {
            TableKey::Place(part) => {
                let Some(part) = self.parts.get(part.index()) else { return true };
                let place = value.and_then(|index| part.fixed_places().get(index));
                let conditions = part.only_when.iter().chain(place.and_then(|place| place.only_when.as_ref()));
                all_met(conditions, choice) != Some(false)
            }
            TableKey::Look(at) => all_met(self.applies(at), choice) != Some(value.is_none()),
        })
    }

    /// The conditions that must all be met for a look to apply at its place.
    pub fn applies(self, at: LookAt) -> impl Iterator<Item = &'a Condition> {
        let look = self.looks.get(at.look.index());
        let part = look.and_then(|look| self.parts.get(look.part.index()));
        let place = match at.place {
            PlaceAt::Fixed(place) => part.and_then(|part| part.fixed_places().get(place.index())),
            PlaceAt::Single | PlaceAt::Here => None,
        };
        look.and_then(|look| look.only_when.as_ref())
            .into_iter()
            .chain(part.and_then(|part| part.only_when.as_ref()))
            .chain(place.and_then(|place| place.only_when.as_ref()))
    }
}

/// How many choices there are of all keys together.
fn size(keys: &[(TableKey, Vec<Option<usize>>)]) -> usize {
    keys.iter().fold(1, |sofar: usize, (_, values)| sofar.saturating_mul(values.len()))
}

/// The choices and places that the single tests of a condition ask for.
fn asked(condition: &Condition, into: &mut Vec<TableKey>) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|one| asked(one, into));
        }
        Condition::Not(inner) => asked(inner, into),
        Condition::Test(test, _) => {
            let key = match test {
                Test::IsOneOf { look, .. } => TableKey::Look(*look),
                Test::PlaceIs { part, .. } => TableKey::Place(*part),
                _ => return,
            };
            if !into.contains(&key) {
                into.push(key);
            }
        }
        Condition::Places { .. } | Condition::Found(..) => {}
    }
}

/// Whether all conditions are met for a choice; none where it depends on something else.
fn all_met<'a>(conditions: impl Iterator<Item = &'a Condition>, choice: &Choice) -> Option<bool> {
    every(conditions.map(|condition| met(condition, choice)))
}

/// Whether a condition is met for a choice; none where it depends on something else.
pub fn met(condition: &Condition, choice: &Choice) -> Option<bool> {
    judge(condition, choice, true)
}

/// Whether the condition (or, with `wanted` false, its opposite carried in to the single tests) is met.
fn judge(condition: &Condition, choice: &Choice, wanted: bool) -> Option<bool> {
    match condition {
        Condition::Not(inner) => judge(inner, choice, !wanted),
        Condition::All(inner) if wanted => every(inner.iter().map(|one| judge(one, choice, true))),
        Condition::All(inner) => some(inner.iter().map(|one| judge(one, choice, false))),
        Condition::Any(inner) if wanted => some(inner.iter().map(|one| judge(one, choice, true))),
        Condition::Any(inner) => every(inner.iter().map(|one| judge(one, choice, false))),
        Condition::AtLeast(count, inner) => {
            let needed = if wanted { *count as usize } else { (inner.len() + 1).saturating_sub(*count as usize) };
            let judged: Vec<Option<bool>> = inner.iter().map(|one| judge(one, choice, wanted)).collect();
            let sure = judged.iter().filter(|one| **one == Some(true)).count();
            let possible = judged.iter().filter(|one| **one != Some(false)).count();
            if sure >= needed {
                Some(true)
            } else if possible < needed {
                Some(false)
            } else {
                None
            }
        }
        Condition::Test(test, _) => test_met(test, choice, wanted),
        Condition::Places { .. } | Condition::Found(..) => None,
    }
}

fn test_met(test: &Test, choice: &Choice, wanted: bool) -> Option<bool> {
    let chosen = |key: TableKey| choice.iter().find(|(other, _)| *other == key).map(|(_, value)| *value);
    match test {
        // A look that does not apply meets neither the test nor its opposite.
        Test::IsOneOf { look, choices, not } => {
            let value = chosen(TableKey::Look(*look))?;
            Some(value.is_some_and(|index| choices.contains(&index) != (*not == wanted)))
        }
        Test::PlaceIs { part, places, not } => {
            let value = chosen(TableKey::Place(*part))?;
            Some(value.is_some_and(|index| places.iter().any(|place| place.index() == index) != (*not == wanted)))
        }
        _ => None,
    }
}

fn every(judged: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut sure = Some(true);
    for one in judged {
        match one {
            Some(false) => return Some(false),
            Some(true) => {}
            None => sure = None,
        }
    }
    sure
}

fn some(judged: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    every(judged.map(|one| one.map(|met| !met))).map(|none| !none)
}
