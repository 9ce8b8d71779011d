//! Every name of a rulebook by its kind, and what to say when a name stands for nothing or for something else.

use std::cell::{Cell, RefCell};

use indexmap::IndexMap;
use strsim::damerau_levenshtein;

use super::dropped::DroppedName;
use super::noted::{Notes, Target};
use crate::book::{
    AidId, CounselId, FindingId, HandId, LookId, PartId, PlaceId, RaiseId, ReckonId, StepId, TableId, TierId, WorkId,
};
use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::span::{Span, Spanned};

/// The diagnostics found so far. Reading a rulebook never stops at one.
#[derive(Debug, Default)]
pub struct Sink {
    found: RefCell<Vec<Diagnostic>>,
    errors: Cell<usize>,
}

/// The slug of an error that comes of one told already; the [`Sink`] counts it and passes over it.
const TOLD_ALREADY: &str = "told-already";

impl Sink {
    /// Adds one.
    pub fn push(&self, diagnostic: Diagnostic) {
        self.errors.set(self.errors.get() + usize::from(diagnostic.is_error()));
        if diagnostic.slug != TOLD_ALREADY {
            self.found.borrow_mut().push(diagnostic);
        }
    }

    /// Adds several.
    pub fn extend(&self, diagnostics: impl IntoIterator<Item = Diagnostic>) {
        diagnostics.into_iter().for_each(|diagnostic| self.push(diagnostic));
    }

    /// How many errors there are so far, told or passed over: an item whose reading adds none is sound.
    pub fn errors(&self) -> usize {
        self.errors.get()
    }

    /// The value, or none after noting the error.
    pub fn keep<T>(&self, result: Result<T, Diagnostic>) -> Option<T> {
        result.map_err(|diagnostic| self.push(diagnostic)).ok()
    }

    /// All of them, in the order found.
    pub fn into_inner(self) -> Vec<Diagnostic> {
        self.found.into_inner()
    }
}

/// The kinds of things that have names of their own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NameKind {
    /// A step of the urgency ladder.
    Step,
    /// A hand.
    Hand,
    /// A tier.
    Tier,
    /// A part or context.
    Part,
    /// A table.
    Table,
    /// A reckoning.
    Reckon,
    /// A bench step.
    Work,
    /// A finding.
    Finding,
    /// A raise.
    Raise,
    /// A counsel.
    Counsel,
    /// A repair fund.
    Aid,
}

impl NameKind {
    /// The kind with its article, for a sentence.
    pub fn a(self) -> &'static str {
        match self {
            NameKind::Step => "a step of the urgency ladder",
            NameKind::Hand => "a hand",
            NameKind::Tier => "a tier",
            NameKind::Part => "a part",
            NameKind::Table => "a table",
            NameKind::Reckon => "a reckoning",
            NameKind::Work => "a bench step",
            NameKind::Finding => "a finding",
            NameKind::Raise => "a raise",
            NameKind::Counsel => "a counsel",
            NameKind::Aid => "a repair fund",
        }
    }

    /// The kind without an article.
    pub fn bare(self) -> &'static str {
        self.a().split_once(' ').map_or("", |(_, kind)| kind)
    }
}

/// The names of one kind, with their numbers and where each was first written.
#[derive(Debug, Clone)]
pub struct Named<I> {
    all: IndexMap<String, (I, Span)>,
    /// Whether names may have capitals. Where they may not, one that has some is an error of its own, and found by its small
    /// letters as well.
    capitals: bool,
}

impl<I> Default for Named<I> {
    fn default() -> Self {
        Self { all: IndexMap::new(), capitals: false }
    }
}

impl<I: Copy> Named<I> {
    /// Names that may have capitals.
    pub fn with_capitals() -> Self {
        Self { capitals: true, ..Self::default() }
    }

    /// The number of a name.
    pub fn get(&self, name: &str) -> Option<I> {
        let small = |known: &&String| known.chars().any(char::is_uppercase) && known.to_lowercase() == name;
        let meant = || self.all.keys().filter(|_| !self.capitals).find(small).and_then(|known| self.all.get(known));
        self.all.get(name).or_else(meant).map(|(id, _)| *id)
    }

    /// Where the name was written.
    pub fn span(&self, name: &str) -> Option<Span> {
        self.all.get(name).map(|(_, span)| *span)
    }

    /// All names, in the order written.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.all.keys().map(String::as_str)
    }

    /// All names with their numbers, in the order written.
    pub fn iter(&self) -> impl Iterator<Item = (&str, I)> {
        self.all.iter().map(|(name, (id, _))| (name.as_str(), *id))
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.all.is_empty()
    }

    /// Takes the name for `id`; if it is taken already, says where, and leaves it with its first owner. `what` is what
    /// such things are called, more than one of them.
    pub fn define(&mut self, name: &Spanned<String>, id: I, what: &str) -> Result<(), Diagnostic> {
        if let Some((_, first)) = self.all.get(&name.value) {
            return Err(Diagnostic::error("name-twice", name.span, format!("Two {what} are called `{}`.", name.value))
                .label("the name is taken")
                .help("Give this one another name, or take it out.")
                .place(*first, "first written here"));
        }
        self.all.insert(name.value.clone(), (id, name.span));
        Ok(())
    }
}

