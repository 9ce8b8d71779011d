//! What every chapter needs: links, numbers, amounts, and the marks of a house.

use purfle_lang::book::{Book, Condition, Finding, FindingId, Origin, PartId, WorkId};
use purfle_lang::chain::Merged;
use purfle_lang::number::{Number, format_decimal};
use purfle_lang::resolve::noted::Target;
use purfle_lang::syntax::tree::Tree;
use purfle_lang::wording::{Phrase, Piece, Said, Wording, quoted};
use rustc_hash::FxHashMap;

use super::changes::Changes;
use super::document::{Fact, Head, Item, Line, Place, Run};
use super::numbering::Numbering;
use super::uses::uses;
use crate::by_itself::Figures;

/// A joined condition in a list that is no longer than this stands there as one sentence.
const MOST_IN_SENTENCE: usize = 240;

/// A handbook in the making.
pub struct Maker<'a> {
    /// The book.
    pub book: &'a Book,
    /// What the rulebooks of the chain say.
    pub trees: &'a [Tree],
    /// The chain laid into one.
    pub merged: &'a Merged,
    /// What each finding costs by itself.
    pub figures: &'a Figures,
    /// What the houses have changed.
    pub changes: Changes,
    /// What uses each table and each thing that is worked out.
    pub uses: FxHashMap<Target, Vec<Target>>,
    numbering: Numbering,
}

impl<'a> Maker<'a> {
    /// Numbers the book, and gathers what was changed.
    pub fn new(book: &'a Book, trees: &'a [Tree], merged: &'a Merged, figures: &'a Figures) -> Self {
        Self {
            book,
            trees,
            merged,
            figures,
            changes: Changes::of(book, merged),
            uses: uses(book),
            numbering: Numbering::new(book),
        }
    }

    /// Where something stands.
    pub fn place(&self, target: Target) -> Place {
        self.numbering.place(target)
    }

    /// The heading of something.
    pub fn head(&self, target: Target, title: &str, name: &str) -> Head {
        Head { place: self.place(target), title: title.to_owned(), name: Some(name.to_owned()) }
    }

    /// A phrase as a line: what it names becomes a link.
    pub fn line(&self, phrase: Phrase) -> Line {
        Line(
            phrase
                .0
                .into_iter()
                .map(|piece| match piece {
                    Piece::Words(words) => Run::Words(words),
                    Piece::Named(Target::Step(_) | Target::Tier(_), words) => Run::Words(words),
                    Piece::Named(target, words) => Run::Link(self.place(target), words),
                })
                .collect(),
        )
    }

    /// Something by its words, and the marks of the changes made to it. A link leads to it unless it is a rung of a
    /// ladder: those are few, stand in one place, and are named everywhere.
    pub fn link(&self, target: Target, words: &str) -> Line {
        let rung = matches!(target, Target::Step(_) | Target::Hand(_) | Target::Tier(_));
        let mut line = if rung { Line::words(words) } else { Line::default().link(self.place(target), words) };
        for (at, _) in self.changes.of_target(target) {
            line.0.push(Run::Mark(Changes::place(at)));
        }
        line
    }

    /// A finding by its words.
    pub fn finding(&self, id: FindingId) -> Line {
        Line::default().link(self.place(Target::Finding(id)), &self.book[id].words)
    }

    /// A finding by its words in quotes, for the middle of a sentence.
    pub fn quoted(&self, id: FindingId) -> Line {
        Line::default().link(self.place(Target::Finding(id)), quoted(&self.book[id].words))
    }

    /// Several things by their numbers alone.
    pub fn numbers(&self, targets: impl IntoIterator<Item = Target>) -> Line {
        let number = |target| {
            let Place { anchor, number } = self.place(target);
            Line::default().link(Place::new(anchor, ""), number)
        };
        Line::joined(targets.into_iter().map(number), ", ")
    }

    /// A part by its words.
    pub fn part(&self, id: PartId) -> Line {
        Line::default().link(self.place(Target::Part(id)), &self.book[id].words)
    }

