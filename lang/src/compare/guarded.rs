//! Looks, parts and places that both books have and that apply in other cases: one thing, of which each book's tests say
//! themselves when it applies.
//!
//! A test of what does not apply is met as little as its opposite. So `slips` of the one book is "it slips, and it applies
//! by that book" in both, and a `not` is carried in to the single tests first.

use std::collections::BTreeSet;

use super::carry::same_places;
use crate::book::{ArithmeticSign, Book, Condition, LookAt, LookId, LookKind, PartId, PlaceAt, PlaceId, TableKey, Test, Value};

/// Which looks, parts and places those are, by name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Guarded {
    parts: BTreeSet<String>,
    /// Parts of which the single places are.
    places: BTreeSet<String>,
    looks: BTreeSet<(String, String)>,
}

impl Guarded {
    /// The looks of these that both books have by name, with their parts and places where these are not taken as one; none
    /// where there are none.
    pub fn of(old: &Book, new: &Book, both: &Book, apart: &[LookId]) -> Option<Self> {
        let mut guarded = Self::default();
        for look in apart {
            let (look, part) = (&both[*look], &both[both[*look].part]);
            let (Some(was), Some(now)) = (old.find_part(&part.name), new.find_part(&part.name)) else { continue };
            if old.find_look(was, &look.name).is_some() && new.find_look(now, &look.name).is_some() {
                guarded.looks.insert((part.name.clone(), look.name.clone()));
            }
            let mut known = both.parts.iter().filter(|other| other.name == part.name);
            if let (Some(one), Some(other)) = (known.next(), known.next()) {
                if one.only_when != other.only_when {
                    guarded.parts.insert(part.name.clone());
                }
                if !same_places(&one.places, &other.places) {
                    guarded.places.insert(part.name.clone());
                }
            }
        }
        (!guarded.is_empty()).then_some(guarded)
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.places.is_empty() && self.looks.is_empty()
    }

    /// Whether a part is one of them.
    pub fn part(&self, book: &Book, part: PartId) -> bool {
        self.parts.contains(&book[part].name)
    }

    /// Whether the places of a part are.
    pub fn places(&self, book: &Book, part: PartId) -> bool {
        self.places.contains(&book[part].name)
    }

    /// Whether a look is one of them, by itself, by its part or by its places.
    pub fn look(&self, book: &Book, look: LookId) -> bool {
        let part = book[look].part;
        let named = || self.looks.contains(&(book[part].name.clone(), book[look].name.clone()));
        self.part(book, part) || self.places(book, part) || named()
    }

    /// Whether a value reads such a look, or a table in it is chosen by one.
    pub fn read_by(&self, book: &Book, value: &Value) -> bool {
        let (mut looks, mut keys) = (Vec::new(), Vec::new());
        in_value(book, value, &mut looks, &mut keys);
        looks.iter().chain(&keys).any(|at| self.look(book, at.look))
    }
}

/// The looks that a test reads, reckonings gone into, and those that choose the rows of its tables.
pub(super) fn looks_of(book: &Book, test: &Test) -> (Vec<LookAt>, Vec<LookAt>) {
    let (mut looks, mut keys) = (Vec::new(), Vec::new());
    match test {
        Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => looks.push(*look),
        Test::Compare(_, left, right) => {
            [left, right].into_iter().for_each(|value| in_value(book, value, &mut looks, &mut keys));
        }
        Test::Between(value, low, high) => {
            [value, low, high].into_iter().for_each(|value| in_value(book, value, &mut looks, &mut keys));
        }
        Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
    }
    (once(looks), once(keys))
}

fn once(looks: Vec<LookAt>) -> Vec<LookAt> {
    let mut once: Vec<LookAt> = Vec::new();
    for at in looks {
        if !once.contains(&at) {
            once.push(at);
        }
    }
    once
}

fn in_value(book: &Book, value: &Value, looks: &mut Vec<LookAt>, keys: &mut Vec<LookAt>) {
    match value {
        Value::Look(at) => looks.push(*at),
        Value::Reckon(reckon) => in_value(book, &book[*reckon].value, looks, keys),
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => {
            in_value(book, left, looks, keys);
            in_value(book, right, looks, keys);
        }
        Value::Negative(inner) => in_value(book, inner, looks, keys),
        Value::Formula(_, all) => all.iter().for_each(|one| in_value(book, one, looks, keys)),
        Value::Table(table) => {
            keys.extend(book[*table].keys.iter().filter_map(|key| match key {
                TableKey::Look(at) => Some(*at),
                TableKey::Place(_) => None,
            }));
            book[*table].rows.iter().for_each(|row| in_value(book, &row.value, looks, keys));
        }
        Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::Last(_) | Value::InspectedOn | Value::TotalCost => {}
    }
}

