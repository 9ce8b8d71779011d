//! Which items two rulebooks have, and what those of one name say differently.

use std::sync::Arc;

use rustc_hash::FxHashMap;

use super::clauses::{ClauseChange, clauses, names};
use crate::chain::Merged;
use crate::span::Span;
use crate::syntax::tree::{Clause, Entry, Kind, Says};

/// One item, or an entry with a name within one, that is not the same in both.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ItemChange {
    /// What it is.
    pub kind: Kind,
    /// Its name; `PART.LOOK` and the like for what is within an item. Ladders have none.
    pub name: String,
    /// What became of it.
    pub how: How,
    /// Reasons that the rulebooks of the new chain give for changing or dropping it, each with the rulebook.
    pub reasons: Vec<(String, String)>,
}

/// What became of an item.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum How {
    /// Only the new one has it; its own line there.
    Added(Span),
    /// Only the old one has it; its own line there.
    Dropped(Span),
    /// Both have it, and they say this differently.
    Changed(Vec<ClauseChange>),
}

impl ItemChange {
    /// Whether it is no more than words that changed.
    pub fn only_words(&self) -> bool {
        matches!(&self.how, How::Changed(clauses) if clauses.iter().all(|clause| clause.only_words))
    }
}

/// What is not the same in two chains of rulebooks, each laid into one: in the order of the old one, what was added last.
/// Examples are left out; they say what a rulebook comes to and change nothing.
pub fn items(old: &Merged, new: &Merged) -> Vec<ItemChange> {
    let mut changes = Vec::new();
    head(old, new, &mut changes);
    let listed = |merged: &Merged| -> Vec<(Slot, Arc<Entry>)> {
        merged.entries.iter().map(|entry| (slot(entry), Arc::clone(entry))).collect()
    };
    let (before, after) = (listed(old), listed(new));
    let compared = Compared { old, new, owner: String::new() };
    compared.lists(&before, &after, &mut changes);
    changes
}

/// What a name must be unique in: kind and name.
type Slot = (Kind, String);

fn slot(entry: &Entry) -> Slot {
    // A context that became a part is still the same thing, and is told to have changed.
    let kind = if entry.kind == Kind::Context { Kind::Part } else { entry.kind };
    (kind, entry.name_text().to_owned())
}

/// Two lists of entries on their way to be compared, within an item or not.
struct Compared<'a> {
    old: &'a Merged,
    new: &'a Merged,
    /// `PART.` for what is within a part.
    owner: String,
}

impl Compared<'_> {
    fn lists(&self, before: &[(Slot, Arc<Entry>)], after: &[(Slot, Arc<Entry>)], changes: &mut Vec<ItemChange>) {
        let there: FxHashMap<&Slot, &Arc<Entry>> = after.iter().map(|(slot, entry)| (slot, entry)).collect();
        let was: FxHashMap<&Slot, &Arc<Entry>> = before.iter().map(|(slot, entry)| (slot, entry)).collect();
        for (slot, entry) in before {
            match there.get(slot) {
                Some(now) => self.pair(entry, now, changes),
                None => changes.push(self.change(entry, How::Dropped(entry.line), self.dropped(entry))),
            }
        }
        for (_, entry) in after.iter().filter(|(slot, _)| !was.contains_key(slot)) {
            changes.push(self.change(entry, How::Added(entry.line), self.reasons(entry, None)));
        }
    }

    /// Two entries of one name.
    fn pair(&self, old: &Entry, new: &Entry, changes: &mut Vec<ItemChange>) {
        let mut differing = clauses(old, new, &|entry| {
            let merged = if std::ptr::eq(entry, old) { self.old } else { self.new };
            line(merged, entry)
        });
        let ladder = matches!(new.kind, Kind::Urgency | Kind::Hands | Kind::Tiers);
        if old.kind != new.kind {
            differing.push(ClauseChange { word: "kind".to_owned(), old: vec![old.line], new: vec![new.line], only_words: false });
        }
        if ladder && placed(old, new) || new.kind == Kind::Finding && counted(old, new) {
            let lines = |entry: &Entry| within(entry).map(|(_, entry)| entry.line).collect();
            differing.push(ClauseChange { word: "order".to_owned(), old: lines(old), new: lines(new), only_words: false });
        }
        if !differing.is_empty() {
            let reasons = self.reasons(new, Some(&differing));
            changes.push(self.change(new, How::Changed(differing), reasons));
        }
        let owner = if ladder { String::new() } else { format!("{}{}.", self.owner, new.name_text()) };
        let inner = Compared { old: self.old, new: self.new, owner };
        let list = |entry: &Entry| within(entry).collect::<Vec<_>>();
        inner.lists(&list(old), &list(new), changes);
    }

    fn change(&self, entry: &Entry, how: How, reasons: Vec<(String, String)>) -> ItemChange {
        ItemChange { kind: entry.kind, name: format!("{}{}", self.owner, entry.name_text()), how, reasons }
    }

    /// The reasons that the new chain gives where it altered an entry; only those that concern these clauses, if any do.
    fn reasons(&self, entry: &Entry, differing: Option<&[ClauseChange]>) -> Vec<(String, String)> {
        let origin = self.new.origin(entry);
        let concerns = |what: &[String]| {
            differing.is_none_or(|clauses| {
                clauses
                    .iter()
                    .any(|clause| what.iter().any(|what| *what == clause.word || (what == "per h" && clause.word == "rate")))
            })
        };
        let given = |all: bool| {
            let mut reasons: Vec<(String, String)> = Vec::new();
            for change in origin.changes.iter().filter(|change| all || concerns(&change.what)) {
                let reason = (change.rulebook.clone(), change.because.clone());
                if !change.because.is_empty() && !reasons.contains(&reason) {
                    reasons.push(reason);
                }
            }
            reasons
        };
        let reasons = given(false);
        if reasons.is_empty() && differing.is_some() { given(true) } else { reasons }
    }

    /// The reason that the new chain gives for leaving an entry out.
    fn dropped(&self, entry: &Entry) -> Vec<(String, String)> {
        let name = format!("{}{}", self.owner, entry.name_text());
        let same = |kind: Kind| slot_kind(kind) == slot_kind(entry.kind);
        let dropped = self.new.dropped.iter().rev().find(|dropped| same(dropped.kind) && dropped.name == name);
        dropped
            .filter(|dropped| !dropped.because.is_empty())
            .map(|dropped| (dropped.rulebook.clone(), dropped.because.clone()))
            .into_iter()
            .collect()
    }
}

