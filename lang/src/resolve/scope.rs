//! What a name means at one spot of a rulebook: which part's looks are plain, and which places are in hand.

use std::cell::Cell;

use rustc_hash::FxHashSet;

use super::dropped::DroppedName;
use super::names::{NameKind, Names, Repeats, Sink, told_already, unknown};
use super::noted::Target;
use crate::book::{Book, Look, LookAt, LookId, PartId, PlaceAt};
use crate::diagnostic::{Diagnostic, Edit, Fix};
use crate::span::{Span, Spanned};
use crate::unit::Currency;

/// Everything that reading an expression or a condition needs to know about where it stands.
#[derive(Clone)]
pub struct Scope<'a> {
    /// All names of the rulebook.
    pub names: &'a Names,
    /// The looks, choices and units read so far; its own items may not all be read yet.
    pub book: &'a Book,
    /// Where diagnostics go.
    pub sink: &'a Sink,
    /// The rulebook's money; none where it names none that exists.
    pub money: Option<Currency>,
    /// Looks whose kind has an error; nothing more is said of them.
    pub unread: &'a FxHashSet<LookId>,
    /// The part whose looks may be written plainly.
    pub part: Option<PartId>,
    /// Parts further out, whose looks must be written in full.
    pub outer: Vec<PartId>,
    /// Parts of which a place is in hand, the nearest last.
    pub in_hand: Vec<PartId>,
    /// Whether `total cost` and its kin may stand here.
    pub totals: bool,
    /// The single test being read, for offering `any PART with (…)` round it.
    pub test: Cell<Option<Span>>,
}

impl<'a> Scope<'a> {
    /// A scope with no part in hand.
    pub fn new(names: &'a Names, book: &'a Book, sink: &'a Sink, money: Option<Currency>, unread: &'a FxHashSet<LookId>) -> Self {
        Self {
            names,
            book,
            sink,
            money,
            unread,
            part: None,
            outer: Vec::new(),
            in_hand: Vec::new(),
            totals: false,
            test: Cell::new(None),
        }
    }

    /// The scope inside `part`, with one of its places in hand where `each` is set and it has places.
    pub fn inside(&self, part: PartId, each: bool) -> Self {
        let mut scope = self.clone();
        scope.outer.extend(scope.part);
        scope.part = Some(part);
        if each && self.repeats(part) != Repeats::Single {
            scope.in_hand.push(part);
        }
        scope
    }

    /// How a part repeats.
    pub fn repeats(&self, part: PartId) -> Repeats {
        self.names.inside.get(part.index()).map_or(Repeats::Single, |inside| inside.repeats)
    }

    /// Whether a part has places, fixed or as found.
    pub fn repeats_at_all(&self, part: PartId) -> bool {
        self.repeats(part) != Repeats::Single
    }

