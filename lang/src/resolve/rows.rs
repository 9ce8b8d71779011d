//! Rows of a table: none missing for a record that gets there, no two that fit equally well.

use super::bounds::{Choice, anys, fits, pick};
use super::choices::{Looks, MOST_CHOICES};
use super::uses::{Use, uses};
use crate::book::{Book, Row, RowKey, Table, TableId, TableKey};
use crate::diagnostic::Diagnostic;
use crate::span::Span;

/// What was written of a table beyond what the book keeps.
pub struct Written {
    /// The table's own name.
    pub name: Span,
    /// Each row's keys.
    pub rows: Vec<Span>,
}

/// Every row that is missing or ambiguous, for the tables that were read without an error (`written` has them).
/// Where it is not known what applies when (`applies_known` is false), none is called missing.
pub fn check(book: &Book, written: &[Option<Written>], applies_known: bool) -> Vec<Diagnostic> {
    let uses = if applies_known { uses(book) } else { Vec::new() };
    let mut found = Vec::new();
    for (index, written) in written.iter().enumerate() {
        if let Some(written) = written {
            check_table(book, TableId::from_index(index), written, &uses, &mut found);
        }
    }
    found
}

fn check_table(book: &Book, id: TableId, written: &Written, uses: &[Use], found: &mut Vec<Diagnostic>) {
    let table = &book[id];
    let looks = Looks { parts: &book.parts, looks: &book.looks };
    let Some(all) = looks.choices(&table.keys, &[], true) else {
        let says = format!("The keys of `{}` have more than {MOST_CHOICES} combinations.", table.name);
        found.push(Diagnostic::error("too-many-combinations", written.name, says).help("Split it into tables with fewer keys."));
        return;
    };
    twins(book, table, written, &all, found);
    let mut missing: Vec<Choice> = Vec::new();
    let mut used_at = None;
    for here in uses.iter().filter(|used| used.table == id) {
        let reached = looks.choices(&table.keys, &here.guards, here.cost).unwrap_or_default();
        for choice in reached {
            if pick(table, &choice).is_none() && !missing.contains(&choice) {
                used_at.get_or_insert(here.span);
                missing.push(choice);
            }
        }
    }
    let (Some(first), Some(used_at)) = (missing.first(), used_at) else { return };
    let more = if missing.len() > 1 { format!(" and {} more", missing.len() - 1) } else { String::new() };
    let says = format!("`{}` has no row for {}{more}, and a record can be so.", table.name, wording(book, first));
    found.push(
        Diagnostic::error("row-missing", written.name, says)
            .label("a row is missing")
            .help("Add the row, or a row with `any` for all the rest.")
            .place(used_at, "used here"),
    );
}

/// Pairs of rows that fit some choice equally well, where no closer row does.
fn twins(book: &Book, table: &Table, written: &Written, all: &[Choice], found: &mut Vec<Diagnostic>) {
    let mut reported: Vec<(usize, usize)> = Vec::new();
    for choice in all {
        let fitting: Vec<(usize, &Row)> = table.rows.iter().enumerate().filter(|(_, row)| fits(table, row, choice)).collect();
        let Some(fewest) = fitting.iter().map(|(_, row)| anys(row)).min() else { continue };
        let best: Vec<usize> = fitting.iter().filter(|(_, row)| anys(row) == fewest).map(|(index, _)| *index).collect();
        let [first, second, ..] = best[..] else { continue };
        if reported.contains(&(first, second)) {
            continue;
        }
        reported.push((first, second));
        let same = table.rows[first].keys == table.rows[second].keys;
        let spans = (written.rows.get(first), written.rows.get(second));
        let (Some(&first_span), Some(&second_span)) = spans else { continue };
        let (says, help) = if same {
            (format!("`{}` has two rows for {}.", table.name, row_wording(book, table, first)), "Take one of them out.")
        } else {
            let says = format!("Two rows of `{}` fit {} equally well.", table.name, wording(book, choice));
            (says, "Add a row for just that, or take one of the two out.")
        };
        found.push(
            Diagnostic::error(if same { "row-twice" } else { "row-ambiguous" }, second_span, says)
                .label("and this row")
                .help(help)
                .place(first_span, "this row"),
        );
    }
}

/// A choice in words: `bass, E`.
pub fn wording(book: &Book, choice: &Choice) -> String {
    let words: Vec<String> = choice
        .iter()
        .map(|&(key, value)| match value {
            Some(value) => format!("`{}`", value_name(book, key, value)),
            None => format!("where {} does not apply", key_name(book, key)),
        })
        .collect();
    words.join(", ")
}

fn row_wording(book: &Book, table: &Table, row: usize) -> String {
    let keys = table.keys.iter().zip(&table.rows[row].keys);
    let words: Vec<String> = keys
        .map(|(&key, value)| match value {
            RowKey::Any => "`any`".to_owned(),
            RowKey::Is(value) => format!("`{}`", value_name(book, key, *value)),
        })
        .collect();
    words.join(", ")
}

/// A key as it is written: `instrument.kind`, `string.place`.
pub fn key_name(book: &Book, key: TableKey) -> String {
    match key {
        TableKey::Look(at) => format!("`{}`", book.look_path(at.look)),
        TableKey::Place(part) => format!("`{}.place`", book[part].name),
    }
}

fn value_name(book: &Book, key: TableKey, value: usize) -> String {
    let name = match key {
        TableKey::Place(part) => book[part].fixed_places().get(value).map(|place| place.name.clone()),
        TableKey::Look(at) => match book[at.look].choices().get(value) {
            Some(choice) => Some(choice.name.clone()),
            None => Some(if value == 0 { "no" } else { "yes" }.to_owned()),
        },
    };
    name.unwrap_or_default()
}
