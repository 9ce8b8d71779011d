//! What nothing uses: bench steps, tables and reckonings that are never named, and parts that are never looked at.

use rustc_hash::FxHashSet;

use super::bounds::for_operands;
use crate::book::{Book, Condition, Cost, Good, Origin, PartId, ReckonId, TableId, TableKey, Test, Value, WorkId};
use crate::chain::Merged;
use crate::diagnostic::Diagnostic;
use crate::syntax::tree::{Kind, Tree};

/// Warnings about what a sound book has and does not use, as far as the rulebook itself wrote or altered it. What a parent
/// wrote is told of the parent; what this rulebook left without a use by dropping another thing is nobody's fault.
pub fn check(book: &Book, merged: &Merged, own: &Tree) -> Vec<Diagnostic> {
    let used = Used::of(book);
    let works = book.works.iter().enumerate().filter(|(id, _)| !used.works.contains(&WorkId::from_index(*id)));
    let tables = book.tables.iter().enumerate().filter(|(id, _)| !used.tables.contains(&TableId::from_index(*id)));
    let reckons = book.reckons.iter().enumerate().filter(|(id, _)| !used.reckons.contains(&ReckonId::from_index(*id)));
    let unused = works
        .map(|(_, work)| (Kind::Work, &work.name, &work.origin))
        .chain(tables.map(|(_, table)| (Kind::Table, &table.name, &table.origin)))
        .chain(reckons.map(|(_, reckon)| (Kind::Reckon, &reckon.name, &reckon.origin)));
    let unused = unused.filter_map(|(kind, name, origin)| {
        let (says, help) = match kind {
            Kind::Work => ("No finding and no other step uses the bench step", "Name it in a finding's `work`, or take it out."),
            Kind::Table => ("Nothing is worked out with the table", "Use it where a value stands, or take it out."),
            _ => ("Nothing is worked out with the reckoning", "Use it where a value stands, or take it out."),
        };
        let diagnostic = Diagnostic::warning("unused", origin.own()?, format!("{says} `{name}`.")).help(help);
        Some(with_fix(diagnostic, merged, own, kind, name, origin))
    });
    let parts = book
        .parts
        .iter()
        .enumerate()
        .filter(|(id, part)| !part.context && part.looks.is_empty() && !used.parts.contains(&PartId::from_index(*id)));
    let parts = parts.filter_map(|(_, part)| {
        let says = format!("Nobody looks at the part `{}`: it has no look, and no finding is on it.", part.name);
        let diagnostic = Diagnostic::warning("part-unused", part.origin.own()?, says)
            .help("Add a `look` and a finding on it, or take the part out.");
        Some(with_fix(diagnostic, merged, own, Kind::Part, &part.name, &part.origin))
    });
    unused.chain(parts).collect()
}

/// The diagnostic, with the item taken out where the rulebook itself wrote it.
fn with_fix(mut diagnostic: Diagnostic, merged: &Merged, own: &Tree, kind: Kind, name: &str, origin: &Origin) -> Diagnostic {
    if diagnostic.span != origin.span {
        diagnostic.help = "Use it, or take the `alter` out.".to_owned();
        return diagnostic.place(origin.span, "first written here");
    }
    let entry = merged.entries.iter().find(|entry| entry.kind == kind && entry.name_text() == name);
    if let Some(entry) = entry {
        // Whether it is too much, or its use was forgotten, only its author knows.
        let fix = own.take_out(format!("Take `{name}` out"), &[entry.span]);
        diagnostic.fixes.push(crate::diagnostic::Fix { safe: false, ..fix });
    }
    diagnostic
}

/// What a book uses.
#[derive(Default)]
struct Used {
    works: FxHashSet<WorkId>,
    tables: FxHashSet<TableId>,
    reckons: FxHashSet<ReckonId>,
    parts: FxHashSet<PartId>,
}

impl Used {
    fn of(book: &Book) -> Self {
        let mut used = Self::default();
        for part in &book.parts {
            let places = part.fixed_places().iter().flat_map(|place| &place.only_when);
            part.only_when.iter().chain(places).for_each(|condition| used.condition(condition));
        }
        for look in &book.looks {
            look.only_when.iter().for_each(|condition| used.condition(condition));
            if let Some(Good::Range(value)) = &look.good {
                used.value(value);
            }
        }
        for finding in &book.findings {
            used.parts.insert(finding.on);
            let urgency = finding.urgency.iter().filter_map(|line| line.when.as_ref());
            [&finding.signs].into_iter().chain(&finding.unless).chain(urgency).for_each(|condition| used.condition(condition));
            [&finding.cost].into_iter().chain(finding.ways.iter().map(|way| &way.cost)).for_each(|cost| used.cost(cost));
        }
        for work in &book.works {
            used.works.extend(&work.includes);
            used.value(&work.amount);
        }
        for table in &book.tables {
            used.parts.extend(table.keys.iter().filter_map(|key| match key {
                TableKey::Place(part) => Some(*part),
                TableKey::Look(_) => None,
            }));
        }
        book.reckons.iter().for_each(|reckon| used.value(&reckon.value));
        book.raises.iter().for_each(|raise| used.condition(&raise.when));
        book.counsels.iter().for_each(|counsel| used.condition(&counsel.when));
        book.aids.iter().filter_map(|aid| aid.who.as_ref()).for_each(|condition| used.condition(condition));
        used
    }

    fn cost(&mut self, cost: &Cost) {
        self.works.extend(&cost.work);
        cost.goods.iter().for_each(|goods| self.value(&goods.price));
    }

    fn condition(&mut self, condition: &Condition) {
        match condition {
            Condition::All(inner) | Condition::Any(inner) | Condition::AtLeast(_, inner) => {
                inner.iter().for_each(|condition| self.condition(condition));
            }
            Condition::Not(inner) => self.condition(inner),
            Condition::Places { part, with, .. } => {
                self.parts.insert(*part);
                self.condition(with);
            }
            Condition::Test(Test::Compare(_, left, right), _) => [left, right].into_iter().for_each(|value| self.value(value)),
            Condition::Test(Test::Between(value, low, high), _) => {
                [value, low, high].into_iter().for_each(|value| self.value(value));
            }
            Condition::Test(..) | Condition::Found(..) => {}
        }
    }

    fn value(&mut self, value: &Value) {
        match value {
            Value::Table(table) => {
                self.tables.insert(*table);
            }
            Value::Reckon(reckon) => {
                self.reckons.insert(*reckon);
            }
            _ => for_operands(value, &mut |operand| self.value(operand)),
        }
    }
}
