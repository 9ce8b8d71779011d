//! Puts one record together from its fields, whatever format they came in.
//!
//! Field names are understood once and remembered, values once for each look; a record of the usual kind then costs
//! a look-up for each of its fields and no allocation for most.

mod whole_parts;

use std::num::NonZeroU32;
use std::sync::Arc;

use purfle_lang::book::{Book, LookId, LookKind, PartId, RecordPath};
use purfle_lang::saying::{Saying, parse_day, parse_price};
use purfle_lang::unit::Unit;
use rustc_hash::FxHashMap;

use super::absent;
use super::field::{Field, RECORD, Target};
use super::order::{Order, Spot, Usual};
use super::places::PlacesSeen;
use super::refused::{Fault, MOST_FAULTS, Refused};
use super::say::{Sayings, told};
use crate::record::{Entry, Record, Source, Written};

/// Field names remembered; beyond that all are forgotten between two records and learned anew.
const MOST_NAMES: usize = 4096;

/// The most fields that one record may have.
const MOST_FIELDS: usize = 4096;

/// A field name that was met before, by its number in the reader's list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NameId(NonZeroU32);

impl NameId {
    /// The name at `index` of the list.
    pub fn from_index(index: usize) -> Self {
        Self(NonZeroU32::MIN.saturating_add(u32::try_from(index).unwrap_or(u32::MAX)))
    }

    /// Its index in the list.
    pub fn index(self) -> usize {
        self.0.get() as usize - 1
    }
}

struct Name {
    text: Box<str>,
    field: Result<Field, Box<str>>,
    /// Names of one target share a slot, so that a look given twice is noticed however it is spelled.
    slot: usize,
    /// Where its sayings are remembered; looks only.
    sayings: usize,
}

/// Puts records together, one after the other.
pub struct RecordReader {
    book: Arc<Book>,
    names: Vec<Name>,
    by_text: FxHashMap<Box<str>, NameId>,
    order: Order,
    slots: FxHashMap<Target, usize>,
    /// The record that last used a slot, and the name it used.
    used: Vec<(u64, NameId)>,
    sayings: Vec<Sayings>,
    sayings_of: FxHashMap<(LookId, Option<Unit>), usize>,
    could_not_tell: Arc<Saying>,
    /// How often the names were forgotten; whoever keeps a [`NameId`] asks again when it changes.
    generation: u64,
    current: u64,
    record: Record,
    fields: usize,
    /// A name in the making.
    path: String,
    places: PlacesSeen,
    untold_parts: Vec<(PartId, Option<RecordPath>)>,
    faults: Vec<Fault>,
    untold: usize,
    noting: Noting,
}

/// What a record notes of how its entries were written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Noting {
    /// Nothing.
    Nothing,
    /// Of every entry the field that gave it.
    Entries,
    /// The same, and fields that are written and empty.
    EmptyToo,
}

impl RecordReader {
    /// A reader of records for this book.
    pub fn new(book: Arc<Book>) -> Self {
        Self {
            book,
            names: Vec::new(),
            by_text: FxHashMap::default(),
            order: Order::default(),
            slots: FxHashMap::default(),
            used: Vec::new(),
            sayings: Vec::new(),
            sayings_of: FxHashMap::default(),
            could_not_tell: Arc::new(Saying::CouldNotTell),
            generation: 0,
            current: 0,
            record: Record::default(),
            fields: 0,
            path: String::new(),
            places: PlacesSeen::default(),
            untold_parts: Vec::new(),
            faults: Vec::new(),
            untold: 0,
            noting: Noting::Nothing,
        }
    }

    /// The same reader, of which the records note how their entries were written.
    pub fn noting(self, noting: Noting) -> Self {
        Self { noting, ..self }
    }

    /// The book whose looks are read.
    pub fn book(&self) -> &Arc<Book> {
        &self.book
    }

    /// Changes whenever every [`NameId`] given before has lost its meaning.
    pub fn generation(&self) -> u64 {
        self.generation
    }

    /// Begins a new record, read at `source`.
    pub fn begin(&mut self, source: Source) {
        if self.names.len() > MOST_NAMES {
            self.names.clear();
            self.by_text.clear();
            self.order.clear();
            self.slots.clear();
            self.used.clear();
            self.generation += 1;
        }
        self.again();
        self.record.source = source;
    }

    /// Begins the record at hand anew.
    pub fn again(&mut self) {
        self.current += 1;
        let record = &mut self.record;
        record.id.clear();
        record.tag = None;
        record.inspected_on = None;
        record.quoted = None;
        record.entries.clear();
        record.last.clear();
        record.seen_again = None;
        record.carried.clear();
        record.written.clear();
        self.fields = 0;
        self.places.clear();
        self.untold_parts.clear();
        self.faults.clear();
        self.untold = 0;
    }

    /// The number of a field's name, understood now if it was not before.
    pub fn name(&mut self, text: &str) -> NameId {
        self.name_under(None, text)
    }

