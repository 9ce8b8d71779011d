//! Conditions of a book that say when looks, parts and places apply by it, where what is taken as one does not say so.

use super::super::guarded::{at_place, decided, looks_of};
use super::Carry;
use crate::book::{
    Condition, Count, Finding, LookAt, PartId, PlaceAt, PlaceId, Places, Row, RowKey, Table, TableKey, Test, Value,
};
use crate::span::Span;

/// The most looks that choose the rows of one test's tables and may fail to apply.
const MOST_KEYS: usize = 3;

impl Carry<'_> {
    /// A condition in the other's terms, without the places at which it is written.
    pub fn condition(&mut self, condition: &Condition) -> Condition {
        // What is carried on the way to a test is nothing of that test.
        let absent = std::mem::take(&mut self.absent);
        let carried = if self.guarded.is_empty() { self.plain(condition) } else { self.carried_in(condition, false) };
        self.absent = absent;
        carried
    }

    /// The same, or the opposite, a `not` carried in to the single tests, each of which says when its looks apply.
    fn carried_in(&mut self, condition: &Condition, not: bool) -> Condition {
        let mut all = |inner: &[Condition]| inner.iter().map(|one| self.carried_in(one, not)).collect::<Vec<_>>();
        let turned = |condition: Condition| if not { Condition::Not(Box::new(condition)) } else { condition };
        match condition {
            Condition::All(inner) | Condition::Any(inner) => {
                let inner = all(inner);
                if matches!(condition, Condition::All(_)) != not { Condition::All(inner) } else { Condition::Any(inner) }
            }
            Condition::AtLeast(count, inner) => {
                let inner = all(inner);
                let opposite = (inner.len() as u32 + 1).saturating_sub(*count);
                Condition::AtLeast(if not { opposite } else { *count }, inner)
            }
            Condition::Not(inner) => self.carried_in(inner, !not),
            Condition::Found(..) => turned(self.plain(condition)),
            Condition::Test(test, _) => self.tested(condition, test, not),
            Condition::Places { part, .. } => {
                // Its inner condition is only asked whether it is met.
                let places = turned(self.plain(condition));
                match self.from[*part].only_when.as_ref().filter(|_| self.guarded.part(self.from, *part)) {
                    Some(when) => Condition::All(vec![places, self.carried_in(when, false)]),
                    None => places,
                }
            }
        }
    }

    /// A test or its opposite: the looks that it reads apply; and where one that chooses a table's row may not apply, it is
    /// the test by that row, or the test without that look.
    fn tested(&mut self, condition: &Condition, test: &Test, not: bool) -> Condition {
        let (looks, mut keys) = looks_of(self.from, test);
        let mut met: Vec<Condition> = looks.into_iter().flat_map(|at| self.applies(at)).collect();
        keys.retain(|at| self.when(*at).is_none_or(|when| !when.is_empty()));
        if keys.len() > MOST_KEYS {
            self.unsaid = true;
            keys.clear();
        }
        let mut ways: Vec<Condition> = Vec::new();
        for absent in 0..1_u32 << keys.len() {
            let is_absent = |at: usize| absent >> at & 1 == 1;
            let mut way = Vec::new();
            for (at, key) in keys.iter().enumerate() {
                let applies = self.applies(*key);
                if is_absent(at) {
                    self.unsaid |= self.when(*key).is_none_or(|when| !when.iter().all(|when| decided(self.from, when)));
                    way.push(Condition::Not(Box::new(Condition::All(applies))));
                } else {
                    way.extend(applies);
                }
            }
            self.absent = keys.iter().enumerate().filter(|(at, _)| is_absent(*at)).map(|(_, key)| *key).collect();
            let carried = self.plain(condition);
            self.absent.clear();
            way.push(if not { Condition::Not(Box::new(carried)) } else { carried });
            ways.push(all_of(way));
        }
        met.push(if ways.len() == 1 { ways.swap_remove(0) } else { Condition::Any(ways) });
        all_of(met)
    }

    /// When a look applies by the carried book, where the look that is taken as one does not say so; none where that cannot
    /// be said.
    fn when(&self, at: LookAt) -> Option<Vec<Condition>> {
        let look = &self.from[at.look];
        if !self.guarded.look(self.from, at.look) {
            return Some(Vec::new());
        }
        let part = &self.from[look.part];
        let mut when: Vec<Condition> = Vec::new();
        if self.guarded.part(self.from, look.part) {
            when.extend(part.only_when.clone());
        }
        if self.guarded.places(self.from, look.part) {
            match at.place {
                PlaceAt::Fixed(place) => {
                    if let Some(only_when) = part.fixed_places().get(place.index()).and_then(|place| place.only_when.as_ref()) {
                        when.push(at_place(self.from, only_when, look.part, place)?);
                    }
                }
                PlaceAt::Here => when.extend(self.there(look.part)),
                PlaceAt::Single => {}
            }
        }
        if let Some(own) = &look.only_when {
            when.push(match at.place {
                PlaceAt::Fixed(place) => at_place(self.from, own, look.part, place)?,
                PlaceAt::Single | PlaceAt::Here => own.clone(),
            });
        }
        Some(when)
    }

    /// The same in the other's terms.
    fn applies(&mut self, at: LookAt) -> Vec<Condition> {
        let when = self.when(at);
        self.unsaid |= when.is_none();
        when.into_iter().flatten().map(|when| self.carried_in(&when, false)).collect()
    }

    /// When the place in hand of a part is there by the carried book; none where it always is.
    fn there(&self, part: PartId) -> Option<Condition> {
        let Places::Fixed(places) = &self.from[part].places else { return None };
        let only_when = places.iter().enumerate().filter_map(|(at, place)| {
            let elsewhere = Test::PlaceIs { part, places: vec![PlaceId(at as u32)], not: true };
            Some(Condition::Any(vec![Condition::Test(elsewhere, Span::default()), place.only_when.clone()?]))
        });
        let all: Vec<Condition> = only_when.collect();
        (!all.is_empty()).then_some(Condition::All(all))
    }

    /// When a finding's part and place are there, where what is taken as one does not say so.
    pub(super) fn stands(&mut self, finding: &Finding) -> Vec<Condition> {
        let mut when: Vec<Condition> = Vec::new();
        if self.guarded.part(self.from, finding.on) {
            when.extend(self.from[finding.on].only_when.clone());
        }
        if finding.each && self.guarded.places(self.from, finding.on) {
            when.extend(self.there(finding.on));
        }
        when.iter().map(|when| self.condition(when)).collect()
    }

    /// Places that meet a condition, of those that are there by the carried book.
    pub(super) fn places(&mut self, count: Count, part: PartId, with: &Condition) -> Condition {
        let there = self.there(part).filter(|_| self.guarded.places(self.from, part));
        let (at, with) = (self.part(part), self.condition(with));
        let places =
            |count: Count, with: Condition| Condition::Places { count, part: at, with: Box::new(with), span: Span::default() };
        let Some(there) = there else { return places(count, with) };
        let opposite = decided(self.from, &there);
        let there = self.condition(&there);
        match count {
            Count::Every => {
                self.unsaid |= !opposite;
                let gone = Condition::Not(Box::new(there.clone()));
                Condition::All(vec![places(Count::Any, there), places(Count::Every, Condition::Any(vec![gone, with]))])
            }
            Count::Any | Count::No | Count::AtLeast(_) => places(count, Condition::All(vec![there, with])),
        }
    }

    /// A table as it is for looks that do not apply: only rows that say `any` of them fit.
    pub(super) fn without_absent(&self, table: &Table) -> Table {
        let stays: Vec<bool> =
            table.keys.iter().map(|key| !matches!(key, TableKey::Look(at) if self.absent.contains(at))).collect();
        let kept = |row: &Row| row.keys.iter().zip(&stays).all(|(key, stays)| *stays || *key == RowKey::Any);
        let of = |row: &Row| {
            let keys = row.keys.iter().zip(&stays).filter(|(_, stays)| **stays).map(|(key, _)| *key);
            Row { keys: keys.collect(), value: row.value.clone() }
        };
        Table {
            keys: table.keys.iter().zip(&stays).filter(|(_, stays)| **stays).map(|(key, _)| *key).collect(),
            rows: table.rows.iter().filter(|row| kept(row)).map(of).collect(),
            ..table.clone()
        }
    }

    /// Whether a price hangs on something of which the one book says otherwise than the other when it applies.
    pub fn doubtful(&self, value: &Value) -> bool {
        self.guarded.read_by(self.from, value)
    }
}

fn all_of(mut all: Vec<Condition>) -> Condition {
    if all.len() == 1 { all.swap_remove(0) } else { Condition::All(all) }
}
