//! Which thing each name in the texts stands for, noted where names are defined and looked up, so that nobody has to look
//! a name up a second time.

use std::sync::{Mutex, PoisonError};

use rustc_hash::{FxHashMap, FxHashSet};

use crate::book::{
    AidId, CounselId, FindingId, HandId, LookId, PartId, PlaceId, RaiseId, ReckonId, StepId, TableId, TierId, WorkId,
};
use crate::span::{FileId, Span};

/// What a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Target {
    /// A rulebook of the chain.
    Rulebook(FileId),
    /// A step of the urgency ladder.
    Step(StepId),
    /// A hand.
    Hand(HandId),
    /// A tier.
    Tier(TierId),
    /// A part or context.
    Part(PartId),
    /// A fixed place of a part.
    Place(PartId, PlaceId),
    /// A look.
    Look(LookId),
    /// A choice of a look, by its index.
    Choice(LookId, u32),
    /// A table.
    Table(TableId),
    /// A reckoning.
    Reckon(ReckonId),
    /// A bench step.
    Work(WorkId),
    /// A finding.
    Finding(FindingId),
    /// A way of a finding, by its index.
    Way(FindingId, u32),
    /// A raise.
    Raise(RaiseId),
    /// A counsel.
    Counsel(CounselId),
    /// A repair fund.
    Aid(AidId),
    /// What a `without` dropped, by its index in [`Merged::dropped`](crate::chain::Merged::dropped).
    Dropped(u32),
}

impl Target {
    /// A choice of a look, by its index.
    pub fn choice(look: LookId, index: usize) -> Self {
        Target::Choice(look, u32::try_from(index).unwrap_or(u32::MAX))
    }
}

/// What a name does where it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// The thing is written there, or written again by a rulebook built on the one that has it.
    Writes,
    /// The thing is altered or dropped there.
    Changes,
    /// The thing is used there.
    Uses,
}

/// A name in a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Note {
    /// The name.
    pub span: Span,
    /// What it stands for.
    pub target: Target,
    /// What it does there.
    pub role: Role,
}

/// The notes taken so far. A name that is looked up twice may be noted twice.
#[derive(Debug, Default)]
pub struct Notes(Mutex<Vec<Note>>);

impl Notes {
    /// Notes a use.
    pub fn uses(&self, span: Span, target: Target) {
        self.add(span, target, Role::Uses);
    }

    /// Notes where something is written.
    pub fn writes(&self, span: Span, target: Target) {
        self.add(span, target, Role::Writes);
    }

    fn add(&self, span: Span, target: Target, role: Role) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push(Note { span, target, role });
    }

    /// All notes in the order of the texts, each name once. `alike` are names of which the chain knows that they stand for
    /// the same: a name, what it does, and the other name.
    pub(crate) fn sorted(&self, alike: &[(Span, Role, Span)]) -> Vec<Note> {
        let mut notes = self.0.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let asked: FxHashSet<Span> = alike.iter().flat_map(|(span, _, same)| [*span, *same]).collect();
        let of_them = notes.iter().rev().filter(|note| asked.contains(&note.span));
        let mut known: FxHashMap<Span, Target> = of_them.map(|note| (note.span, note.target)).collect();
        // A later change speaks of what an earlier one left, so the last comes first.
        for &(span, role, same) in alike.iter().rev() {
            let (span, role, target) = match (known.get(&span), known.get(&same)) {
                (None, Some(&target)) => (span, role, target),
                (Some(&target), None) => (same, Role::Writes, target),
                _ => continue,
            };
            known.insert(span, target);
            notes.push(Note { span, target, role });
        }
        notes.sort_unstable();
        notes.dedup_by_key(|note| note.span);
        notes
    }
}