fn slot_kind(kind: Kind) -> Kind {
    if kind == Kind::Context { Kind::Part } else { kind }
}

/// Where the kind of answer of a look was written last: on its own line, or on that of an `alter`.
fn line(merged: &Merged, entry: &Entry) -> Span {
    let changes = merged.origin(entry).changes;
    let altered = changes.iter().rev().find(|change| change.what.iter().any(|what| what == "kind of answer"));
    altered.map_or(entry.line, |change| change.span)
}

/// The entries within an entry.
fn within(entry: &Entry) -> impl Iterator<Item = (Slot, Arc<Entry>)> + '_ {
    entry.clauses.iter().filter_map(|clause| match clause {
        Clause { says: Says::Entry(inner), .. } => Some((slot(inner), Arc::new((**inner).clone()))),
        _ => None,
    })
}

/// Whether the new ladder has a rung of its own, which its place gives its meaning, or those of both in another order.
fn placed(old: &Entry, new: &Entry) -> bool {
    order(old, new) || names(new).iter().any(|name| !names(old).contains(name))
}

/// Whether the ways that both have stand in another order, or another one is the first and counts.
fn counted(old: &Entry, new: &Entry) -> bool {
    let (before, after) = (names(old), names(new));
    order(old, new) || (!before.is_empty() && !after.is_empty() && before.first() != after.first())
}

/// Whether the names that both have stand in another order.
fn order(old: &Entry, new: &Entry) -> bool {
    let (before, after) = (names(old), names(new));
    let both = |names: &[&str], other: &[&str]| -> Vec<String> {
        names.iter().filter(|name| other.contains(name)).map(|name| (*name).to_owned()).collect()
    };
    both(&before, &after) != both(&after, &before)
}

/// What the heads say differently: title, keeper, money, least charge, notices.
fn head(old: &Merged, new: &Merged, changes: &mut Vec<ItemChange>) {
    let (Some(before), Some(after)) = (&old.rulebook, &new.rulebook) else { return };
    let mut differing = clauses(before, after, &|entry| entry.line);
    let said = |merged: &Merged| merged.notices.iter().map(|notice| notice.value.clone()).collect::<Vec<_>>();
    if said(old) != said(new) {
        let lines = |here: &Merged, there: &Merged| {
            let told = said(there);
            here.notices.iter().filter(|notice| !told.contains(&notice.value)).map(|notice| notice.span).collect()
        };
        differing.push(ClauseChange { word: "notice".to_owned(), old: lines(old, new), new: lines(new, old), only_words: true });
    }
    if !differing.is_empty() {
        let name = after.name_text().to_owned();
        changes.push(ItemChange { kind: Kind::Rulebook, name, how: How::Changed(differing), reasons: Vec::new() });
    }
}
