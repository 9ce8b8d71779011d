//! What an `alter` or a `without` is aimed at.

use std::sync::Arc;

use super::Merged;
use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::syntax::tree::{Doing, Entry, Kind, Says, Tree};

/// Where a target stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Found {
    /// An item, by its index.
    Item(usize),
    /// A clause of an item, by both indices.
    Inside(usize, usize),
}

/// Kinds that share their names.
pub(super) fn shared(kind: Kind) -> Kind {
    if kind == Kind::Context { Kind::Part } else { kind }
}

/// The kind of the item that holds entries of a kind, where it is not an item itself.
fn holder(kind: Kind) -> Option<Kind> {
    match kind {
        Kind::Step => Some(Kind::Urgency),
        Kind::Hand => Some(Kind::Hands),
        Kind::Tier => Some(Kind::Tiers),
        Kind::Look | Kind::Place => Some(Kind::Part),
        Kind::Way => Some(Kind::Finding),
        _ => None,
    }
}

/// Finds what `wanted` names.
pub(super) fn find(entries: &[Arc<Entry>], wanted: &Entry) -> Option<Found> {
    let name = wanted.name_text();
    let Some(holder) = holder(wanted.kind) else {
        let same = |entry: &Arc<Entry>| shared(entry.kind) == shared(wanted.kind) && entry.name_text() == name;
        return entries.iter().position(same).map(Found::Item);
    };
    let owner = wanted.owner.as_ref().map(|owner| owner.value.as_str());
    let at =
        entries.iter().position(|entry| shared(entry.kind) == holder && owner.is_none_or(|owner| entry.name_text() == owner))?;
    let clause = entries[at].clauses.iter().position(|clause| match &clause.says {
        Says::Entry(inner) => inner.kind == wanted.kind && inner.name_text() == name,
        _ => false,
    })?;
    Some(Found::Inside(at, clause))
}

/// What stands there.
pub(super) fn at(entries: &[Arc<Entry>], found: Found) -> Option<&Entry> {
    match found {
        Found::Item(at) => entries.get(at).map(|entry| &**entry),
        Found::Inside(at, clause) => match &entries.get(at)?.clauses.get(clause)?.says {
            Says::Entry(inner) => Some(inner),
            _ => None,
        },
    }
}

/// The entry in a clause.
pub(super) fn inner(entry: &mut Entry, clause: usize) -> Option<&mut Entry> {
    match &mut entry.clauses.get_mut(clause)?.says {
        Says::Entry(inner) => Some(inner),
        _ => None,
    }
}

/// Takes the entry in a clause out.
pub(super) fn take(entry: &mut Entry, clause: usize) -> Option<Entry> {
    match entry.clauses.get(clause)?.says {
        Says::Entry(_) => match entry.clauses.remove(clause).says {
            Says::Entry(inner) => Some(*inner),
            _ => None,
        },
        _ => None,
    }
}

/// How a message names an entry.
pub(super) fn described(entry: &Entry) -> String {
    let owner = entry.owner.as_ref().map_or(String::new(), |owner| format!("{}.", owner.value));
    match entry.kind {
        Kind::Urgency | Kind::Hands | Kind::Tiers => format!("The ladder `{}`", entry.kind.word()),
        kind => format!("The {} `{owner}{}`", kind.word(), entry.name_text()),
    }
}

