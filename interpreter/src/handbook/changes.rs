//! What a house has changed of the rulebook it builds on: numbered, with where each change has an effect.

use purfle_lang::book::{
    AidId, Book, CounselId, FindingId, HandId, LookId, Origin, PartId, RaiseId, ReckonId, StepId, TableId, TierId, WorkId,
};
use purfle_lang::chain::Merged;
use purfle_lang::resolve::noted::Target;
use purfle_lang::span::{FileId, Span};
use purfle_lang::syntax::tree::{Entry, Kind, Says, Tree};
use rustc_hash::FxHashMap;

use super::document::Place;

/// One `alter`.
#[derive(Debug)]
pub struct Changed {
    /// The rulebook that makes it.
    pub rulebook: String,
    /// Its reason.
    pub because: String,
    /// What it changes, and the clauses written again.
    pub on: Vec<(Target, Vec<String>)>,
    span: Span,
}

/// All of them, by the order in which they are laid on each other.
#[derive(Debug, Default)]
pub struct Changes {
    /// The changes.
    pub all: Vec<Changed>,
    /// Everything that has an origin, in the order of the handbook.
    pub origins: Vec<(Target, Origin)>,
    by_target: FxHashMap<Target, Vec<usize>>,
}

impl Changes {
    /// The changes made along the chain.
    pub fn of(book: &Book, merged: &Merged) -> Self {
        let mut all: Vec<Changed> = Vec::new();
        let origins = origins(book, merged);
        for (target, origin) in &origins {
            for change in &origin.changes {
                let known = all.iter_mut().find(|known| known.span == change.span);
                let what: Vec<String> = change.what.iter().map(|what| clause(what).to_owned()).collect();
                match known {
                    Some(known) => known.on.push((*target, what)),
                    None => all.push(Changed {
                        rulebook: change.rulebook.clone(),
                        because: change.because.clone(),
                        on: vec![(*target, what)],
                        span: change.span,
                    }),
                }
            }
        }
        all.sort_by_key(|change| (std::cmp::Reverse(change.span.file), change.span.start));
        let mut by_target: FxHashMap<Target, Vec<usize>> = FxHashMap::default();
        for (at, change) in all.iter().enumerate() {
            for (target, _) in &change.on {
                by_target.entry(*target).or_default().push(at);
            }
        }
        Self { all, origins, by_target }
    }

    /// Where a change is told of.
    pub fn place(at: usize) -> Place {
        Place::new(format!("change-{at}"), format!("C{}", at + 1))
    }

    /// The changes of one thing.
    pub fn of_target(&self, target: Target) -> impl Iterator<Item = (usize, &Changed)> {
        self.by_target.get(&target).into_iter().flatten().filter_map(|at| Some((*at, self.all.get(*at)?)))
    }
}

/// What a clause that was written again is called; most are called what they are.
fn clause(word: &str) -> &str {
    match word {
        "per h" => "rate",
        "as" => "how it is worked out",
        "by" => "what its rows go by",
        word => word,
    }
}

/// Everything that has an origin, in the order of the handbook.
fn origins(book: &Book, merged: &Merged) -> Vec<(Target, Origin)> {
    let mut all: Vec<(Target, Origin)> = Vec::new();
    fn add<T>(all: &mut Vec<(Target, Origin)>, items: &[T], target: impl Fn(usize) -> Target, origin: impl Fn(&T) -> &Origin) {
        all.extend(items.iter().enumerate().map(|(at, item)| (target(at), origin(item).clone())));
    }
    add(&mut all, &book.steps, |at| Target::Step(StepId::from_index(at)), |step| &step.origin);
    add(&mut all, &book.hands, |at| Target::Hand(HandId::from_index(at)), |hand| &hand.origin);
    add(&mut all, &book.tiers, |at| Target::Tier(TierId::from_index(at)), |tier| &tier.origin);
    add(&mut all, &book.parts, |at| Target::Part(PartId::from_index(at)), |part| &part.origin);
    all.extend(ladders_and_places(book, merged));
    add(&mut all, &book.looks, |at| Target::Look(LookId::from_index(at)), |look| &look.origin);
    add(&mut all, &book.findings, |at| Target::Finding(FindingId::from_index(at)), |finding| &finding.origin);
    add(&mut all, &book.raises, |at| Target::Raise(RaiseId::from_index(at)), |raise| &raise.origin);
    add(&mut all, &book.counsels, |at| Target::Counsel(CounselId::from_index(at)), |counsel| &counsel.origin);
    add(&mut all, &book.aids, |at| Target::Aid(AidId::from_index(at)), |aid| &aid.origin);
    add(&mut all, &book.works, |at| Target::Work(WorkId::from_index(at)), |work| &work.origin);
    add(&mut all, &book.tables, |at| Target::Table(TableId::from_index(at)), |table| &table.origin);
    add(&mut all, &book.reckons, |at| Target::Reckon(ReckonId::from_index(at)), |reckon| &reckon.origin);
    all
}

/// Whole ladders and places have no origin in the book; the chain knows theirs. A ladder stands for the whole.
fn ladders_and_places(book: &Book, merged: &Merged) -> Vec<(Target, Origin)> {
    let ladders = merged.entries.iter().filter(|entry| matches!(entry.kind, Kind::Urgency | Kind::Hands | Kind::Tiers));
    let mut all: Vec<(Target, Origin)> = ladders.map(|ladder| (Target::Rulebook(FileId::OWN), merged.origin(ladder))).collect();
    for entry in merged.entries.iter().filter(|entry| matches!(entry.kind, Kind::Part | Kind::Context)) {
        let Some(part) = book.find_part(entry.name_text()) else { continue };
        for place in entry.entries(Kind::Place) {
            let at = book[part].fixed_places().iter().position(|known| known.name == place.name_text());
            let Some(at) = at.and_then(|at| u32::try_from(at).ok()) else { continue };
            all.push((Target::Place(part, purfle_lang::book::PlaceId(at)), merged.origin(place)));
        }
    }
    all
}

/// The words of something that was dropped, by where it was written.
pub fn words_at(trees: &[Tree], written: Span) -> Option<String> {
    fn within(entry: &Entry, written: Span) -> Option<String> {
        if entry.name_span() == written {
            return entry.words.as_ref().map(|words| words.value.clone());
        }
        entry.clauses.iter().find_map(|clause| match &clause.says {
            Says::Entry(inner) => within(inner, written),
            _ => None,
        })
    }
    let tree = trees.iter().find(|tree| tree.file == written.file)?;
    tree.items.iter().find_map(|item| within(&item.entry, written))
}