/// The names inside a part.
#[derive(Debug, Clone)]
pub struct PartNames {
    /// The part's own name.
    pub name: String,
    /// How it repeats.
    pub repeats: Repeats,
    /// Its fixed places.
    pub places: Named<PlaceId>,
    /// Its looks.
    pub looks: Named<LookId>,
    /// Whether a place of it has lost its name to an error.
    pub lost_place: bool,
    /// Whether a look of it has lost its name to an error.
    pub lost_look: bool,
    /// Its looks that were dropped.
    pub dropped_looks: Vec<DroppedName>,
    /// Its places that were dropped.
    pub dropped_places: Vec<DroppedName>,
}

impl PartNames {
    /// A look that was dropped.
    pub fn dropped_look(&self, name: &Spanned<String>) -> Option<&DroppedName> {
        self.dropped_looks.iter().find(|dropped| dropped.name == name.value)
    }
}

/// How a part repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeats {
    /// It does not.
    Single,
    /// At named places.
    Fixed,
    /// As often as found.
    AsFound,
}

/// All names of a rulebook.
#[derive(Debug, Default)]
pub struct Names {
    /// Steps of the urgency ladder.
    pub steps: Named<StepId>,
    /// Hands.
    pub hands: Named<HandId>,
    /// Tiers.
    pub tiers: Named<TierId>,
    /// Parts and contexts.
    pub parts: Named<PartId>,
    /// What each part holds, by its number.
    pub inside: Vec<PartNames>,
    /// Tables.
    pub tables: Named<TableId>,
    /// Reckonings.
    pub reckons: Named<ReckonId>,
    /// Bench steps.
    pub works: Named<WorkId>,
    /// Findings.
    pub findings: Named<FindingId>,
    /// Raises.
    pub raises: Named<RaiseId>,
    /// Counsels.
    pub counsels: Named<CounselId>,
    /// Repair funds.
    pub aids: Named<AidId>,
    /// What was dropped, looks and places included.
    pub dropped: Vec<DroppedName>,
    /// Kinds of which something has lost its name to an error: one that nothing has may be the one lost.
    pub lost: Vec<NameKind>,
    /// Which thing each name stands for that was defined or looked up.
    pub notes: Notes,
}

impl Names {
    /// What of another kind has this name, if anything.
    pub fn other_kind(&self, name: &str, but: NameKind) -> Option<NameKind> {
        let kinds = [
            (NameKind::Step, self.steps.get(name).is_some()),
            (NameKind::Hand, self.hands.get(name).is_some()),
            (NameKind::Tier, self.tiers.get(name).is_some()),
            (NameKind::Part, self.parts.get(name).is_some()),
            (NameKind::Table, self.tables.get(name).is_some()),
            (NameKind::Reckon, self.reckons.get(name).is_some()),
            (NameKind::Work, self.works.get(name).is_some()),
            (NameKind::Finding, self.findings.get(name).is_some()),
            (NameKind::Raise, self.raises.get(name).is_some()),
            (NameKind::Counsel, self.counsels.get(name).is_some()),
            (NameKind::Aid, self.aids.get(name).is_some()),
        ];
        kinds.into_iter().find(|(kind, has)| *has && *kind != but).map(|(kind, _)| kind)
    }

    /// The number of the step of that name, or an error.
    pub fn step(&self, name: &Spanned<String>) -> Result<StepId, Diagnostic> {
        self.find(&self.steps, NameKind::Step, name, Target::Step)
    }

    /// The number of the hand of that name, or an error.
    pub fn hand(&self, name: &Spanned<String>) -> Result<HandId, Diagnostic> {
        self.find(&self.hands, NameKind::Hand, name, Target::Hand)
    }

    /// The number of the tier of that name, or an error.
    pub fn tier(&self, name: &Spanned<String>) -> Result<TierId, Diagnostic> {
        self.find(&self.tiers, NameKind::Tier, name, Target::Tier)
    }

    /// The number of the part or context of that name, or an error.
    pub fn part(&self, name: &Spanned<String>) -> Result<PartId, Diagnostic> {
        self.find(&self.parts, NameKind::Part, name, Target::Part)
    }

    /// The number of the bench step of that name, or an error.
    pub fn work(&self, name: &Spanned<String>) -> Result<WorkId, Diagnostic> {
        self.find(&self.works, NameKind::Work, name, Target::Work)
    }

    /// The number of the finding of that name, or an error.
    pub fn finding(&self, name: &Spanned<String>) -> Result<FindingId, Diagnostic> {
        self.find(&self.findings, NameKind::Finding, name, Target::Finding)
    }

    /// The number of the counsel of that name, or an error.
    pub fn counsel(&self, name: &Spanned<String>) -> Result<CounselId, Diagnostic> {
        self.find(&self.counsels, NameKind::Counsel, name, Target::Counsel)
    }

