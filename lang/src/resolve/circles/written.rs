//! Where the things that can go round in a circle name each other.

use rustc_hash::FxHashMap;

use super::needs::Node;
use super::search::Arrow;
use crate::book::{ReckonId, TableId};
use crate::chain::Merged;
use crate::resolve::names::Names;
use crate::span::Span;
use crate::syntax::tree::{Entry, Expr, ExprKind, Head, Kind, Name, Path, Says};

/// Every name that may close a circle, by what names what.
#[derive(Debug, Default)]
pub struct Written {
    /// From a finding to one it yields to.
    pub yields: Vec<Arrow>,
    /// From a bench step to one it includes.
    pub includes: Vec<Arrow>,
    /// From a reckoning or a table to what it is worked out from, without places.
    pub(super) values: FxHashMap<(Node, Node), Span>,
}

impl Written {
    /// All that the entries of a rulebook say. What names nothing is left out; it has been told.
    pub fn of(merged: &Merged, names: &Names) -> Self {
        let mut written = Self::default();
        for (from, entry) in of(merged, Kind::Finding) {
            for name in listed(entry, |says| if let Says::YieldsTo(names) = says { names } else { &[] }) {
                let to = names.findings.get(&name.value).map(|finding| finding.index());
                add(&mut written.yields, from, to, name.span);
            }
        }
        for (from, entry) in of(merged, Kind::Work) {
            for name in listed(entry, |says| if let Says::Includes(names) = says { names } else { &[] }) {
                let to = names.works.get(&name.value).map(|work| work.index());
                add(&mut written.includes, from, to, name.span);
            }
        }
        for (from, entry) in of(merged, Kind::Table) {
            if let Head::Table { by } = &entry.head {
                by.iter().for_each(|path| written.path(names, Node::Table(TableId::from_index(from), None), path));
            }
        }
        for (from, entry) in of(merged, Kind::Reckon) {
            if let Head::Reckon { value: Some(value) } = &entry.head {
                written.value(names, Node::Reckon(ReckonId::from_index(from), None), value);
            }
        }
        written
    }

    fn value(&mut self, names: &Names, from: Node, value: &Expr) {
        match &value.kind {
            ExprKind::Path(path) => self.path(names, from, path),
            ExprKind::Arithmetic(_, left, right)
            | ExprKind::Lower(left, right)
            | ExprKind::Higher(left, right)
            | ExprKind::DaysFrom(left, right) => [left, right].into_iter().for_each(|value| self.value(names, from, value)),
            ExprKind::Negative(inner) => self.value(names, from, inner),
            ExprKind::Formula(_, arguments) => arguments.iter().for_each(|value| self.value(names, from, value)),
            ExprKind::Quantity(_) | ExprKind::Range(..) | ExprKind::Date(_) | ExprKind::Last(_) | ExprKind::TotalCost => {}
        }
    }

    fn path(&mut self, names: &Names, from: Node, path: &Path) {
        let to = match path.segments.as_slice() {
            [name] => {
                let table = names.tables.get(&name.value).map(|table| Node::Table(table, None));
                table.or_else(|| names.reckons.get(&name.value).map(|reckon| Node::Reckon(reckon, None)))
            }
            [part, .., look] => {
                let part = names.parts.get(&part.value).and_then(|part| names.inside.get(part.index()));
                part.and_then(|part| part.looks.get(&look.value)).map(|look| Node::Look(look, None))
            }
            [] => None,
        };
        if let Some(to) = to {
            self.values.entry((from, to)).or_insert(path.span);
        }
    }
}

/// The entries of a kind that have a number, with that number.
fn of(merged: &Merged, kind: Kind) -> impl Iterator<Item = (usize, &Entry)> {
    let entries = merged.entries.iter().map(|entry| &**entry);
    entries.filter(move |entry| entry.kind == kind && entry.name.is_some()).enumerate()
}

/// The names in the clauses of an entry that have any.
fn listed(entry: &Entry, names: impl Fn(&Says) -> &[Name]) -> impl Iterator<Item = &Name> {
    entry.clauses.iter().flat_map(move |clause| names(&clause.says))
}

/// Adds an arrow, unless there is one; a name that stands there twice has been told.
fn add(arrows: &mut Vec<Arrow>, from: usize, to: Option<usize>, span: Span) {
    let Some(to) = to else { return };
    if !arrows.iter().rev().take_while(|arrow| arrow.from == from).any(|arrow| arrow.to == to) {
        arrows.push(Arrow { from, to, span });
    }
}
