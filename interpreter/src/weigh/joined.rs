//! Records put together from others, and records that bring a sum to the border of what is asked of it: where no single
//! difference reaches a figure, two of them may.

use num_traits::{CheckedMul, Zero};
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
    /// Sums that counsels of only one of the books ask for.
    limits: Vec<Number>,
}

/// The most findings that are put together to reach a sum.
const MOST_TOGETHER: usize = 4;

/// The most records that are put together so.
const MOST_REACHING: usize = 24;

/// The most sums that are added up for them.
const MOST_ADDED: usize = 20_000;

impl Borders {
    /// Those of both books, the looks by their numbers in `both`.
    pub fn of(both: &Book, books: [&Book; 2]) -> Self {
        let mut borders = Self { looks: Vec::new(), shares: vec![Number::from_integer(1)], limits: Vec::new() };
        let limits = books.map(|book| {
            let mut limits = Vec::new();
            book.counsels.iter().for_each(|counsel| limits_of(book, &counsel.when, &mut limits));
            limits
        });
        for (one, other) in [(&limits[0], &limits[1]), (&limits[1], &limits[0])] {
            borders.limits.extend(one.iter().filter(|limit| !other.contains(limit)));
        }
        if borders.limits.len() == 1 {
            borders.limits.extend(limits.iter().flatten());
        }
        borders.limits.sort_unstable();
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
    pub fn between(&self, both: &Book, record: &[RecordEntry], seen: &Seen) -> Vec<Vec<RecordEntry>> {
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
                for worth in sums_about(both, *sum / *share) {
                    let said = Saying::Between { low: Some(worth), high: Some(worth), reading: true };
                    let entry = RecordEntry::Look(*look, RecordPath::Single, said);
                    let others = record.iter().filter(|known| !same_subject(known, &entry)).cloned();
                    records.push(std::iter::once(entry.clone()).chain(others).collect());
                }
            }
        }
        records
    }

    /// Whether there is a sum that only one of the books asks for.
    pub fn has_limits(&self) -> bool {
        !self.limits.is_empty()
    }

    /// Records put together from these, each with what it costs, that may come to sums between those that only one of the books
    /// asks for: as if nothing were shared, so whoever wants to know judges them.
    pub fn reaching(&self, costing: &[(Vec<RecordEntry>, [Number; 2])]) -> Vec<Vec<RecordEntry>> {
        let (Some(least), Some(most)) = (self.limits.first(), self.limits.last()) else { return Vec::new() };
        let mut search = Reaching { costing, least: *least, most: *most, found: Vec::new(), added: 0, chosen: Vec::new() };
        search.from(0, [Number::zero(); 2]);
        // The most certain first: those of which both ends are between.
        search.found.sort_by_key(|(inside, chosen)| (!inside, chosen.len()));
        let records = search.found.into_iter().take(MOST_REACHING).map(|(_, chosen)| {
            let parts = chosen.iter().map(|at| costing[*at].0.clone());
            parts.reduce(|one, other| joined(&one, &other)).unwrap_or_default()
        });
        records.collect()
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

/// A sum that can be given in a book's money, or the nearest two.
fn sums_about(book: &Book, sum: Number) -> Vec<Number> {
    let minor = Number::from_integer(10_i128.pow(book.money.minor_places()));
    match sum.checked_mul(&minor) {
        Some(scaled) if scaled.is_integer() => vec![sum],
        Some(scaled) => vec![scaled.floor() / minor, scaled.ceil() / minor],
        None => Vec::new(),
    }
}

/// A search for findings that together come to a sum.
struct Reaching<'a> {
    costing: &'a [(Vec<RecordEntry>, [Number; 2])],
    least: Number,
    most: Number,
    /// Whether both ends are between, and which they are.
    found: Vec<(bool, Vec<usize>)>,
    added: usize,
    chosen: Vec<usize>,
}

impl Reaching<'_> {
    fn from(&mut self, first: usize, sum: [Number; 2]) {
        if self.chosen.len() == MOST_TOGETHER {
            return;
        }
        for at in first..self.costing.len() {
            self.added += 1;
            if self.added > MOST_ADDED {
                return;
            }
            let [low, high] = self.costing[at].1;
            if high <= Number::zero() {
                continue;
            }
            let sum = [sum[0] + low, sum[1] + high];
            if sum[0] > self.most {
                continue;
            }
            self.chosen.push(at);
            if sum[1] >= self.least {
                let inside = sum[0] >= self.least && sum[1] <= self.most;
                self.found.push((inside, self.chosen.clone()));
            }
            self.from(at + 1, sum);
            self.chosen.pop();
        }
    }
}

/// The sums that a condition holds against what all of it costs.
fn limits_of(book: &Book, condition: &Condition, limits: &mut Vec<Number>) {
    match condition {
        Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
            inner.iter().for_each(|one| limits_of(book, one, limits));
        }
        Condition::Not(inner) | Condition::Places { with: inner, .. } => limits_of(book, inner, limits),
        Condition::Test(Test::Compare(_, Value::TotalCost, Value::Number(limit)), _)
        | Condition::Test(Test::Compare(_, Value::Number(limit), Value::TotalCost), _) => limits.push(*limit),
        Condition::Test(Test::Between(Value::TotalCost, low, high), _) => {
            limits
                .extend([low, high].into_iter().filter_map(|value| if let Value::Number(at) = value { Some(*at) } else { None }));
        }
        Condition::Test(Test::TotalTier { from, to, .. }, _) => {
            let below = from.index().checked_sub(1).and_then(|below| book.tiers.get(below));
            let tiers = below.into_iter().chain(book.tiers.get(to.index()));
            limits.extend(tiers.filter_map(|tier| tier.up_to));
        }
        Condition::Found(..) | Condition::Test(..) => {}
    }
}
