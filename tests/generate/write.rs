//! What somebody writes down of an instrument, as one line of JSON.

use std::fmt::Write;

use purfle_lang::book::{Look, LookId, LookKind, PartId, PlaceId, Places, RecordPath};
use purfle_lang::number::format_decimal;
use purfle_lang::unit::format_date;

use super::Manner;
use super::draw::{Shown, Truth};

/// In a hundred: fields that are left empty.
const LEFT_EMPTY: u64 = 5;

/// In a hundred: fields that say `?`.
const NOT_TOLD: u64 = 5;

/// Writes a record and its line's end; the number of its looks and ticks.
pub fn record(line: &mut String, truth: &mut Truth, manner: Manner, seed: u64, number: u64) -> u64 {
    // Every twentieth instrument or so was there before, and comes back half a year later.
    let again = number > 1 && truth.dice.chance(5);
    let tag = if again { truth.dice.from(1, number as i64 - 1) } else { number as i64 };
    truth.day += if again { 180 } else { 0 };
    let day = format_date(truth.day);
    let _ = write!(line, "{{\"record\":\"R-{number:07}\",\"tag\":\"T-{tag:07}\",\"inspected-on\":\"{day}\"");
    let mut sheet = Sheet { line, truth, manner, seed, fields: 0 };
    for part in 0..sheet.truth.book.parts.len() {
        sheet.part(PartId::from_index(part));
    }
    let fields = sheet.fields;
    line.push_str("}\n");
    fields
}

struct Sheet<'a, 'b> {
    line: &'a mut String,
    truth: &'a mut Truth<'b>,
    manner: Manner,
    seed: u64,
    fields: u64,
}

impl Sheet<'_, '_> {
    fn part(&mut self, part: PartId) {
        let book = self.truth.book;
        if !self.truth.has_part(part) {
            return;
        }
        if let Manner::OnlyPart(only) = self.manner
            && part != only
            && !book[part].context
        {
            return;
        }
        let name = &book[part].name;
        let places: Vec<RecordPath> = match &book[part].places {
            Places::Single => vec![RecordPath::Single],
            Places::Fixed(places) => (0..places.len()).map(|at| RecordPath::Fixed(PlaceId(at as u32))).collect(),
            Places::AsFound => return self.found(part),
        };
        let places: Vec<RecordPath> = places.into_iter().filter(|&place| self.truth.has_place(part, place)).collect();
        let ticks = self.manner == Manner::Ticks && !book[part].context;
        if ticks && places.iter().all(|&place| self.all_good(part, place)) {
            if let Some(said) = self.said(Some("good".to_owned())) {
                let _ = write!(self.line, ",\"{name}\":\"{said}\"");
            }
            return;
        }
        let mut open = Group::new(format!(",\"{name}\":{{"));
        for place in places {
            match place {
                RecordPath::Fixed(id) => {
                    let name = &book[part].fixed_places()[id.index()].name;
                    if ticks && self.all_good(part, place) {
                        if let Some(said) = self.said(Some("good".to_owned())) {
                            open.begin(self.line);
                            let _ = write!(self.line, "\"{name}\":\"{said}\"");
                        }
                        continue;
                    }
                    let mut inner = Group::new(format!("\"{name}\":{{"));
                    self.looks(part, place, &mut |line| open.begin(line), &mut inner);
                    inner.end(self.line);
                }
                _ => self.looks(part, place, &mut |_| {}, &mut open),
            }
        }
        open.end(self.line);
    }

    /// Cracks and their like: mostly none.
    fn found(&mut self, part: PartId) {
        let name = &self.truth.book[part].name;
        let count = match self.truth.dice.below(100) {
            0..75 => 0,
            75..93 => 1,
            93..98 => 2,
            _ => 3,
        };
        if count == 0 {
            if let Some(said) = self.said(Some("none".to_owned())) {
                let _ = write!(self.line, ",\"{name}\":\"{said}\"");
            }
            return;
        }
        let _ = write!(self.line, ",\"{name}\":[");
        for at in 1..=count {
            self.line.push_str(if at > 1 { ",{" } else { "{" });
            let mut inner = Group::new(String::new());
            self.looks(part, RecordPath::Found(at), &mut |_| {}, &mut inner);
            self.line.push('}');
        }
        self.line.push(']');
    }

