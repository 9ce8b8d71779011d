//! Tables: what their rows are chosen by, and the rows.

use super::draft::Draft;
use super::expression::value;
use super::names::Repeats;
use super::operand::{Fact, Facts};
use super::rows::Written;
use super::scope::Scope;
use super::single::choices_of;
use super::typed::{Typed, like_help};
use crate::book::{LookAt, LookKind, PartId, PlaceAt, Row, RowKey, TableKey};
use crate::diagnostic::Diagnostic;
use crate::span::{Span, Spanned};
use crate::syntax::tree::{Expr, ExprKind, Name, Path, Row as WrittenRow};
use crate::unit::Dimension;

/// A table as read.
pub struct ReadTable {
    /// Its keys; none where one has an error.
    pub keys: Option<Vec<TableKey>>,
    /// Its rows without those that have errors.
    pub rows: Vec<Row>,
    /// What its uses need to know; none where it has an error.
    pub fact: Option<Fact>,
    /// Where its rows stand.
    pub written: Written,
}

/// Reads a table's keys and rows; in a `broken` one no row is missed.
pub fn table(draft: &Draft, name: &Name, keys: &[Path], rows: &[(&WrittenRow, Span)], broken: bool) -> ReadTable {
    let scope = draft.scope_of_all_places();
    let read_keys: Vec<Option<TableKey>> = keys.iter().map(|path| key(&scope, path)).collect();
    let mut written = Written { name: name.span, rows: Vec::new() };
    let mut read_rows = Vec::new();
    let mut first: Option<Typed> = None;
    let mut sound = read_keys.iter().all(Option::is_some) && !(keys.is_empty() && broken);
    for (row, span) in rows {
        let cells = if keys.is_empty() && broken { None } else { cells(&scope, &read_keys, &row.keys, *span) };
        let typed = constant(&scope, &row.value);
        let alike = match (&first, &typed) {
            (Some(first), Some(typed)) if first.dimension != typed.dimension => {
                scope.sink.push(unlike(&name.value, first, typed));
                false
            }
            _ => true,
        };
        match (cells, typed) {
            (Some(keys), Some(typed)) if alike => {
                written.rows.push(keys_span(&row.keys, *span));
                read_rows.push(Row { keys, value: typed.value.clone() });
                let ranged = typed.ranged || first.as_ref().is_some_and(|first| first.ranged);
                first = Some(Typed { ranged, ..first.unwrap_or(typed) });
            }
            _ => sound = false,
        }
    }
    if rows.is_empty() && !broken {
        let says = format!("`{}` has no rows.", name.value);
        scope
            .sink
            .push(Diagnostic::error("clause-missing", name.span, says).help("Add a `row` for each case, or one with `any`."));
        sound = false;
    }
    let keys: Option<Vec<TableKey>> = read_keys.into_iter().collect();
    let fact = first.filter(|_| sound).map(|first| Fact {
        dimension: first.dimension,
        ranged: first.ranged,
        needs: needs(draft, keys.as_deref()),
    });
    ReadTable { keys, rows: read_rows, fact, written }
}

fn needs(draft: &Draft, keys: Option<&[TableKey]>) -> Vec<PartId> {
    let mut parts = Vec::new();
    for key in keys.into_iter().flatten() {
        let part = match key {
            TableKey::Place(part) => Some(*part),
            TableKey::Look(at) if at.place == PlaceAt::Here => draft.book.looks.get(at.look.index()).map(|look| look.part),
            TableKey::Look(_) => None,
        };
        if let Some(part) = part.filter(|part| !parts.contains(part)) {
            parts.push(part);
        }
    }
    parts
}

/// A key: a look with choices, or `PART.place`.
fn key(scope: &Scope, path: &Path) -> Option<TableKey> {
    if let [part, place] = &path.segments[..]
        && place.value == "place"
    {
        let id = scope.sink.keep(scope.names.part(part))?;
        return match scope.repeats(id) {
            Repeats::Fixed => Some(TableKey::Place(id)),
            Repeats::Single | Repeats::AsFound => {
                let says = format!("`{}` has no places with names, so no row can go by them.", part.value);
                scope.sink.push(Diagnostic::error("no-places", part.span, says).help("Go by a look instead."));
                None
            }
        };
    }
    let at: LookAt = scope.sink.keep(scope.look_at(&path.segments))?;
    let look = scope.look(at.look)?;
    match look.kind {
        LookKind::YesNo | LookKind::OneOf(_) => Some(TableKey::Look(at)),
        _ => {
            let says = format!("Rows go by a choice, a yes or no, or a place, and `{}` is none of these.", look.name);
            scope.sink.push(Diagnostic::error("wrong-kind", path.span, says).help("Go by a look that is `one of` some choices."));
            None
        }
    }
}

/// The keys of one row; `any` stands for all the rest.
fn cells(scope: &Scope, keys: &[Option<TableKey>], written: &[Name], row: Span) -> Option<Vec<RowKey>> {
    if written.len() != keys.len() {
        let span = keys_span(written, row);
        let says = format!("This row has {}, and the table goes by {}.", counted(written.len(), "key"), keys.len());
        scope.sink.push(
            Diagnostic::error("wrong-count", span, says)
                .help("Write one key for each look or place after `by`, with commas between."),
        );
        return None;
    }
    let cells: Vec<Option<RowKey>> = keys.iter().zip(written).map(|(key, word)| cell(scope, (*key)?, word)).collect();
    cells.into_iter().collect()
}

fn cell(scope: &Scope, key: TableKey, word: &Spanned<String>) -> Option<RowKey> {
    match key {
        // A place or choice that is really called `any` cannot be: it is one of the small words.
        _ if word.value == "any" => Some(RowKey::Any),
        TableKey::Place(part) => scope.sink.keep(scope.names.place(part, word)).map(|place| RowKey::Is(place.index())),
        TableKey::Look(_) if ["else", "other", "others", "rest", "default", "otherwise"].contains(&word.value.as_str()) => {
            let says = format!("`{}` is no key of a row.", word.value);
            scope.sink.push(Diagnostic::error("unknown-choice", word.span, says).help("Write `any` for all the rest.").fix(
                "Write `any`",
                false,
                word.span,
                "any",
            ));
            None
        }
        TableKey::Look(at) => {
            let look = scope.look(at.look)?;
            choices_of(scope, at.look, look, std::slice::from_ref(word))?.first().map(|&index| RowKey::Is(index))
        }
    }
}

/// A row's value: a number or a range.
fn constant(scope: &Scope, written: &Expr) -> Option<Typed> {
    if matches!(written.kind, ExprKind::Quantity(_) | ExprKind::Range(..)) {
        return value(scope, &Facts::default(), written);
    }
    scope.sink.push(
        Diagnostic::error("not-constant", written.span, "A row gives a number or a range, and this is neither.")
            .help("Write the figure, and do the arithmetic where the table is used."),
    );
    None
}

fn unlike(table: &str, first: &Typed, typed: &Typed) -> Diagnostic {
    let says = format!("All rows of `{table}` give {}, and this one gives {}.", first.dimension, typed.dimension);
    Diagnostic::error("unit-mismatch", typed.span, says)
        .label(typed.dimension.to_string())
        .help(if first.dimension == Dimension::NUMBER {
            "Write a number without a unit.".to_owned()
        } else {
            like_help(first.dimension, typed.dimension)
        })
        .place(first.span, first.dimension.to_string())
}

fn keys_span(keys: &[Name], row: Span) -> Span {
    keys.first().zip(keys.last()).map_or(row, |(first, last)| first.span.to(last.span))
}

/// `1 key`, `3 keys`.
pub fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}
