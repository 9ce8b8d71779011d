//! Records put together from others, and records that bring a sum to the border of what is asked of it: where no single
//! difference reaches a figure, two of them may.

use num_traits::Zero;
use purfle_lang::book::{Book, Condition, LookId, LookKind, RecordEntry, RecordPath, Test, Value};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::replay::Seen;

/// All that one record says, and of another what the one does not speak of.
pub fn joined(one: &[RecordEntry], other: &[RecordEntry]) -> Vec<RecordEntry> {
    let rest = |entry: &&RecordEntry| matches!(entry, RecordEntry::RestGood);
    let mut record: Vec<RecordEntry> = one.iter().filter(|entry| !rest(entry)).cloned().collect();
    let known = |record: &[RecordEntry], entry: &RecordEntry| record.iter().any(|known| same_subject(known, entry));
    for entry in other.iter().filter(|entry| !rest(entry)) {
        if !known(&record, entry) {
            record.push(entry.clone());
        }
    }
    if one.iter().chain(other).any(|entry| rest(&entry)) {
        record.push(RecordEntry::RestGood);
    }
    record
}

/// Whether two entries speak of the same thing.
fn same_subject(one: &RecordEntry, other: &RecordEntry) -> bool {
    match (one, other) {
        (RecordEntry::Look(one, at, _), RecordEntry::Look(other, there, _))
        | (RecordEntry::Last(one, at, _), RecordEntry::Last(other, there, _)) => (one, at) == (other, there),
        (RecordEntry::Good(one, at), RecordEntry::Good(other, there))
        | (RecordEntry::Absent(one, at), RecordEntry::Absent(other, there)) => (one, at) == (other, there),
        (RecordEntry::NoPlaces(one), RecordEntry::NoPlaces(other))
        | (RecordEntry::MayBeMore(one), RecordEntry::MayBeMore(other)) => one == other,
        (RecordEntry::Quoted(_), RecordEntry::Quoted(_)) | (RecordEntry::InspectedOn(_), RecordEntry::InspectedOn(_)) => true,
        _ => false,
    }
}

/// Sums of money that counsels and funds hold against what something costs.
#[derive(Debug, Default)]
pub struct Borders {
    /// Priced looks without places.
    looks: Vec<LookId>,
    /// By what they are multiplied there.
    shares: Vec<Number>,
}

impl Borders {
    /// Those of both books, the looks by their numbers in `both`.
    pub fn of(both: &Book, books: [&Book; 2]) -> Self {
        let mut borders = Self { looks: Vec::new(), shares: vec![Number::from_integer(1)] };
        for book in books {
            for counsel in &book.counsels {
                borders.condition(both, book, &counsel.when);
            }
            for (share, look) in book.aids.iter().filter_map(|aid| aid.not_beyond) {
                borders.share(share);
                borders.look(both, book, look);
            }
        }
        borders
    }

    /// The record with each of the sums set between what it costs by the one book and by the other.
    pub fn between(&self, record: &[RecordEntry], seen: &Seen) -> Vec<Vec<RecordEntry>> {
        let ends = |outcome: &crate::outcome::Outcome| [outcome.cost.from, outcome.cost.to];
        let (old, new) = (ends(&seen.old), ends(&seen.new));
        let two = Number::from_integer(2);
        let mut sums: Vec<Number> = Vec::new();
        for (was, now) in [(old[0], new[0]), (old[1], new[1]), (old[1], new[0]), (old[0], new[1])] {
            let middle = (was + now) / two;
            if was != now && !sums.contains(&middle) {
                sums.push(middle);
            }
        }
        let mut records = Vec::new();
        for look in &self.looks {
            for (sum, share) in sums.iter().flat_map(|sum| self.shares.iter().map(move |share| (sum, share))) {
                let worth = *sum / *share;
                let said = Saying::Between { low: Some(worth), high: Some(worth), reading: true };
                let entry = RecordEntry::Look(*look, RecordPath::Single, said);
                let others = record.iter().filter(|known| !same_subject(known, &entry)).cloned();
                records.push(std::iter::once(entry.clone()).chain(others).collect());
            }
        }
        records
    }

    fn look(&mut self, both: &Book, book: &Book, look: LookId) {
        let part = &book[book[look].part];
        let there = both.find_part(&part.name).and_then(|part| both.find_look(part, &book[look].name));
        if let Some(there) = there
            && matches!(both[there].kind, LookKind::Priced { .. })
            && !part.repeats()
            && !self.looks.contains(&there)
        {
            self.looks.push(there);
        }
    }

    fn share(&mut self, share: Number) {
        if share > Number::zero() && !self.shares.contains(&share) {
            self.shares.push(share);
        }
    }

    fn condition(&mut self, both: &Book, book: &Book, condition: &Condition) {
        match condition {
            Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
                inner.iter().for_each(|one| self.condition(both, book, one));
            }
            Condition::Not(inner) | Condition::Places { with: inner, .. } => self.condition(both, book, inner),
            Condition::Found(..) => {}
            Condition::Test(Test::Compare(_, left, right), _) => {
                self.value(both, book, left);
                self.value(both, book, right);
            }
            Condition::Test(Test::Between(value, low, high), _) => {
                [value, low, high].into_iter().for_each(|value| self.value(both, book, value));
            }
            Condition::Test(..) => {}
        }
    }

    fn value(&mut self, both: &Book, book: &Book, value: &Value) {
        match value {
            Value::Look(at) => self.look(both, book, at.look),
            Value::Number(number) => self.share(*number),
            Value::Reckon(reckon) => self.value(both, book, &book[*reckon].value),
            Value::Arithmetic(_, left, right) | Value::Lower(left, right) | Value::Higher(left, right) => {
                self.value(both, book, left);
                self.value(both, book, right);
            }
            Value::Negative(inner) => self.value(both, book, inner),
            Value::Range(..)
            | Value::Date(_)
            | Value::Last(_)
            | Value::InspectedOn
            | Value::Table(_)
            | Value::TotalCost
            | Value::DaysFrom(..)
            | Value::Formula(..) => {}
        }
    }
}