    fn all_good(&mut self, part: PartId, place: RecordPath) -> bool {
        let book = self.truth.book;
        book[part].looks.iter().all(|&look| !self.truth.applies(look, place) || self.truth.is_good(look, place))
    }

    fn looks(&mut self, part: PartId, place: RecordPath, before: &mut dyn FnMut(&mut String), group: &mut Group) {
        let book = self.truth.book;
        for &look in &book[part].looks {
            if !self.on_sheet(look, place) || !self.truth.applies(look, place) {
                continue;
            }
            let shown = self.truth.shows(look, place);
            let told = self.told(&book[look], shown);
            if let Some(said) = self.said(Some(told)) {
                if !group.begun {
                    before(self.line);
                }
                group.begin(self.line);
                let number = said.starts_with(|c: char| c.is_ascii_digit() || c == '-') && said.parse::<f64>().is_ok();
                let marks = if number { "" } else { "\"" };
                let _ = write!(self.line, "\"{}\":{marks}{said}{marks}", book[look].name);
            }
        }
    }

    /// Whether the sheet asks for a look; the same for all records.
    fn on_sheet(&self, look: LookId, place: RecordPath) -> bool {
        let Manner::Looks { percent } = self.manner else { return true };
        let place = match place {
            RecordPath::Single => 0,
            RecordPath::Fixed(place) => 1 + u64::from(place.0),
            RecordPath::Found(_) => 999,
        };
        let mixed = (u64::from(look.0) << 32 | place) ^ self.seed.rotate_left(17);
        let mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        look.0 < 2 || (mixed ^ (mixed >> 31)) % 100 < percent
    }

    /// What the sheet holds in the end: what was to be written, `?`, or nothing.
    fn said(&mut self, text: Option<String>) -> Option<String> {
        match self.truth.dice.below(100) as u64 {
            at if at < LEFT_EMPTY => None,
            at if at < LEFT_EMPTY + NOT_TOLD => {
                self.fields += 1;
                Some("?".to_owned())
            }
            _ => {
                self.fields += 1;
                text
            }
        }
    }

    fn told(&mut self, look: &Look, shown: Shown) -> String {
        let word = |index: usize| look.choices().get(index).map_or("", |choice| choice.name.as_str());
        match shown {
            Shown::Choice(choice) => match look.kind {
                LookKind::YesNo => (if choice == 1 { "yes" } else { "no" }).to_owned(),
                _ => word(choice).to_owned(),
            },
            Shown::Choices(choices) if choices.is_empty() => "none".to_owned(),
            Shown::Choices(choices) => choices.into_iter().map(word).collect::<Vec<_>>().join(", "),
            Shown::Number(number) => match &look.kind {
                LookKind::Measured { unit, .. } if self.truth.dice.chance(30) => {
                    format!("{} {}", format_decimal(number), unit)
                }
                _ => format_decimal(number),
            },
            Shown::Day(day) => day.map_or_else(|| "none".to_owned(), format_date),
            Shown::Text(number) => format!("{} {number}", look.name),
        }
    }
}

/// A group in braces that is written only once there is something in it.
struct Group {
    head: String,
    begun: bool,
}

impl Group {
    fn new(head: String) -> Self {
        Self { head, begun: false }
    }

    /// Called before each of its members.
    fn begin(&mut self, line: &mut String) {
        if std::mem::replace(&mut self.begun, true) {
            line.push(',');
        } else {
            line.push_str(&self.head);
        }
    }

    fn end(&self, line: &mut String) {
        if self.begun && !self.head.is_empty() {
            line.push('}');
        }
    }
}
