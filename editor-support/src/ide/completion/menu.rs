//! The list of proposals while it is being put together: names of each kind, words, skeletons.

use purfle_lang::book::{Book, LookId, LookKind, PartId};
use purfle_lang::resolve::names::{Named, Names, Repeats};
use purfle_lang::resolve::noted::Target;
use purfle_lang::span::{FileId, Span};
use rustc_hash::FxHashSet;

use super::hand::Hand;
use super::proposal::{Piece, Proposal, ProposalKind, pieces};
use crate::analysis::Analysis;
use crate::ide::cursor::Cursor;
use crate::ide::describe::brief;

/// What is proposed at one place.
pub struct Menu<'a> {
    pub analysis: &'a Analysis,
    pub cursor: &'a Cursor<'a>,
    /// What the proposals are written in the place of.
    replaces: Span,
    /// The segments of a path that stand before it: `peg`, `E` of `peg.E.tu`.
    pub path: Vec<&'a str>,
    pub all: Vec<Proposal>,
    /// What is proposed already.
    known: FxHashSet<(String, ProposalKind)>,
}

impl<'a> Menu<'a> {
    pub fn new(analysis: &'a Analysis, cursor: &'a Cursor<'a>, file: FileId) -> Self {
        let typed = cursor.typed();
        let written = cursor.text.get(typed.clone()).unwrap_or_default();
        let start = written.rfind('.').map_or(0, |at| at + 1);
        let path = written[..start].split('.').filter(|segment| !segment.is_empty()).collect();
        // What stands behind the pointer of the same word is replaced as well.
        let rest = cursor.text.get(cursor.offset..cursor.line.end).unwrap_or_default();
        let behind = rest.find(|char: char| !(char.is_alphanumeric() || char == '-')).unwrap_or(rest.len());
        let replaces = Span::new(file, typed.start + start, cursor.offset + behind);
        Self { analysis, cursor, replaces, path, all: Vec::new(), known: FxHashSet::default() }
    }