    /// The number of a name whose first part is another (`peg.E`) and whose last is `text`.
    pub fn name_under(&mut self, stem: Option<NameId>, text: &str) -> NameId {
        let mut path = std::mem::take(&mut self.path);
        path.clear();
        if let Some(stem) = stem {
            path.push_str(self.name_text(stem));
            path.push('.');
        }
        path.push_str(text);
        let id = match self.by_text.get(path.as_str()) {
            Some(&known) => known,
            None => self.learn(&path),
        };
        self.path = path;
        id
    }

    /// Takes the field that is written at a spot, as far as it is one that most records have there: the number of its name,
    /// how many bytes are understood, and whether what it says is taken. None where its name has to be looked up.
    pub fn usual(&mut self, spot: Spot, written: &[u8]) -> Option<(NameId, usize, bool)> {
        let Usual { name, length, says } = self.order.usual(spot, written)?;
        let Some(entry) = says.cloned() else { return Some((name, length, false)) };
        if !self.uses(name, "") {
            return None;
        }
        let before = self.record.entries.len();
        self.record.entries.push(entry);
        self.note(name, before);
        Some((name, length, true))
    }

    /// The number of a name written as `text` at a spot, which is noted for the records to come. There is nothing in it that
    /// is written otherwise between quotation marks.
    pub fn name_at(&mut self, spot: Spot, text: &str) -> NameId {
        let name = self.name_under(spot.group, text);
        self.order.note(spot, name, text);
        name
    }

    /// Understands a name that was not met before.
    fn learn(&mut self, text: &str) -> NameId {
        let id = NameId::from_index(self.names.len());
        let field = Field::parse(&self.book, text);
        let target = field.as_ref().map_or(Target::Carried, |field| field.target);
        let slot = match self.slots.get(&target) {
            Some(&slot) if target != Target::Carried => slot,
            _ => {
                let slot = self.used.len();
                self.used.push((0, id));
                self.slots.insert(target, slot);
                slot
            }
        };
        let sayings = match (&field, target) {
            (Ok(field), Target::Look(look, _)) => {
                let fresh = self.sayings.len();
                let at = *self.sayings_of.entry((look, field.unit)).or_insert(fresh);
                if at == fresh {
                    self.sayings.push(Sayings::default());
                }
                at
            }
            _ => 0,
        };
        let field = field.map_err(String::into_boxed_str);
        self.names.push(Name { text: text.into(), field, slot, sayings });
        self.by_text.insert(text.into(), id);
        id
    }

    /// A name, as it was written.
    pub fn name_text(&self, name: NameId) -> &str {
        &self.names[name.index()].text
    }

    /// What a name stands for; none where it is at fault.
    pub fn target(&self, name: NameId) -> Option<Target> {
        self.names[name.index()].field.as_ref().ok().map(|field| field.target)
    }

    /// Notes that a name is used in this record. False, and a fault, where it may not be: it is no name, or what it
    /// stands for was given already.
    pub fn uses(&mut self, name: NameId, value: &str) -> bool {
        self.fields += 1;
        let entry = &self.names[name.index()];
        let used = &mut self.used[entry.slot];
        let may = self.fields <= MOST_FIELDS && entry.field.is_ok() && used.0 != self.current;
        if may {
            *used = (self.current, name);
        } else {
            self.misused(name, value);
        }
        may
    }

    /// Adds the fault of a name that may not be used.
    fn misused(&mut self, name: NameId, value: &str) {
        if self.fields > MOST_FIELDS {
            if self.fields == MOST_FIELDS + 1 {
                self.fault(Fault::whole(format!("it has more than {MOST_FIELDS} fields")));
            }
            return;
        }
        let entry = &self.names[name.index()];
        let why = match &entry.field {
            Err(why) => why.to_string(),
            Ok(_) => {
                let before = &self.names[self.used[entry.slot].1.index()].text;
                if before == &entry.text {
                    "the field is given twice; keep one of them".to_owned()
                } else {
                    format!("it is given twice, here and as `{before}`; keep one of them")
                }
            }
        };
        self.field_fault(name, value, why);
    }

