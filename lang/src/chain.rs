//! One rulebook out of a chain of them: `builds on`, `alter` and `without`, laid into one list of entries.
//!
//! The chain is laid down from the furthest ancestor. In each rulebook the items dropped by `without` go first, then
//! what `alter` changes is changed, then its own items are added, wherever they stand in the text. Nothing is merged
//! by guesswork: a name that is there already, or is not there to be changed, is an error.

mod change;
mod head;
mod idle;
mod target;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use rustc_hash::FxHashMap;

use crate::book::{Change, Origin, Parent};
use crate::diagnostic::Diagnostic;
use crate::resolve::noted::Role;
use crate::span::Span;
use crate::syntax::tree::{Doing, Entry, Item, Kind, Text, Tree};
pub(crate) use change::key as clause_key;
use target::Found;

/// A chain of rulebooks laid into one.
#[derive(Debug, Clone, Default)]
pub struct Merged {
    /// The rulebook's own head: `edition`, `keeper` and `builds on` are its own; `money`, `language` and
    /// `least charge` are the nearest ancestor's where it says nothing.
    pub rulebook: Option<Entry>,
    /// All notices, the furthest ancestor's first.
    pub notices: Vec<Text>,
    /// The rulebooks it is built on, nearest first.
    pub parents: Vec<Parent>,
    /// Every entry but rulebook heads and examples: the furthest ancestor's first, each list in the order written.
    /// At most one of each ladder; names are unique within a kind (`part` and `context` share theirs).
    pub entries: Vec<Arc<Entry>>,
    /// The rulebook's own examples.
    pub examples: Vec<Arc<Entry>>,
    /// The ancestors' examples, the furthest ancestor's first.
    pub inherited_examples: Vec<Arc<Entry>>,
    /// What was dropped, in the order in which it was.
    pub dropped: Vec<Dropped>,
    /// What there is to say of the chain itself.
    pub diagnostics: Vec<Diagnostic>,
    /// Names of one thing: a name that alters, drops or replaces it, what it does, and its name until then.
    pub(crate) alike: Vec<(Span, Role, Span)>,
    rulebook_names: Vec<String>,
    origins: FxHashMap<Span, Origin>,
}

/// Something that a `without` dropped, or a rung that a ladder written anew leaves out. It may have been given anew since.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Dropped {
    /// What it was.
    pub kind: Kind,
    /// Its name; `PART.NAME` for a look or place, `FINDING.NAME` for a way.
    pub name: String,
    /// Where it was written.
    pub written: Span,
    /// The rulebook that dropped it.
    pub rulebook: String,
    /// The `without` line, or that of the ladder.
    pub span: Span,
    /// The reason given.
    pub because: String,
}

impl Merged {
    /// Where an entry (an item, or a step, hand, tier, place, look or way in one) was first written, and the changes
    /// made to it since.
    pub fn origin(&self, entry: &Entry) -> Origin {
        let span = entry.name_span();
        self.origins.get(&span).cloned().unwrap_or_else(|| Origin {
            span,
            rulebook: self.rulebook_names.get(usize::from(span.file.0)).cloned().unwrap_or_default(),
            changes: Vec::new(),
        })
    }

    /// Notes the names on the line of an `alter` or a `without`, which is aimed at what was found.
    fn aimed(&mut self, written: &Entry, found: Found) {
        if let (Some(name), Some(before)) = (&written.name, target::at(&self.entries, found)) {
            self.alike.push((name.span, Role::Changes, before.name_span()));
        }
        if let (Some(owner), Found::Inside(at, _)) = (&written.owner, found)
            && let Some(before) = self.entries.get(at)
        {
            self.alike.push((owner.span, Role::Uses, before.name_span()));
        }
    }

    /// Adds a change to an entry whose name stands at `span`.
    fn changed(&mut self, entry: &Entry, change: Change) {
        let mut origin = self.origin(entry);
        origin.changes.push(change);
        self.origins.insert(entry.name_span(), origin);
    }
}

/// Lays a chain of rulebooks into one. The first is the rulebook itself, the second its parent, and so on; the spans of
/// each point into a text of its own, in the same order.
pub fn merge(chain: &[Tree]) -> Merged {
    let mut merged = Merged {
        rulebook_names: chain.iter().map(|tree| tree.rulebook().map_or("", Entry::name_text).to_owned()).collect(),
        ..Merged::default()
    };
    head::heads(&mut merged, chain);
    for (level, tree) in chain.iter().enumerate().rev() {
        Layer { tree, own: level == 0 }.lay(&mut merged);
    }
    merged.diagnostics.sort_by_key(|diagnostic| (diagnostic.span.file, diagnostic.span.start));
    merged
}

