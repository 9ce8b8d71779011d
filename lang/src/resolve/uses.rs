//! Where tables are used, and under which conditions: a row is only missed where some record gets there.

use super::bounds::for_operands;
use super::choices::Looks;
use crate::book::{Book, Condition, Cost, FindingId, Good, LookAt, PartId, TableId, Test, Value, WorkId};
use crate::span::Span;

/// One use of a table.
pub struct Use<'b> {
    /// The table.
    pub table: TableId,
    /// Conditions that are met whenever this use is reached.
    pub guards: Vec<&'b Condition>,
    /// Whether it makes up a cost: then a look that does not apply needs a row as well.
    pub cost: bool,
    /// The item in which it is used.
    pub span: Span,
}

/// Every use of every table in the book.
pub fn uses(book: &Book) -> Vec<Use<'_>> {
    let mut collector = Collector { book, looks: Looks { parts: &book.parts, looks: &book.looks }, uses: Vec::new() };
    for part in &book.parts {
        collector.condition(part.only_when.as_ref(), &[]);
        for place in part.fixed_places() {
            collector.condition(place.only_when.as_ref(), &[]);
        }
    }
    for look in &book.looks {
        collector.condition(look.only_when.as_ref(), &[]);
        if let Some(Good::Range(value)) = &look.good {
            let guards: Vec<&Condition> = look.only_when.iter().chain(collector.part_guard(look.part)).collect();
            collector.value(value, &guards, false, look.origin.span);
        }
    }
    for index in 0..book.findings.len() {
        collector.finding(FindingId::from_index(index));
    }
    for raise in &book.raises {
        collector.condition(Some(&raise.when), &[]);
    }
    for counsel in &book.counsels {
        collector.condition(Some(&counsel.when), &[]);
    }
    for aid in &book.aids {
        collector.condition(aid.who.as_ref(), &[]);
    }
    collector.uses
}

struct Collector<'b> {
    book: &'b Book,
    looks: Looks<'b>,
    uses: Vec<Use<'b>>,
}

impl<'b> Collector<'b> {
    fn part_guard(&self, part: PartId) -> Option<&'b Condition> {
        self.book.parts.get(part.index()).and_then(|part| part.only_when.as_ref())
    }

    fn finding(&mut self, id: FindingId) {
        let book = self.book;
        let finding = &book[id];
        let guards: Vec<&Condition> = self.part_guard(finding.on).into_iter().collect();
        let conditions = [&finding.signs].into_iter().chain(&finding.unless);
        for condition in conditions.chain(finding.urgency.iter().filter_map(|line| line.when.as_ref())) {
            self.condition(Some(condition), &guards);
        }
        for cost in [&finding.cost].into_iter().chain(finding.ways.iter().map(|way| &way.cost)) {
            self.cost(cost, &guards, finding.origin.span);
        }
    }

    fn cost(&mut self, cost: &'b Cost, guards: &[&'b Condition], span: Span) {
        for goods in &cost.goods {
            self.value(&goods.price, guards, true, span);
        }
        // Included steps fall away beside the one that includes them, so only its own amount is asked for.
        for work in &cost.work {
            self.value(&self.book[*work].amount, guards, true, span);
        }
    }

    fn condition(&mut self, condition: Option<&'b Condition>, guards: &[&'b Condition]) {
        match condition {
            None => {}
            // Beside a test that is not met, it does not matter that a table has no row.
            Some(Condition::All(inner)) => {
                for (index, one) in inner.iter().enumerate() {
                    let others = inner.iter().enumerate().filter(|(other, _)| *other != index).map(|(_, other)| other);
                    let guards: Vec<&Condition> = guards.iter().copied().chain(others).collect();
                    self.condition(Some(one), &guards);
                }
            }
            Some(Condition::Any(inner) | Condition::AtLeast(_, inner)) => {
                inner.iter().for_each(|one| self.condition(Some(one), guards));
            }
            Some(Condition::Not(inner)) => self.negated(inner, guards),
            Some(Condition::Places { part, with, .. }) => {
                let guards: Vec<&Condition> = guards.iter().copied().chain(self.part_guard(*part)).collect();
                self.condition(Some(with), &guards);
            }
            Some(Condition::Found(..)) => {}
            Some(Condition::Test(test, span)) => {
                let values: &[&Value] = match test {
                    Test::Compare(_, left, right) => &[left, right],
                    Test::Between(value, low, high) => &[value, low, high],
                    _ => &[],
                };
                let mut read = Vec::new();
                values.iter().for_each(|value| looks_read(value, &mut read));
                let guards: Vec<&Condition> =
                    guards.iter().copied().chain(read.iter().flat_map(|&at| self.looks.applies(at))).collect();
                values.iter().for_each(|value| self.value(value, &guards, false, *span));
            }
        }
    }

    /// Under a `not`, what stands side by side is any of its opposites, and guards nothing.
    fn negated(&mut self, condition: &'b Condition, guards: &[&'b Condition]) {
        match condition {
            Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
                inner.iter().for_each(|one| self.negated(one, guards));
            }
            other => self.condition(Some(other), guards),
        }
    }

    fn value(&mut self, value: &'b Value, guards: &[&'b Condition], cost: bool, span: Span) {
        let mut tables = Vec::new();
        tables_read(self.book, value, &mut tables, 0);
        for table in tables {
            self.uses.push(Use { table, guards: guards.to_vec(), cost, span });
        }
    }
}

/// The steps and all that they include, each once.
pub fn with_included(book: &Book, work: &[WorkId]) -> Vec<WorkId> {
    let mut all: Vec<WorkId> = Vec::new();
    let mut next: Vec<WorkId> = work.to_vec();
    while let Some(id) = next.pop() {
        if !all.contains(&id) {
            all.push(id);
            next.extend(&book[id].includes);
        }
    }
    all
}

/// The looks that a value reads directly, without those of its reckonings and those of the record before, which had its own.
fn looks_read(value: &Value, into: &mut Vec<LookAt>) {
    match value {
        Value::Look(at) => into.push(*at),
        _ => for_operands(value, &mut |operand| looks_read(operand, into)),
    }
}

fn tables_read(book: &Book, value: &Value, into: &mut Vec<TableId>, depth: u32) {
    // Reckonings that go round in a circle are reported elsewhere.
    if depth > 64 {
        return;
    }
    match value {
        Value::Table(table) => into.push(*table),
        Value::Reckon(reckon) => tables_read(book, &book[*reckon].value, into, depth + 1),
        _ => for_operands(value, &mut |operand| tables_read(book, operand, into, depth + 1)),
    }
}