/// An `alter` or `without` of something that is not there.
pub(super) fn unknown(merged: &Merged, wanted: &Entry, tree: &Tree, verb: &str) -> Diagnostic {
    let span = wanted.name_span();
    let says = format!("{} is not in a rulebook that this one builds on.", described(wanted));
    let dropped = merged.dropped.iter().rev().find(|dropped| {
        let owner = wanted.owner.as_ref().map_or(String::new(), |owner| format!("{}.", owner.value));
        shared(dropped.kind) == shared(wanted.kind) && dropped.name == format!("{owner}{}", wanted.name_text())
    });
    let diagnostic = Diagnostic::error("unknown-name", span, says);
    let rung = match wanted.kind {
        Kind::Urgency => Some(Kind::Step),
        Kind::Hands => Some(Kind::Hand),
        Kind::Tiers => Some(Kind::Tier),
        _ => None,
    };
    if let (Some(rung), Some(name)) = (rung, &wanted.name) {
        return diagnostic.help(format!("Write `{verb} {} {}` for one of its rungs.", rung.word(), name.value));
    }
    if let Some(dropped) = dropped {
        return diagnostic
            .help(format!("Write it anew as an item of its own: {} dropped it, {}.", dropped.rulebook, reason(&dropped.because)))
            .place(dropped.span, "dropped here");
    }
    let own = tree.items.iter().find(|item| {
        matches!(item.doing, Doing::Writes)
            && shared(item.entry.kind) == shared(wanted.kind)
            && item.entry.name_text() == wanted.name_text()
            && wanted.name.is_some()
    });
    if let Some(own) = own {
        return diagnostic
            .help(format!("Change it where this rulebook writes it itself, and take the `{verb}` out."))
            .place(own.entry.name_span(), "written here");
    }
    let owner = wanted.owner.as_ref().filter(|owner| {
        let kind = holder(wanted.kind);
        !merged.entries.iter().any(|entry| Some(shared(entry.kind)) == kind && entry.name_text() == owner.value)
    });
    if let Some(owner) = owner {
        let kind = holder(wanted.kind).unwrap_or(wanted.kind);
        let names = merged.entries.iter().filter(|entry| shared(entry.kind) == kind).map(|entry| entry.name_text());
        let mut diagnostic = Diagnostic { span: owner.span, ..diagnostic };
        diagnostic.says = format!("The {} `{}` is not in a rulebook that this one builds on.", kind.word(), owner.value);
        return near(diagnostic, &owner.value, names);
    }
    if let (Some(holder), None, Some(name)) = (holder(wanted.kind), &wanted.owner, &wanted.name) {
        let holders = merged.entries.iter().filter(|entry| shared(entry.kind) == holder);
        let with = holders.filter(|entry| entry.entries(wanted.kind).any(|inner| inner.name_text() == name.value));
        let full: Vec<String> = with.map(|entry| format!("{}.{}", entry.name_text(), name.value)).collect();
        match full.as_slice() {
            [] => {}
            [only] => return diagnostic.help(format!("Write `{only}`.")).fix(format!("Write `{only}`"), false, span, only),
            several if several.len() <= MOST_NAMED => {
                let several: Vec<&str> = several.iter().map(String::as_str).collect();
                return diagnostic.help(format!("Name one that is there: {}.", list(&several)));
            }
            _ => return diagnostic.help(format!("Write the part's name before it: `PART.{}`.", name.value)),
        }
    }
    let names: Vec<&str> = match holder(wanted.kind) {
        None => merged
            .entries
            .iter()
            .filter(|entry| shared(entry.kind) == shared(wanted.kind))
            .map(|entry| entry.name_text())
            .collect(),
        Some(holder) => merged
            .entries
            .iter()
            .filter(|entry| shared(entry.kind) == holder)
            .filter(|entry| wanted.owner.as_ref().is_none_or(|owner| owner.value == entry.name_text()))
            .flat_map(|entry| entry.entries(wanted.kind).map(Entry::name_text))
            .collect(),
    };
    near(diagnostic, wanted.name_text(), names)
}

/// The most names that a message lists.
const MOST_NAMED: usize = 8;

/// `a`, `b` and `c`
fn list(names: &[&str]) -> String {
    let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
    match quoted.as_slice() {
        [] => String::new(),
        [only] => only.clone(),
        [front @ .., last] => format!("{} and {last}", front.join(", ")),
    }
}

fn near<'n>(diagnostic: Diagnostic, written: &str, names: impl IntoIterator<Item = &'n str>) -> Diagnostic {
    let span = diagnostic.span;
    let names: Vec<&str> = names.into_iter().filter(|name| !name.is_empty()).collect();
    match nearest(written, names.iter().copied()) {
        Some(near) => diagnostic.help(format!("Write `{near}`.")).fix(format!("Write `{near}`"), false, span, near),
        None if names.is_empty() || names.len() > MOST_NAMED => {
            diagnostic.help("Name something that the rulebook it builds on has.")
        }
        None => diagnostic.help(format!("Name one that is there: {}.", list(&names))),
    }
}

fn reason(because: &str) -> String {
    if because.is_empty() { "without a reason".to_owned() } else { format!("because \"{because}\"") }
}
