//! Looks and parts that both books have and that apply in other cases: one look, of which each book's tests say themselves
//! when it applies.
//!
//! A test of what does not apply is met as little as its opposite. So `slips` of the one book is "it slips, and it applies
//! by that book" in both, and a `not` is carried in to the single tests first.

use std::collections::BTreeSet;

use crate::book::{Book, Condition, LookAt, LookId, PartId, PlaceAt, PlaceId, TableKey, Test, Value};

/// Which looks and parts those are, by name.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Guarded {
    parts: BTreeSet<String>,
    looks: BTreeSet<(String, String)>,
}

impl Guarded {
    /// The looks of these that both books have by name, with their parts where these are not taken as one; none where one of
    /// the books asks more of such a look than a test of it.
    pub fn of(old: &Book, new: &Book, both: &Book, apart: &[LookId]) -> Option<Self> {
        let mut guarded = Self::default();
        for look in apart {
            let (look, part) = (&both[*look], &both[both[*look].part]);
            let (Some(was), Some(now)) = (old.find_part(&part.name), new.find_part(&part.name)) else { continue };
            if old.find_look(was, &look.name).is_some() && new.find_look(now, &look.name).is_some() {
                guarded.looks.insert((part.name.clone(), look.name.clone()));
            }
            let known = both.parts.iter().filter(|other| other.name == part.name).count();
            if known > 1 {
                guarded.parts.insert(part.name.clone());
            }
        }
        let nothing = guarded.looks.is_empty() && guarded.parts.is_empty();
        (!nothing && ![old, new].into_iter().any(|book| guarded.asks_more(book))).then_some(guarded)
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.looks.is_empty()
    }

    /// Whether a part is one of them.
    pub fn part(&self, book: &Book, part: PartId) -> bool {
        self.parts.contains(&book[part].name)
    }

    /// Whether a look is one of them, by itself or by its part.
    pub fn look(&self, book: &Book, look: LookId) -> bool {
        let part = book[look].part;
        self.part(book, part) || self.looks.contains(&(book[part].name.clone(), book[look].name.clone()))
    }

    /// Whether a table is chosen by such a look, where one that does not apply picks a row as well.
    fn asks_more(&self, book: &Book) -> bool {
        let keys = book.tables.iter().flat_map(|table| &table.keys);
        keys.into_iter().any(|key| matches!(key, TableKey::Look(at) if self.look(book, at.look)))
    }
}

/// The looks that a test reads, reckonings gone into.
pub(super) fn looks_of(book: &Book, test: &Test) -> Vec<LookAt> {
    let mut looks = Vec::new();
    match test {
        Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => looks.push(*look),
        Test::Compare(_, left, right) => [left, right].into_iter().for_each(|value| in_value(book, value, &mut looks)),
        Test::Between(value, low, high) => [value, low, high].into_iter().for_each(|value| in_value(book, value, &mut looks)),
        Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
    }
    let mut once: Vec<LookAt> = Vec::new();
    looks.into_iter().for_each(|at| {
        if !once.contains(&at) {
            once.push(at)
        }
    });
    once
}

fn in_value(book: &Book, value: &Value, looks: &mut Vec<LookAt>) {
    match value {
        Value::Look(at) => looks.push(*at),
        Value::Reckon(reckon) => in_value(book, &book[*reckon].value, looks),
        Value::Arithmetic(_, left, right)
        | Value::Lower(left, right)
        | Value::Higher(left, right)
        | Value::DaysFrom(left, right) => {
            in_value(book, left, looks);
            in_value(book, right, looks);
        }
        Value::Negative(inner) => in_value(book, inner, looks),
        Value::Formula(_, all) => all.iter().for_each(|one| in_value(book, one, looks)),
        Value::Table(table) => book[*table].rows.iter().for_each(|row| in_value(book, &row.value, looks)),
        Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::Last(_) | Value::InspectedOn | Value::TotalCost => {}
    }
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
                other if looks_of(book, other).iter().any(|at| book[at.look].part == part) => return None,
                other => other.clone(),
            };
            Condition::Test(test, *span)
        }
    })
}