/// Whether in every case a condition or its carried-in opposite is met, so that one is met just where the other is not.
pub(super) fn decided(book: &Book, condition: &Condition) -> bool {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().all(|inner| decided(book, inner))
        }
        Condition::Not(inner) => decided(book, inner),
        Condition::Test(test, _) => {
            let (looks, keys) = looks_of(book, test);
            let valued = match test {
                Test::IsOneOf { .. } | Test::HasAny { .. } | Test::NoDate { .. } | Test::PlaceIs { .. } => true,
                Test::Compare(_, left, right) => [left, right].into_iter().all(|value| has_value(book, value)),
                Test::Between(value, low, high) => [value, low, high].into_iter().all(|value| has_value(book, value)),
                Test::TotalUrgency { .. } | Test::TotalTier { .. } => false,
            };
            valued && keys.is_empty() && looks.iter().all(|at| always_applies(book, at.look))
        }
        Condition::Found(..) | Condition::Places { .. } => false,
    }
}

/// Whether a value comes to something wherever the looks that it reads apply.
fn has_value(book: &Book, value: &Value) -> bool {
    match value {
        Value::Number(_) | Value::Range(..) | Value::Date(_) => true,
        Value::Look(at) => {
            matches!(book[at.look].kind, LookKind::Measured { .. } | LookKind::Counted { .. } | LookKind::Priced { .. })
        }
        Value::Negative(inner) => has_value(book, inner),
        Value::Arithmetic(ArithmeticSign::By, ..) => false,
        Value::Arithmetic(_, left, right) | Value::Lower(left, right) | Value::Higher(left, right) => {
            has_value(book, left) && has_value(book, right)
        }
        Value::Reckon(_)
        | Value::Table(_)
        | Value::Last(_)
        | Value::InspectedOn
        | Value::TotalCost
        | Value::DaysFrom(..)
        | Value::Formula(..) => false,
    }
}

fn always_applies(book: &Book, look: LookId) -> bool {
    let part = &book[book[look].part];
    book[look].only_when.is_none() && part.only_when.is_none() && !part.repeats()
}

/// A condition of a place in hand, as it is at one fixed place; none where a table is chosen by the place.
pub(super) fn at_place(book: &Book, condition: &Condition, part: PartId, place: PlaceId) -> Option<Condition> {
    let all = |inner: &[Condition]| inner.iter().map(|one| at_place(book, one, part, place)).collect::<Option<Vec<_>>>();
    Some(match condition {
        Condition::All(inner) => Condition::All(all(inner)?),
        Condition::Any(inner) => Condition::Any(all(inner)?),
        Condition::AtLeast(count, inner) => Condition::AtLeast(*count, all(inner)?),
        Condition::Not(inner) => Condition::Not(Box::new(at_place(book, inner, part, place)?)),
        Condition::Found(..) => condition.clone(),
        // Within it, another place is in hand.
        Condition::Places { part: other, .. } => (*other == part).then(|| condition.clone())?,
        Condition::Test(test, span) => {
            let look = |at: LookAt| {
                let here = at.place == PlaceAt::Here && book[at.look].part == part;
                if here { LookAt { look: at.look, place: PlaceAt::Fixed(place) } } else { at }
            };
            let test = match test {
                Test::IsOneOf { look: at, choices, not } => {
                    Test::IsOneOf { look: look(*at), choices: choices.clone(), not: *not }
                }
                Test::HasAny { look: at, choices } => Test::HasAny { look: look(*at), choices: choices.clone() },
                Test::NoDate { look: at, not } => Test::NoDate { look: look(*at), not: *not },
                Test::PlaceIs { part: other, places, not } if *other == part => {
                    let met = places.contains(&place) != *not;
                    return Some(if met { Condition::All(Vec::new()) } else { Condition::Any(Vec::new()) });
                }
                other => {
                    let (looks, keys) = looks_of(book, other);
                    if looks.iter().chain(&keys).any(|at| book[at.look].part == part) {
                        return None;
                    }
                    other.clone()
                }
            };
            Condition::Test(test, *span)
        }
    })
}