    /// Adds a fault to the record at hand.
    pub fn fault(&mut self, fault: Fault) {
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(fault);
        } else {
            self.untold += 1;
        }
    }

    /// Adds a fault of one field.
    pub fn field_fault(&mut self, name: NameId, value: &str, why: impl Into<String>) {
        let fault = Fault::field(&self.names[name.index()].text, value, why);
        self.fault(fault);
    }

    /// How many faults the record at hand has so far.
    pub fn faults_so_far(&self) -> usize {
        self.faults.len()
    }

    /// Names the column of the faults added since there were `before`.
    pub fn name_column(&mut self, before: usize, letters: &str) {
        for fault in self.faults.iter_mut().skip(before) {
            fault.column = Some(letters.to_owned());
        }
    }

    /// Carries a field along that names no part.
    pub fn carry(&mut self, name: NameId, value: &str) {
        let text = self.names[name.index()].text.to_string();
        self.record.carried.push((text, value.to_owned()));
    }

    /// Names the column of the fields noted since there were `before`.
    pub fn note_column(&mut self, before: usize, letters: impl Fn() -> String) {
        for written in self.record.written.iter_mut().skip(before) {
            written.column = Some(letters().into());
        }
    }

    /// How many fields were noted so far.
    pub fn noted_so_far(&self) -> usize {
        self.record.written.len()
    }

    /// A field was written that says nothing (JSON's `null`): not looked at.
    pub fn nothing(&mut self, name: NameId) {
        if self.noting != Noting::Nothing {
            let entries = self.record.entries.len()..self.record.entries.len();
            let field = self.names[name.index()].text.clone();
            self.record.written.push(Written { entries, field, column: None });
        }
    }

    /// Takes a value written in quotation marks, and remembers what comes of it where many records will have the same. There
    /// is nothing in it that is written otherwise between quotation marks.
    pub fn answer(&mut self, name: NameId, text: &str) {
        let before = self.record.entries.len();
        self.value(name, text);
        let recurs = match self.target(name) {
            Some(Target::Look(_, RecordPath::Found(_)) | Target::Part(_, Some(RecordPath::Found(_)))) => false,
            Some(Target::Look(look, _)) => {
                matches!(self.book[look].kind, LookKind::YesNo | LookKind::OneOf(_) | LookKind::SomeOf(_))
            }
            Some(Target::Part(..)) => matches!(self.record.entries.last(), Some(Entry::Good(..))),
            _ => false,
        };
        if recurs && let [entry] = &self.record.entries[before..] {
            self.order.note_answer(name, text, entry);
        }
    }

    /// Takes the value of one field, as text. Empty text is "not looked at". The caller has asked [`Self::uses`].
    pub fn value(&mut self, name: NameId, text: &str) {
        if self.noting == Noting::EmptyToo && trimmed(text).is_empty() {
            return self.nothing(name);
        }
        let before = self.record.entries.len();
        self.understand(name, text);
        self.note(name, before);
    }

    /// Notes which field gave the entries from `before` on.
    fn note(&mut self, name: NameId, before: usize) {
        if self.noting != Noting::Nothing && self.record.entries.len() > before {
            let field = self.names[name.index()].text.clone();
            self.record.written.push(Written { entries: before..self.record.entries.len(), field, column: None });
        }
    }

    fn understand(&mut self, name: NameId, text: &str) {
        let trimmed = trimmed(text);
        if trimmed.is_empty() {
            return;
        }
        let Name { field, sayings, .. } = &self.names[name.index()];
        let Ok(field) = *field else { return };
        match field.target {
            Target::Look(look, at) => {
                let kind = &self.book[look];
                match self.sayings[*sayings].say(kind, trimmed, field.unit, self.book.money) {
                    Ok(saying) => {
                        if matches!(at, RecordPath::Found(_)) {
                            self.places.write(kind.part, at);
                        }
                        self.record.entries.push(Entry::Look(look, at, saying));
                    }
                    Err(why) => self.field_fault(name, text, why),
                }
            }
            Target::Part(part, at) => self.part_value(name, part, at, trimmed),
            Target::Record => self.record.id.push_str(trimmed),
            Target::Tag => self.record.tag = Some(trimmed.to_owned()),
            Target::InspectedOn => match parse_day(trimmed).map_err(told) {
                Ok(day) => self.record.inspected_on = Some(day),
                Err(why) => self.field_fault(name, text, why),
            },
            Target::Quoted => match parse_price(trimmed, self.book.money).map_err(told) {
                Ok(price) => self.record.quoted = Some(price),
                Err(why) => self.field_fault(name, text, why),
            },
            Target::TheRest if trimmed.eq_ignore_ascii_case("good") => self.record.entries.push(Entry::RestGood),
            Target::TheRest => self.field_fault(name, text, "allowed: `good`, or nothing"),
            Target::Carried => self.carry(name, text),
        }
    }

    /// Ends the record: it is whole, or refused with every fault that was found.
    pub fn finish(&mut self) -> Result<&mut Record, Refused> {
        if !self.untold_parts.is_empty() {
            self.tell_untold_parts();
        }
        let RecordReader { book, places, record, .. } = self;
        let mut late: Vec<Fault> = places.faults(book).collect();
        absent::check(book, &record.entries, &mut late);
        // Of a record that could not be read as a whole, nobody knows what it has.
        let known = !self.faults.iter().any(|fault| fault.field.as_deref().is_none_or(|field| field == RECORD));
        if self.record.id.is_empty() && self.untold == 0 && known {
            late.insert(
                0,
                Fault::whole(format!("it has no `{RECORD}`: every inspection needs a mark of its own, such as AR-017")),
            );
        }
        for fault in late {
            self.fault(fault);
        }
        if self.faults.is_empty() {
            return Ok(&mut self.record);
        }
        Err(Refused {
            source: self.record.source.clone(),
            record: (!self.record.id.is_empty()).then(|| self.record.id.clone()),
            faults: std::mem::take(&mut self.faults),
            untold: self.untold,
        })
    }
}

/// A text without white space at its ends. Most have none, and that is quickly seen.
fn trimmed(text: &str) -> &str {
    match text.as_bytes() {
        [first, .., last] if first.is_ascii_graphic() && last.is_ascii_graphic() => text,
        _ => text.trim(),
    }
}