    /// The number of the repair fund of that name, or an error.
    pub fn aid(&self, name: &Spanned<String>) -> Result<AidId, Diagnostic> {
        self.find(&self.aids, NameKind::Aid, name, Target::Aid)
    }

    fn find<I: Copy>(
        &self,
        named: &Named<I>,
        kind: NameKind,
        name: &Spanned<String>,
        target: fn(I) -> Target,
    ) -> Result<I, Diagnostic> {
        if let Some(id) = named.get(&name.value) {
            self.notes.uses(name.span, target(id));
            return Ok(id);
        }
        if self.lost.contains(&kind) {
            return Err(told_already(name.span));
        }
        if let Some(dropped) = self.dropped.iter().find(|dropped| dropped.kind == Some(kind) && dropped.name == name.value) {
            return Err(dropped.used(name));
        }
        if let Some(other) = self.other_kind(&name.value, kind) {
            let says = format!("`{}` is {}, and {} stands here.", name.value, other.a(), kind.a());
            let near = nearest(&name.value, named.names()).map(|near| format!(", such as `{near}`"));
            return Err(Diagnostic::error("wrong-kind", name.span, says).label(other.a()).help(format!(
                "Write the name of {}{}.",
                kind.a(),
                near.unwrap_or_default()
            )));
        }
        Err(unknown(name, &format!("{} is", kind.bare()), named.names()))
    }

    /// The number of a look of a part, or an error.
    pub fn look(&self, part: PartId, name: &Spanned<String>) -> Result<LookId, Diagnostic> {
        let Some(inside) = self.inside.get(part.index()) else { return Err(told_already(name.span)) };
        if let Some(look) = inside.looks.get(&name.value) {
            self.notes.uses(name.span, Target::Look(look));
            return Ok(look);
        }
        Err(match inside.dropped_look(name) {
            _ if inside.lost_look => told_already(name.span),
            Some(dropped) => dropped.used(name),
            None => unknown(name, &format!("look of `{}` is", inside.name), inside.looks.names()),
        })
    }

    /// The number of a fixed place of a part, or an error.
    pub fn place(&self, part: PartId, name: &Spanned<String>) -> Result<PlaceId, Diagnostic> {
        let Some(inside) = self.inside.get(part.index()) else { return Err(told_already(name.span)) };
        if let Some(place) = inside.places.get(&name.value) {
            self.notes.uses(name.span, Target::Place(part, place));
            return Ok(place);
        }
        Err(match inside.repeats {
            _ if inside.lost_place => told_already(name.span),
            _ if let Some(dropped) = inside.dropped_places.iter().find(|dropped| dropped.name == name.value) => {
                dropped.used(name)
            }
            Repeats::Fixed => unknown(name, &format!("place of `{}` is", inside.name), inside.places.names()),
            Repeats::Single => Diagnostic::error("no-places", name.span, format!("`{}` has no places.", inside.name))
                .help(format!("Write the look right after `{}.`.", inside.name)),
            Repeats::AsFound => {
                let says = format!("The places of `{}` are as found, so none of them has a name.", inside.name);
                Diagnostic::error("no-places", name.span, says).help(format!("Ask `any {} with (…)`.", inside.name))
            }
        })
    }
}

/// An error that comes of one told already.
pub fn told_already(span: Span) -> Diagnostic {
    Diagnostic::error(TOLD_ALREADY, span, "")
}

/// An error for a name that nothing has; `nothing` begins "look of `peg` is".
pub fn unknown<'n>(name: &Spanned<String>, nothing: &str, candidates: impl IntoIterator<Item = &'n str>) -> Diagnostic {
    let candidates: Vec<&str> = candidates.into_iter().collect();
    let diagnostic =
        Diagnostic::error("unknown-name", name.span, format!("No {nothing} called `{}`.", name.value)).label("not known");
    let Some(near) = nearest(&name.value, candidates.iter().copied()) else {
        let few: Vec<String> = candidates.iter().take(8).map(|name| format!("`{name}`")).collect();
        return match few.len() {
            0 => diagnostic.help("Write it first, or take this out."),
            _ if candidates.len() > few.len() => diagnostic.help(format!("Write one of {} and so on.", few.join(", "))),
            1 => diagnostic.help(format!("Write {}, the only one there is.", few[0])),
            _ => diagnostic.help(format!("Write one of {}.", few.join(", "))),
        };
    };
    let safe = surely_meant(&name.value, near, &candidates);
    diagnostic.help(format!("Write `{near}`.")).fix(format!("Write `{near}`"), safe, name.span, near)
}

/// Whether one slip of the finger lies between the two, and no other name is as close.
fn surely_meant(written: &str, near: &str, candidates: &[&str]) -> bool {
    let close = |name: &str| written.len().abs_diff(name.len()) <= 1 && damerau_levenshtein(written, name) <= 1;
    written.chars().count() > 3 && close(near) && candidates.iter().filter(|name| close(name)).count() == 1
}