/// Whether there is something that an `alter` or a `without` like this one would be aimed at.
pub fn finds(entries: &[Arc<Entry>], wanted: &Entry) -> bool {
    target::find(entries, wanted).is_some()
}

/// One rulebook of the chain on its way into the whole.
struct Layer<'t> {
    tree: &'t Tree,
    /// Whether it is the rulebook itself and no ancestor.
    own: bool,
}

impl Layer<'_> {
    fn name(&self) -> String {
        self.tree.rulebook().map_or("", Entry::name_text).to_owned()
    }

    fn lay(&self, merged: &mut Merged) {
        let changing = |item: &&Item| item.doing != Doing::Writes;
        if self.tree.builds_on().is_none() {
            merged.diagnostics.extend(self.tree.items.iter().filter(changing).map(nothing_to_change));
        } else {
            self.drops(merged);
            self.alters(merged);
        }
        self.write(merged);
    }

    fn drops(&self, merged: &mut Merged) {
        for item in &self.tree.items {
            if let Doing::Drops { keyword, because } = &item.doing {
                self.drop(merged, &item.entry, *keyword, because.as_ref());
            }
        }
    }

    fn alters(&self, merged: &mut Merged) {
        let mut seen: FxHashMap<String, Span> = FxHashMap::default();
        for item in &self.tree.items {
            let Doing::Alters { keyword, because } = &item.doing else { continue };
            let what = target::described(&item.entry);
            if let Some(first) = seen.get(&what) {
                let says = format!("{what} is altered twice in this rulebook.");
                merged.diagnostics.push(
                    Diagnostic::error("altered-twice", item.entry.name_span(), says)
                        .help("Put the two together.")
                        .place(*first, "the first one"),
                );
                continue;
            }
            seen.insert(what, *keyword);
            self.alter(merged, &item.entry, *keyword, because.as_ref());
        }
    }

    fn drop(&self, merged: &mut Merged, entry: &Entry, keyword: Span, because: Option<&Text>) {
        if entry.name.is_none() {
            return;
        }
        let Some(found) = target::find(&merged.entries, entry) else {
            let unknown = target::unknown(merged, entry, self.tree, "without");
            merged.diagnostics.push(unknown);
            return;
        };
        merged.aimed(entry, found);
        let gone = match found {
            Found::Item(at) => Some(Arc::unwrap_or_clone(merged.entries.remove(at))),
            Found::Inside(at, clause) => target::take(Arc::make_mut(&mut merged.entries[at]), clause),
        };
        let Some(gone) = gone else { return };
        let owner = entry.owner.as_ref().map_or(String::new(), |owner| format!("{}.", owner.value));
        let name = format!("{owner}{}", gone.name_text());
        let because = because.map_or(String::new(), |because| because.value.clone());
        let dropped = Dropped {
            kind: entry.kind,
            name,
            written: gone.name_span(),
            rulebook: self.name(),
            span: keyword.to(entry.line),
            because,
        };
        // What loses a part of itself is changed by it.
        if let Found::Inside(at, _) = found
            && let Some(owner) = merged.entries.get(at).cloned()
        {
            let what = vec![format!("without {} {}", entry.kind.word(), gone.name_text())];
            let change = Change { rulebook: self.name(), span: dropped.span, what, because: dropped.because.clone() };
            merged.changed(&owner, change);
        }
        merged.dropped.push(dropped);
    }

    fn alter(&self, merged: &mut Merged, entry: &Entry, keyword: Span, because: Option<&Text>) {
        let ladder = matches!(entry.kind, Kind::Urgency | Kind::Hands | Kind::Tiers);
        if entry.name.is_none() && !ladder {
            return;
        }
        let Some(found) = target::find(&merged.entries, entry) else {
            let unknown = target::unknown(merged, entry, self.tree, "alter");
            merged.diagnostics.push(unknown);
            return;
        };
        merged.aimed(entry, found);
        if self.own
            && let Some(before) = target::at(&merged.entries, found)
        {
            let idle = idle::idle(self.tree, entry, before);
            merged.diagnostics.extend(idle);
        }
        let change = |what: Vec<String>| Change {
            rulebook: self.name(),
            span: keyword.to(entry.line),
            what,
            because: because.map_or(String::new(), |because| because.value.clone()),
        };
        let mut entries = std::mem::take(&mut merged.entries);
        let target = match found {
            Found::Item(at) => entries.get_mut(at).map(Arc::make_mut),
            Found::Inside(at, clause) => entries.get_mut(at).and_then(|owner| target::inner(Arc::make_mut(owner), clause)),
        };
        if let Some(target) = target {
            if ladder {
                change::ladder(merged, target, entry, &change);
            } else {
                change::entry(merged, target, entry, &change);
            }
        }
        merged.entries = entries;
    }

    /// Adds the items that the rulebook itself writes.
    fn write(&self, merged: &mut Merged) {
        let mut names: FxHashMap<(Kind, String), usize> =
            merged.entries.iter().enumerate().map(|(at, entry)| (slot(entry), at)).collect();
        let mut rulebook: Option<Span> = None;
        for item in self.tree.items.iter().filter(|item| matches!(item.doing, Doing::Writes)) {
            let entry = &item.entry;
            match entry.kind {
                Kind::Rulebook => {
                    if let Some(first) = rulebook.replace(entry.name_span()) {
                        merged.diagnostics.push(
                            Diagnostic::error(
                                "rulebook-twice",
                                entry.name_span(),
                                "A text is one rulebook, and this is a second one.",
                            )
                            .help("Put it into a file of its own.")
                            .place(first, "the first one"),
                        );
                    }
                }
                Kind::Example if self.own => merged.examples.push(Arc::clone(entry)),
                Kind::Example => merged.inherited_examples.push(Arc::clone(entry)),
                // One whose name was lost to an error is handed on: a name that nobody has may be the one lost.
                _ if entry.name.is_none() && !is_ladder(entry.kind) => merged.entries.push(Arc::clone(entry)),
                _ => match names.get(&slot(entry)) {
                    Some(&at) => {
                        let taken = self.taken(merged, entry, at);
                        merged.diagnostics.push(taken);
                    }
                    None => {
                        names.insert(slot(entry), merged.entries.len());
                        merged.entries.push(Arc::clone(entry));
                    }
                },
            }
        }
    }

    /// A name that is there already.
    fn taken(&self, merged: &Merged, entry: &Entry, at: usize) -> Diagnostic {
        let span = entry.name_span();
        let what = target::described(entry);
        let Some(first) = merged.entries.get(at) else {
            return Diagnostic::error("name-twice", span, format!("{what} is written twice."));
        };
        let place = first.name_span();
        if place.file == self.tree.file {
            return Diagnostic::error("name-twice", span, format!("{what} is written twice."))
                .help(if is_ladder(entry.kind) { "Put the two together." } else { "Give one of the two another name." })
                .place(place, "first written here");
        }
        let rulebook = merged.origin(first).rulebook;
        let (word, name) = (entry.kind.word(), entry.name_text());
        let help = if is_ladder(entry.kind) {
            format!("Write `alter {word} because \"…\"` and the whole ladder below it.")
        } else {
            format!(
                "Write `alter {word} {name} because \"…\"` to change it, or `without {word} {name} because \"…\"` first to give \
                 the name anew."
            )
        };
        Diagnostic::error("name-taken", span, format!("{what} is already written in {rulebook}, on which this rulebook builds."))
            .help(help)
            .place(place, "written here")
    }
}

fn is_ladder(kind: Kind) -> bool {
    matches!(kind, Kind::Urgency | Kind::Hands | Kind::Tiers)
}

/// What a name must be unique in.
fn slot(entry: &Entry) -> (Kind, String) {
    (target::shared(entry.kind), entry.name_text().to_owned())
}

fn nothing_to_change(item: &Item) -> Diagnostic {
    let (says, keyword) = match &item.doing {
        Doing::Drops { keyword, .. } => ("`without` drops something of the rulebook that this one builds on", *keyword),
        Doing::Alters { keyword, .. } => ("`alter` changes something of the rulebook that this one builds on", *keyword),
        Doing::Writes => ("", item.entry.keyword),
    };
    Diagnostic::error("builds-on-nothing", keyword, format!("{says}, and this one builds on none."))
        .help("Write `builds on NAME edition E` under `rulebook`, or change the item itself.")
}
