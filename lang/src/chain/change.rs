//! An `alter` applied: what is written again, and what stays.

use super::{Dropped, Merged};
use crate::book::{Change, Origin};
use crate::diagnostic::Diagnostic;
use crate::resolve::noted::Role;
use crate::syntax::tree::{Clause, Entry, Head, Kind, LookKind, Says};

/// Replaces a ladder whole. A step, hand or tier that keeps its name keeps its origin.
pub(super) fn ladder(merged: &mut Merged, target: &mut Entry, written: &Entry, change: &dyn Fn(Vec<String>) -> Change) {
    let what = vec![written.kind.word().to_owned()];
    for rung in written.clauses.iter().filter_map(inner) {
        let before = target.clauses.iter().filter_map(inner).find(|before| before.name_text() == rung.name_text());
        if let Some(before) = before {
            inherit(merged, before, rung, change(what.clone()));
        }
    }
    let change = change(what);
    // A line that could not be read may be the rung that seems to be gone.
    let lost = written.clauses.iter().any(|clause| clause.says == Says::Broken);
    for gone in target.clauses.iter().filter(|_| !lost).filter_map(inner) {
        if written.clauses.iter().filter_map(inner).all(|rung| rung.name_text() != gone.name_text()) {
            merged.dropped.push(Dropped {
                kind: gone.kind,
                name: gone.name_text().to_owned(),
                written: gone.name_span(),
                rulebook: change.rulebook.clone(),
                span: change.span,
                because: change.because.clone(),
            });
        }
    }
    target.clauses = written.clauses.clone();
    merged.changed(target, change);
}

/// Changes an entry as far as `written` goes.
pub(super) fn entry(merged: &mut Merged, target: &mut Entry, written: &Entry, change: &dyn Fn(Vec<String>) -> Change) {
    let mut what = Vec::new();
    if !keeps_look(merged, target, written) {
        return;
    }
    choices(merged, target, written);
    if let Some(words) = &written.words {
        target.words = Some(words.clone());
        what.push("words".to_owned());
    }
    head(&mut target.head, &written.head, &mut what);
    target.broken |= written.broken;
    clauses(merged, target, written, &mut what, change);
    merged.changed(target, change(what));
}

/// Old records keep their meaning: the kind and unit of a look stay, and so do the choices it has.
fn keeps_look(merged: &mut Merged, before: &Entry, written: &Entry) -> bool {
    let (Head::Look { kind: Some(old) }, Head::Look { kind: Some(new) }) = (&before.head, &written.head) else { return true };
    let why = match (old, new) {
        (LookKind::Measured { unit: old, .. }, LookKind::Measured { unit: new, .. }) => (old.value != new.value).then(|| {
            (format!("it is measured in {}, and an `alter` keeps the unit.", old.value), format!("Measure it in {}.", old.value))
        }),
        (LookKind::OneOf(old), LookKind::OneOf(new)) | (LookKind::SomeOf(old), LookKind::SomeOf(new)) => {
            let gone = old.iter().find(|old| new.iter().all(|new| new.choice.value != old.choice.value));
            gone.map(|gone| {
                let says = format!("the choice `{}` is gone, and records may hold it.", gone.choice.value);
                (says, "Keep all choices there are; more may be added.".to_owned())
            })
        }
        _ if std::mem::discriminant(old) == std::mem::discriminant(new) => None,
        _ => Some((
            "it changes the kind of answer, and an `alter` keeps it.".to_owned(),
            "Give a new look a name of its own.".to_owned(),
        )),
    };
    let Some((why, help)) = why else { return true };
    let says = format!("The look `{}` would make old records mean something else: {why}", written.name_text());
    merged.diagnostics.push(
        Diagnostic::error("look-changes-kind", written.name_span(), says).help(help).place(before.line, "as it was written"),
    );
    false
}

/// Notes the choices of a look that are written again.
fn choices(merged: &mut Merged, before: &Entry, written: &Entry) {
    let of = |entry: &Entry| match &entry.head {
        Head::Look { kind: Some(LookKind::OneOf(choices) | LookKind::SomeOf(choices)) } => choices.clone(),
        _ => Vec::new(),
    };
    let old = of(before);
    for new in of(written) {
        if let Some(old) = old.iter().find(|old| old.choice.value == new.choice.value) {
            merged.alike.push((new.choice.span, Role::Writes, old.choice.span));
        }
    }
}