    /// The name of a part.
    pub fn part_name(&self, part: PartId) -> &'a str {
        self.names.inside.get(part.index()).map_or("", |inside| inside.name.as_str())
    }

    /// A look whose kind is known.
    pub fn look(&self, id: LookId) -> Option<&'a Look> {
        self.book.looks.get(id.index()).filter(|_| !self.unread.contains(&id))
    }

    /// Whether `name`, written plainly, is a look of the part in hand.
    pub fn plain_look(&self, name: &str) -> Option<LookId> {
        self.names.inside.get(self.part?.index())?.looks.get(name)
    }

    /// The look that a path names: `look`, `part.look` or `part.PLACE.look`.
    pub fn look_at(&self, path: &[Spanned<String>]) -> Result<LookAt, Diagnostic> {
        match path {
            [look] => self.plain(look),
            [part, look] => {
                let part = self.part_or_place(part, look)?;
                let look_id = self.names.look(part, look).map_err(|diagnostic| self.perhaps_place(part, look, diagnostic))?;
                Ok(LookAt { look: look_id, place: self.place_in_hand(part, path)? })
            }
            [part, place, look] => {
                let part = self.names.part(part)?;
                // Both may be wrong, and each is worth saying once.
                match (self.names.place(part, place), self.names.look(part, look)) {
                    (Ok(place), Ok(look)) => Ok(LookAt { look, place: PlaceAt::Fixed(place) }),
                    (Err(one), Err(other)) => {
                        self.sink.push(one);
                        Err(other)
                    }
                    (Err(one), _) | (_, Err(one)) => Err(one),
                }
            }
            _ => {
                let span = path.first().zip(path.last()).map_or(Span::default(), |(first, last)| first.span.to(last.span));
                Err(Diagnostic::error(
                    "unknown-name",
                    span,
                    "A look is written `part.look`, or `part.PLACE.look` where the part has places.",
                )
                .help("Leave out what is too much."))
            }
        }
    }

    fn plain(&self, look: &Spanned<String>) -> Result<LookAt, Diagnostic> {
        if let (Some(id), Some(part)) = (self.plain_look(&look.value), self.part) {
            self.names.notes.uses(look.span, Target::Look(id));
            return Ok(LookAt { look: id, place: self.place_in_hand(part, std::slice::from_ref(look))? });
        }
        for &part in self.outer.iter().rev() {
            if self.names.look(part, look).is_ok() {
                let (own, full) = (self.part_name(part), format!("{}.{}", self.part_name(part), look.value));
                let inner = self.part.map_or("", |part| self.part_name(part));
                return Err(Diagnostic::error(
                    "unknown-name",
                    look.span,
                    format!("`{}` is a look of `{own}`, and plain names here are looks of `{inner}`.", look.value),
                )
                .help(format!("Write `{full}`."))
                .fix(format!("Write `{full}`"), true, look.span, full));
            }
        }
        Err(self.unknown_word(look))
    }

    /// An error for a plain word that is no look of the part in hand, no table and no reckoning.
    fn unknown_word(&self, word: &Spanned<String>) -> Diagnostic {
        let inside = self.part.and_then(|part| self.names.inside.get(part.index()));
        let lost = [NameKind::Table, NameKind::Reckon].iter().any(|kind| self.names.lost.contains(kind));
        if lost || inside.is_some_and(|inside| inside.lost_look) {
            return told_already(word.span);
        }
        if let Some(dropped) = inside.and_then(|inside| inside.dropped_look(word)).or_else(|| self.dropped_plain(word)) {
            return dropped.used(word);
        }
        let looks = inside.map(|inside| &inside.looks);
        let mut owners = self.names.inside.iter().filter(|inside| inside.looks.get(&word.value).is_some());
        if let (Some(owner), None) = (owners.next(), owners.next()) {
            let full = format!("{}.{}", owner.name, word.value);
            let says = format!("`{}` is a look of `{}`, which is not the part in hand.", word.value, owner.name);
            return Diagnostic::error("unknown-name", word.span, says)
                .label("of another part")
                .help(format!("Write `{full}`."))
                .fix(format!("Write `{full}`"), false, word.span, full);
        }
        if ["cost", "urgency", "tier"].contains(&word.value.as_str()) && self.totals {
            let text = format!("total {}", word.value);
            return Diagnostic::error("unknown-name", word.span, format!("`{}` alone is no value.", word.value))
                .help(format!("Write `{text}`."))
                .fix(format!("Write `{text}`"), false, word.span, text);
        }
        let other = [
            (self.names.tables.get(&word.value).is_some(), "table"),
            (self.names.reckons.get(&word.value).is_some(), "reckoning"),
        ];
        if let Some((_, kind)) = other.into_iter().find(|(is, _)| *is) {
            return Diagnostic::error("wrong-kind", word.span, format!("`{}` is a {kind}, and a look stands here.", word.value))
                .label(format!("a {kind}"))
                .help("Write a look, such as `PART.LOOK`.");
        }
        let of = self
            .part
            .map_or_else(|| "look, table or reckoning is".to_owned(), |part| format!("look of `{}` is", self.part_name(part)));
        let plain = looks.into_iter().flat_map(|looks| looks.names());
        unknown(word, &of, plain.chain(self.names.tables.names()).chain(self.names.reckons.names()))
    }

    /// A table or a reckoning that was dropped.
    fn dropped_plain(&self, word: &Spanned<String>) -> Option<&DroppedName> {
        let plain = [Some(NameKind::Table), Some(NameKind::Reckon)];
        self.names.dropped.iter().find(|dropped| plain.contains(&dropped.kind) && dropped.name == word.value)
    }

    /// The part of a two-word path; offers `part.PLACE.look` where a place of the part in hand was written instead.
    fn part_or_place(&self, part: &Spanned<String>, look: &Spanned<String>) -> Result<PartId, Diagnostic> {
        self.names.part(part).map_err(|diagnostic| {
            let Some(inside) = self.part.and_then(|own| self.names.inside.get(own.index())) else { return diagnostic };
            if inside.places.get(&part.value).is_none() {
                return diagnostic;
            }
            let full = format!("{}.{}.{}", inside.name, part.value, look.value);
            Diagnostic::error(
                "unknown-name",
                part.span,
                format!("`{}` is a place of `{}`, and a part stands here.", part.value, inside.name),
            )
            .help(format!("Write `{full}`."))
            .fix(format!("Write `{full}`"), true, part.span.to(look.span), full)
        })
    }

    fn perhaps_place(&self, part: PartId, word: &Spanned<String>, diagnostic: Diagnostic) -> Diagnostic {
        let Some(inside) = self.names.inside.get(part.index()) else { return diagnostic };
        if inside.places.get(&word.value).is_none() {
            return diagnostic;
        }
        Diagnostic::error(
            "wrong-kind",
            word.span,
            format!("`{}` is a place of `{}`, and one of its looks stands here.", word.value, inside.name),
        )
        .label("a place")
        .help(format!("Write the look after it: `{}.{}.LOOK`.", inside.name, word.value))
    }

    /// The place of a part that is meant where none is written.
    pub fn place_in_hand(&self, part: PartId, path: &[Spanned<String>]) -> Result<PlaceAt, Diagnostic> {
        if self.repeats(part) == Repeats::Single {
            return Ok(PlaceAt::Single);
        }
        if self.in_hand.contains(&part) {
            return Ok(PlaceAt::Here);
        }
        let span = path.first().zip(path.last()).map_or(Span::default(), |(first, last)| first.span.to(last.span));
        Err(self.no_place(part, span, path.last()))
    }

    /// An error where a place of `part` would have to be in hand; offers `any PART with (…)` round the test.
    pub fn no_place(&self, part: PartId, span: Span, look: Option<&Spanned<String>>) -> Diagnostic {
        let name = self.part_name(part);
        let mut diagnostic = Diagnostic::error(
            "no-place-in-hand",
            span,
            format!("`{name}` has more than one place, and none of them is in hand here."),
        )
        .label("which place?")
        .help(format!("Ask `any {name} with (…)`, or name the place."));
        if let (Some(test), Some(look)) = (self.test.get(), look) {
            let edits = vec![
                Edit { span: Span { end: test.start, ..test }, text: format!("any {name} with (") },
                Edit { span, text: look.value.clone() },
                Edit { span: Span { start: test.end, ..test }, text: ")".to_owned() },
            ];
            diagnostic.fixes.push(Fix { title: format!("Ask any {name}"), safe: false, edits });
        }
        diagnostic
    }
}
