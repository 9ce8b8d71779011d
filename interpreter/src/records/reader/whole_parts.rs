//! What a record says of a part as a whole, or of one of its places.

use std::sync::Arc;

use purfle_lang::book::{LookId, LookKind, PartId, PlaceId, Places, RecordPath};
use purfle_lang::saying::look_field;

use super::super::field::Target;
use super::{NameId, RecordReader};
use crate::record::Entry;

/// What may be said of a part as a whole, or of a place.
const PART_WORDS: [&str; 6] = ["good", "?", "none", "yes", "-", "may be more"];

impl RecordReader {
    /// Takes what is written in the field of a part, or of one of its places.
    pub(super) fn part_value(&mut self, name: NameId, part: PartId, at: Option<RecordPath>, text: &str) {
        let as_found = matches!(self.book[part].places, Places::AsFound);
        let found_place = at.filter(|at| matches!(at, RecordPath::Found(_)));
        if let Some(place) = found_place {
            self.places.write(part, place);
        }
        let word = PART_WORDS.into_iter().find(|word| text.eq_ignore_ascii_case(word)).unwrap_or_default();
        match (word, found_place) {
            ("good", _) => self.record.entries.push(Entry::Good(part, at)),
            ("yes", Some(place)) => self.record.entries.push(Entry::There(part, place)),
            ("?", _) => self.untold_parts.push((part, at)),
            ("-", None) => self.record.entries.push(Entry::Absent(part, at)),
            ("none", None) if as_found => {
                self.places.none(part);
                self.record.entries.push(Entry::NoPlaces(part));
            }
            ("may be more", None) if as_found => self.record.entries.push(Entry::MayBeMore(part)),
            _ => {
                let allowed = match (as_found, found_place) {
                    (_, Some(_)) => "yes (it is there), good, ?",
                    (true, None) => "none (looked, and there are none), may be more, good, ?, -",
                    (false, _) => "good, ?, -",
                };
                let looks: Vec<String> = self.book[part]
                    .looks
                    .iter()
                    .take(3)
                    .map(|&look| format!("`{}`", look_field(&self.book, look, at.unwrap_or(self.first_place(part)))))
                    .collect();
                let single = if looks.is_empty() { String::new() } else { format!("; single looks are {}...", looks.join(", ")) };
                self.field_fault(name, text, format!("of a whole part only this may be said: {allowed}{single}"));
            }
        }
    }

    fn first_place(&self, part: PartId) -> RecordPath {
        match self.book[part].places {
            Places::Single => RecordPath::Single,
            Places::Fixed(_) => RecordPath::Fixed(PlaceId(0)),
            Places::AsFound => RecordPath::Found(1),
        }
    }

    /// A place as found was written as a group of its own, be it empty.
    pub fn there(&mut self, part: PartId, at: RecordPath) {
        self.places.write(part, at);
        self.record.entries.push(Entry::There(part, at));
    }

    /// Looked, and there are no places (an empty list).
    pub fn no_places(&mut self, part: PartId) {
        self.places.none(part);
        self.record.entries.push(Entry::NoPlaces(part));
    }

    /// There may be more places than are listed.
    pub fn may_be_more(&mut self, part: PartId) {
        self.record.entries.push(Entry::MayBeMore(part));
    }

    /// A part of which nothing could be told: so it stands with each of its looks that has no answer of its own.
    pub(super) fn tell_untold_parts(&mut self) {
        let mut told: Vec<(PartId, RecordPath)> = Vec::new();
        for (part, at) in std::mem::take(&mut self.untold_parts) {
            let places: Vec<RecordPath> = match (&self.book[part].places, at) {
                (_, Some(at)) => vec![at],
                (Places::Single, None) => vec![RecordPath::Single],
                (Places::Fixed(places), None) => {
                    (0..places.len()).map(|at| RecordPath::Fixed(PlaceId(u32::try_from(at).unwrap_or(u32::MAX)))).collect()
                }
                // That nobody could tell whether there are any is what "not looked at" says too.
                (Places::AsFound, None) => Vec::new(),
            };
            for place in places {
                if told.contains(&(part, place)) {
                    continue;
                }
                told.push((part, place));
                for &look in &self.book[part].looks {
                    let tells = !matches!(self.book[look].kind, LookKind::Written);
                    if tells && !self.is_written(look, place) {
                        let saying = Arc::clone(&self.could_not_tell);
                        self.record.entries.push(Entry::Look(look, place, saying));
                    }
                }
            }
        }
    }

    /// Whether the record at hand says something of a look in a field of its own.
    fn is_written(&self, look: LookId, place: RecordPath) -> bool {
        let written = |entry: &Entry| matches!(entry, Entry::Look(l, p, _) if (*l, *p) == (look, place));
        let slot = self.slots.get(&Target::Look(look, place));
        // A field that is there may be empty.
        slot.is_some_and(|slot| self.used[*slot].0 == self.current) && self.record.entries.iter().any(written)
    }
}