    /// A bench step by its words.
    pub fn work(&self, id: WorkId) -> Line {
        self.link(Target::Work(id), &self.book[id].words)
    }

    /// A condition in one sentence, as it stands under a part or in a finding on it.
    pub fn sentence(&self, part: Option<PartId>, condition: &Condition) -> Line {
        self.line(self.wording(part).sentence(condition))
    }

    /// A condition as a fact: its outer joints as a list.
    pub fn condition(&self, label: &'static str, part: Option<PartId>, condition: &Condition) -> Fact {
        let below = |all: Vec<Said>| all.into_iter().map(|said| self.line(said.sentence())).collect::<Vec<_>>();
        // What is short is read more easily as one sentence than as a list in a list.
        let short = |said: &Said| said.sentence().to_string().chars().count() <= MOST_IN_SENTENCE;
        let item = |said: Said| match said {
            said if short(&said) => Item::of(self.line(said.sentence())),
            Said::One(phrase) => Item::of(self.line(phrase)),
            Said::All(all) => Item { line: Line::words("all of these:"), below: below(all) },
            Said::Any(all) => Item { line: Line::words("any of these:"), below: below(all) },
            Said::AtLeast(count, all) => Item { line: Line::words(format!("at least {count} of these:")), below: below(all) },
        };
        let list = |lead: String, all: Vec<Said>| Fact {
            label,
            lead: Some(Line::words(lead)),
            items: all.into_iter().map(item).collect(),
        };
        match self.wording(part).condition(condition) {
            Said::One(phrase) => Fact::of(label, self.line(phrase)),
            Said::All(all) => list("All of these:".to_owned(), all),
            Said::Any(all) => list("Any of these:".to_owned(), all),
            Said::AtLeast(count, all) => list(format!("At least {count} of these:"), all),
        }
    }

    /// Words for what stands under a part, or outside of any.
    pub fn wording(&self, part: Option<PartId>) -> Wording<'a> {
        part.map_or_else(|| Wording::new(self.book), |part| Wording::on(self.book, part))
    }

    /// Whether it stands on another rulebook.
    pub fn is_house(&self) -> bool {
        !self.book.parents.is_empty()
    }

    /// What a house has made of something: that it is new, and each change with its reason. Nothing where the rulebook
    /// stands on no other.
    pub fn house(&self, target: Target, origin: &Origin) -> Vec<Line> {
        if !self.is_house() {
            return Vec::new();
        }
        let first = self.book.parents.last().map_or("", |parent| parent.name.as_str());
        let added = (origin.rulebook != first && !origin.rulebook.is_empty())
            .then(|| Line::default().strong("New").say(format!(" in {}.", origin.rulebook)));
        let changed = self.changes.of_target(target).map(|(at, change)| {
            let what = change.on.iter().find(|(on, _)| *on == target).map(|(_, what)| what.join(", "));
            let what = what.filter(|what| !what.is_empty()).map(|what| format!(" ({what})")).unwrap_or_default();
            let mut line = Line::default().strong("Changed").say(format!(" by {}{what}: {} ", change.rulebook, change.because));
            line.0.push(Run::Mark(Changes::place(at)));
            line
        });
        added.into_iter().chain(changed).collect()
    }

    /// The same of a place, whose origin the book does not hold.
    pub fn house_of_place(&self, place: Target) -> Vec<Line> {
        self.changes
            .origins
            .iter()
            .find(|(known, _)| *known == place)
            .map_or_else(Vec::new, |(_, origin)| self.house(place, origin))
    }

    /// Findings of which something is true.
    pub fn findings_that(&self, is: impl Fn(&Finding) -> bool) -> impl Iterator<Item = Target> {
        let all = (0..self.book.findings.len()).map(FindingId::from_index);
        all.filter(move |id| is(&self.book[*id])).map(Target::Finding)
    }
}

/// A fraction of one in per cent.
pub fn percent(fraction: Number) -> String {
    format!("{} %", format_decimal(fraction * Number::from_integer(100)))
}
