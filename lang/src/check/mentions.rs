//! What a book speaks of: which looks anything reads, which choices are named, which values its examples show.

use std::collections::BTreeSet;

use crate::book::{Book, Condition, Good, LookId, LookKind, RecordEntry, RowKey, TableKey, Test, Value};
use crate::number::Number;
use crate::saying::Saying;

/// What a book speaks of.
#[derive(Debug, Default)]
pub struct Mentions {
    read: BTreeSet<LookId>,
    choices: BTreeSet<(LookId, usize)>,
    values: Vec<(LookId, Option<Number>, Option<Number>)>,
}

impl Mentions {
    /// All that a book speaks of, its examples and those of its parents included.
    pub fn of(book: &Book) -> Self {
        let mut mentions = Self::default();
        let only_when = book
            .parts
            .iter()
            .flat_map(|part| part.only_when.iter().chain(part.fixed_places().iter().flat_map(|place| &place.only_when)));
        only_when.for_each(|condition| mentions.condition(book, condition));
        for (id, look) in book.looks.iter().enumerate() {
            look.only_when.iter().for_each(|condition| mentions.condition(book, condition));
            match &look.good {
                Some(Good::Choices(choices)) => {
                    mentions.choices.extend(choices.iter().map(|choice| (LookId::from_index(id), *choice)));
                }
                Some(Good::Range(value)) => mentions.value_of(book, value),
                Some(Good::NoDate) | None => {}
            }
        }
        for finding in &book.findings {
            mentions.condition(book, &finding.signs);
            finding.unless.iter().for_each(|condition| mentions.condition(book, condition));
            finding.urgency.iter().flat_map(|line| &line.when).for_each(|condition| mentions.condition(book, condition));
            for cost in std::iter::once(&finding.cost).chain(finding.ways.iter().map(|way| &way.cost)) {
                cost.goods.iter().for_each(|goods| mentions.value_of(book, &goods.price));
            }
        }
        book.works.iter().for_each(|work| mentions.value_of(book, &work.amount));
        book.raises.iter().for_each(|raise| mentions.condition(book, &raise.when));
        book.counsels.iter().for_each(|counsel| mentions.condition(book, &counsel.when));
        for aid in &book.aids {
            aid.who.iter().for_each(|condition| mentions.condition(book, condition));
            mentions.read.extend(aid.needs.iter().copied().chain(aid.not_beyond.iter().map(|(_, look)| *look)));
        }
        for example in book.examples.iter().chain(&book.inherited_examples) {
            for entry in &example.record {
                if let RecordEntry::Look(look, _, saying) | RecordEntry::Last(look, _, saying) = entry {
                    mentions.said(*look, saying);
                }
            }
        }
        mentions
    }

    /// Whether anything reads the look: a condition, a table, a price or a fund.
    pub fn read(&self, look: LookId) -> bool {
        self.read.contains(&look)
    }

    /// Whether a choice of the look is spoken of.
    pub fn choice(&self, look: LookId, choice: usize) -> bool {
        self.choices.contains(&(look, choice))
    }

    /// Whether an example shows a value between these.
    pub fn value(&self, look: LookId, ends: Option<(Number, Number)>) -> bool {
        let Some((low, high)) = ends else { return true };
        let meets =
            |from: Option<Number>, to: Option<Number>| from.is_none_or(|from| from <= high) && to.is_none_or(|to| low <= to);
        self.values.iter().any(|(of, from, to)| *of == look && meets(*from, *to))
    }

    fn said(&mut self, look: LookId, saying: &Saying) {
        match saying {
            Saying::OneOf(choices) | Saying::Exactly(choices) => {
                self.choices.extend(choices.iter().map(|choice| (look, *choice)));
            }
            Saying::Between { low, high, .. } => self.values.push((look, *low, *high)),
            Saying::DateBetween(low, high) => {
                let day = |day: &i64| Number::from_integer(i128::from(*day));
                self.values.push((look, low.as_ref().map(day), high.as_ref().map(day)));
            }
            _ => {}
        }
    }

    fn condition(&mut self, book: &Book, condition: &Condition) {
        match condition {
            Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
                inner.iter().for_each(|condition| self.condition(book, condition));
            }
            Condition::Not(inner) => self.condition(book, inner),
            Condition::Places { with, .. } => self.condition(book, with),
            Condition::Found(..) => {}
            Condition::Test(test, _) => self.test(book, test),
        }
    }

    fn test(&mut self, book: &Book, test: &Test) {
        match test {
            Test::IsOneOf { look, choices, not } => {
                self.read.insert(look.look);
                // What is not one of these is all the rest.
                let all = *not || matches!(book[look.look].kind, LookKind::YesNo);
                let named = if all { (0..book[look.look].choices().len()).collect() } else { choices.clone() };
                self.choices.extend(named.into_iter().map(|choice| (look.look, choice)));
            }
            Test::HasAny { look, choices } => {
                self.read.insert(look.look);
                self.choices.extend(choices.iter().map(|choice| (look.look, *choice)));
            }
            Test::NoDate { look, .. } => {
                self.read.insert(look.look);
            }
            Test::Compare(_, left, right) => {
                self.value_of(book, left);
                self.value_of(book, right);
            }
            Test::Between(value, low, high) => [value, low, high].into_iter().for_each(|value| self.value_of(book, value)),
            Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
        }
    }

    fn value_of(&mut self, book: &Book, value: &Value) {
        match value {
            Value::Look(at) | Value::Last(at) => {
                self.read.insert(at.look);
            }
            Value::Table(table) => {
                let table = &book[*table];
                for (column, key) in table.keys.iter().enumerate() {
                    let TableKey::Look(at) = key else { continue };
                    self.read.insert(at.look);
                    for row in &table.rows {
                        match row.keys[column] {
                            RowKey::Is(choice) => {
                                self.choices.insert((at.look, choice));
                            }
                            RowKey::Any => {
                                let all = 0..book[at.look].choices().len();
                                self.choices.extend(all.map(|choice| (at.look, choice)));
                            }
                        }
                    }
                }
                table.rows.iter().for_each(|row| self.value_of(book, &row.value));
            }
            Value::Reckon(reckon) => self.value_of(book, &book[*reckon].value),
            Value::Arithmetic(_, a, b) | Value::Lower(a, b) | Value::Higher(a, b) | Value::DaysFrom(a, b) => {
                self.value_of(book, a);
                self.value_of(book, b);
            }
            Value::Negative(inner) => self.value_of(book, inner),
            Value::Formula(_, arguments) => arguments.iter().for_each(|argument| self.value_of(book, argument)),
            Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::InspectedOn | Value::TotalCost => {}
        }
    }
}