    pub fn book(&self) -> Option<&'a Book> {
        self.analysis.shown()
    }

    pub fn names(&self) -> Option<&'a Names> {
        self.analysis.names()
    }

    fn push(&mut self, label: &str, kind: ProposalKind, detail: String, about: Option<Target>, writes: Vec<Piece>, rank: u8) {
        if !self.known.insert((label.to_owned(), kind)) {
            return;
        }
        self.all.push(Proposal { label: label.to_owned(), kind, detail, about, writes, replaces: self.replaces, rank });
    }

    /// A word of the language.
    pub fn word(&mut self, word: &str, detail: &str) {
        self.push(word, ProposalKind::Word, detail.to_owned(), None, vec![Piece::Text(word.to_owned())], 5);
    }

    /// A word of the language that is wanted most often.
    pub fn first_word(&mut self, word: &str, detail: &str) {
        self.push(word, ProposalKind::Word, detail.to_owned(), None, vec![Piece::Text(word.to_owned())], 0);
    }

    /// Words of the language.
    pub fn words(&mut self, words: &[&str]) {
        words.iter().for_each(|word| self.word(word, ""));
    }

    /// A word with what goes on after it; holes stand between `<` and `>`.
    pub fn phrase(&mut self, label: &str, detail: &str, text: &str) {
        self.push(label, ProposalKind::Word, detail.to_owned(), None, pieces(text), 5);
    }

    /// Several lines with holes.
    pub fn skeleton(&mut self, label: &str, detail: &str, text: &str) {
        self.push(label, ProposalKind::Skeleton, detail.to_owned(), None, pieces(text), 7);
    }

    /// A unit.
    pub fn unit(&mut self, unit: &str, detail: &str, rank: u8) {
        self.push(unit, ProposalKind::Unit, detail.to_owned(), None, vec![Piece::Text(unit.to_owned())], rank);
    }

    /// A formula.
    pub fn formula(&mut self, name: &str, detail: &str, text: &str) {
        self.push(name, ProposalKind::Formula, detail.to_owned(), None, pieces(text), 6);
    }

    /// A name of something.
    pub fn name(&mut self, name: &str, target: Target, rank: u8) {
        self.name_as(name, name, target, rank);
    }

    /// A name of something, written in full.
    pub fn name_as(&mut self, label: &str, text: &str, target: Target, rank: u8) {
        let kind = match target {
            Target::Look(_) => ProposalKind::Look,
            Target::Choice(..) => ProposalKind::Choice,
            Target::Place(..) => ProposalKind::Place,
            _ => ProposalKind::Name,
        };
        let detail = brief(self.analysis, target).filter(|words| words != label).unwrap_or_default();
        self.push(label, kind, detail, Some(target), vec![Piece::Text(text.to_owned())], rank);
    }

    /// What was proposed of a kind so far, further down.
    pub fn lower(&mut self, kind: ProposalKind, rank: u8) {
        self.all.iter_mut().filter(|proposal| proposal.kind == kind).for_each(|proposal| proposal.rank = rank);
    }

    /// All names of a kind, but those that stand there already.
    pub fn named<I: Copy>(&mut self, named: &Named<I>, target: fn(I) -> Target, but: &[&str]) {
        for (name, id) in named.iter().filter(|(name, _)| !but.contains(name)) {
            self.name(name, target(id), 2);
        }
    }

    pub fn parts(&mut self, wanted: impl Fn(Repeats) -> bool, but: &[&str]) {
        let Some(names) = self.names() else { return };
        for (name, id) in names.parts.iter().filter(|(name, _)| !but.contains(name)) {
            if names.inside.get(id.index()).is_some_and(|inside| wanted(inside.repeats)) {
                self.name(name, Target::Part(id), 2);
            }
        }
    }

    /// The choices of a look; `yes` and `no` of one that is that.
    pub fn choices(&mut self, look: LookId, but: &[&str]) {
        let Some(look_of) = self.book().and_then(|book| book.looks.get(look.index())) else { return };
        if self.unread(look) {
            return;
        }
        if let LookKind::YesNo = look_of.kind {
            for word in ["yes", "no"].into_iter().filter(|word| !but.contains(word)) {
                self.push(word, ProposalKind::Choice, String::new(), None, vec![Piece::Text(word.to_owned())], 0);
            }
        }
        for (at, choice) in look_of.choices().iter().enumerate().filter(|(_, choice)| !but.contains(&choice.name.as_str())) {
            let is_name = choice.name.starts_with(char::is_alphabetic)
                && choice.name.chars().all(|char| char.is_alphanumeric() || char == '-');
            let text = if is_name { choice.name.clone() } else { format!("\"{}\"", choice.name) };
            self.name_as(&choice.name, &text, Target::choice(look, at), 0);
        }
    }

    pub fn unread(&self, look: LookId) -> bool {
        self.analysis.known().is_some_and(|known| known.unread.contains(&look))
    }

    /// The fixed places of a part.
    pub fn places(&mut self, part: PartId) {
        let Some(names) = self.names() else { return };
        if let Some(inside) = names.inside.get(part.index()) {
            for (name, place) in inside.places.iter() {
                self.name(name, Target::Place(part, place), 1);
            }
        }
    }

    /// The looks of a part that are wanted.
    pub fn looks(&mut self, part: PartId, rank: u8, wanted: &dyn Fn(LookId) -> bool) {
        let Some(names) = self.names() else { return };
        if let Some(inside) = names.inside.get(part.index()) {
            for (name, look) in inside.looks.iter().filter(|(_, look)| wanted(*look)) {
                self.name(name, Target::Look(look), rank);
            }
        }
    }

    /// Looks by their paths, each written in full where its place is not in hand; those of the part in hand are written
    /// plainly, and are left out here.
    pub fn look_paths(&mut self, hand: &Hand, wanted: &dyn Fn(LookId) -> bool) {
        let Some(names) = self.names() else { return };
        let in_hand = &hand.in_hand;
        for (part, id) in names.parts.iter() {
            let Some(inside) = names.inside.get(id.index()) else { continue };
            if hand.part == Some(id) && (inside.repeats == Repeats::Single || in_hand.contains(&id)) {
                continue;
            }
            let fixed: Vec<String> = match inside.repeats {
                Repeats::Single => vec![part.to_owned()],
                _ if in_hand.contains(&id) => vec![part.to_owned()],
                Repeats::Fixed => inside.places.names().map(|place| format!("{part}.{place}")).collect(),
                Repeats::AsFound => continue,
            };
            for (look, look_id) in inside.looks.iter().filter(|(_, look)| wanted(*look)) {
                for owner in &fixed {
                    let path = format!("{owner}.{look}");
                    self.name_as(&path, &path, Target::Look(look_id), 3);
                }
            }
        }
    }

    /// What goes on after the segments of a path. `numbers`: places as found have numbers, as in a record.
    pub fn after_path(&mut self, in_hand: &[PartId], numbers: bool, wanted: &dyn Fn(LookId) -> bool) {
        let Some(names) = self.names() else { return };
        let Some(part) = self.path.first().and_then(|part| names.parts.get(part)) else { return };
        let Some(inside) = names.inside.get(part.index()) else { return };
        match (self.path.len(), inside.repeats) {
            (1, Repeats::Single) => self.looks(part, 0, wanted),
            (1, Repeats::Fixed) => {
                if in_hand.contains(&part) {
                    self.looks(part, 0, wanted);
                }
                self.places(part);
            }
            (1, Repeats::AsFound) if numbers => self.words(&["1", "2", "3"]),
            (1, Repeats::AsFound) => self.looks(part, 0, wanted),
            (2, Repeats::Fixed | Repeats::AsFound) => self.looks(part, 0, wanted),
            _ => {}
        }
    }
}

impl Menu<'_> {
    /// The text that is written in.
    pub fn cursor_file(&self) -> FileId {
        self.replaces.file
    }

    /// Something of a rulebook further up, by the entry that writes it there.
    pub fn changed(&mut self, label: &str, entry: &purfle_lang::syntax::tree::Entry) {
        let words = entry.words.as_ref().map_or(String::new(), |words| words.value.clone());
        self.push(label, ProposalKind::Name, words, None, vec![Piece::Text(label.to_owned())], 1);
    }
}