fn head(target: &mut Head, written: &Head, what: &mut Vec<String>) {
    match (target, written) {
        (Head::Work { amount, by, once }, Head::Work { amount: new_amount, by: new_by, once: new_once }) => {
            replace(amount, new_amount, "amount", what);
            replace(by, new_by, "by", what);
            replace(once, new_once, "once or each", what);
        }
        (Head::Part { apart }, Head::Part { apart: new }) => replace(apart, new, "apart", what),
        (Head::Table { by }, Head::Table { by: new }) if !new.is_empty() => {
            by.clone_from(new);
            what.push("by".to_owned());
        }
        (Head::Reckon { value }, Head::Reckon { value: new }) => replace(value, new, "as", what),
        (Head::Step { within, not_played }, Head::Step { within: new_within, not_played: new_not_played }) => {
            replace(within, new_within, "within", what);
            replace(not_played, new_not_played, "not to be played", what);
        }
        (Head::Hand { rate }, Head::Hand { rate: new }) => replace(rate, new, "per h", what),
        (Head::Tier { limit }, Head::Tier { limit: new }) => replace(limit, new, "limit", what),
        (Head::Place { only_when }, Head::Place { only_when: new }) => replace(only_when, new, "only when", what),
        (Head::Look { kind }, Head::Look { kind: new }) => replace(kind, new, "kind of answer", what),
        _ => {}
    }
}

fn replace<T: Clone>(old: &mut Option<T>, new: &Option<T>, word: &str, what: &mut Vec<String>) {
    if let Some(new) = new {
        *old = Some(new.clone());
        what.push(word.to_owned());
    }
}

/// A clause with a name of its own replaces the one of that name, or is added; of any other word the lines written
/// replace all lines there were.
fn clauses(
    merged: &mut Merged,
    target: &mut Entry,
    written: &Entry,
    what: &mut Vec<String>,
    change: &dyn Fn(Vec<String>) -> Change,
) {
    let mut cleared: Vec<&'static str> = Vec::new();
    for clause in &written.clauses {
        if let Some(key) = key(clause) {
            what.push(format!("{} {key}", clause.word));
            let at = target.clauses.iter().position(|old| old.word == clause.word && self::key(old).as_deref() == Some(&key));
            match at.and_then(|at| target.clauses.get_mut(at)) {
                Some(old) => named(merged, old, clause, change),
                None => target.clauses.push(clause.clone()),
            }
            continue;
        }
        if !cleared.contains(&clause.word) {
            cleared.push(clause.word);
            what.push(clause.word.to_owned());
            target.clauses.retain(|old| old.word != clause.word);
            if clause.word == "only when"
                && let Head::Place { only_when } = &mut target.head
            {
                *only_when = None;
            }
        }
        target.clauses.push(clause.clone());
    }
    // A finding's costs are told in one of three ways, and the one written now stands for the others.
    let costs = |word: &str| matches!(word, "work" | "goods" | "cost");
    if matches!(target.kind, Kind::Finding | Kind::Way) && cleared.iter().any(|word| costs(word)) {
        let free = cleared.contains(&"cost");
        target
            .clauses
            .retain(|clause| cleared.contains(&clause.word) || !costs(clause.word) || (free == (clause.word == "cost")));
    }
}

/// Replaces a clause that has a name of its own.
fn named(merged: &mut Merged, old: &mut Clause, new: &Clause, change: &dyn Fn(Vec<String>) -> Change) {
    if let (Some(before), Some(after)) = (inner(old), inner(new)) {
        if !keeps_look(merged, before, after) {
            return;
        }
        choices(merged, before, after);
        inherit(merged, before, after, change(vec![format!("{} {}", new.word, after.name_text())]));
    }
    *old = new.clone();
}

/// Gives an entry that replaces another the origin of the one it replaces, and the change.
fn inherit(merged: &mut Merged, before: &Entry, after: &Entry, change: Change) {
    let Origin { span, rulebook, mut changes } = merged.origin(before);
    changes.push(change);
    merged.alike.push((after.name_span(), Role::Writes, before.name_span()));
    merged.origins.insert(after.name_span(), Origin { span, rulebook, changes });
}

fn inner(clause: &Clause) -> Option<&Entry> {
    match &clause.says {
        Says::Entry(inner) => Some(inner),
        _ => None,
    }
}

/// The name of a clause that has one: an entry's, or a row's keys.
pub(crate) fn key(clause: &Clause) -> Option<String> {
    match &clause.says {
        Says::Entry(inner) => inner.name.as_ref().map(|name| name.value.clone()),
        Says::Row(row) => Some(row.keys.iter().map(|key| key.value.as_str()).collect::<Vec<_>>().join(", ")),
        _ => None,
    }
}
