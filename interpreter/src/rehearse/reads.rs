//! What conditions and values read, reckonings and tables gone through.

use purfle_lang::book::{Book, Condition, FindingId, LookAt, TableId, TableKey, Test, Value};
use purfle_lang::span::Span;

/// Everything that is read, each once, in the order met.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Reads {
    /// Looks whose values or choices are read.
    pub looks: Vec<LookAt>,
    /// Looks that only choose a table's row.
    pub keys: Vec<LookAt>,
    /// Tables.
    pub tables: Vec<TableId>,
    /// Findings.
    pub found: Vec<FindingId>,
    /// Whether what the record brings along is read: its date, the record before.
    pub brings: bool,
}

impl Reads {
    /// Adds what a condition reads.
    pub fn condition(&mut self, book: &Book, condition: &Condition) {
        match condition {
            Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
                all.iter().for_each(|condition| self.condition(book, condition));
            }
            Condition::Not(inner) | Condition::Places { with: inner, .. } => self.condition(book, inner),
            Condition::Found(finding, _) => add(&mut self.found, *finding),
            Condition::Test(test, _) => match test {
                Test::IsOneOf { look, .. } | Test::HasAny { look, .. } | Test::NoDate { look, .. } => {
                    add(&mut self.looks, *look);
                }
                Test::Compare(_, left, right) => [left, right].into_iter().for_each(|value| self.value(book, value)),
                Test::Between(value, low, high) => [value, low, high].into_iter().for_each(|value| self.value(book, value)),
                Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => {}
            },
        }
    }

    /// Adds what a value reads.
    pub fn value(&mut self, book: &Book, value: &Value) {
        match value {
            Value::Number(_) | Value::Range(..) | Value::Date(_) | Value::TotalCost => {}
            Value::InspectedOn => self.brings = true,
            Value::Look(at) => add(&mut self.looks, *at),
            Value::Last(at) => {
                self.brings = true;
                add(&mut self.looks, *at);
            }
            Value::Arithmetic(_, left, right)
            | Value::Lower(left, right)
            | Value::Higher(left, right)
            | Value::DaysFrom(left, right) => {
                self.value(book, left);
                self.value(book, right);
            }
            Value::Negative(inner) => self.value(book, inner),
            Value::Formula(_, all) => all.iter().for_each(|value| self.value(book, value)),
            Value::Reckon(reckon) => self.value(book, &book[*reckon].value),
            Value::Table(table) => {
                add(&mut self.tables, *table);
                for key in &book[*table].keys {
                    if let TableKey::Look(at) = key {
                        add(&mut self.keys, *at);
                    }
                }
                book[*table].rows.iter().for_each(|row| self.value(book, &row.value));
            }
        }
    }
}

fn add<T: PartialEq>(to: &mut Vec<T>, one: T) {
    if !to.contains(&one) {
        to.push(one);
    }
}

/// Where a condition is written, as far as its tests say it; none for one without tests.
pub fn span_of(condition: &Condition) -> Option<Span> {
    match condition {
        Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => all.iter().filter_map(span_of).reduce(Span::to),
        Condition::Not(inner) => span_of(inner),
        Condition::Places { span, .. } | Condition::Test(_, span) | Condition::Found(_, span) => Some(*span),
    }
}
