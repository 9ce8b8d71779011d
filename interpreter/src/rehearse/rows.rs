//! Which rows of the tables an example's record reads.
//!
//! A row is reached where the record settles what the table is chosen by, and one of these is read with it: a comparison
//! whose looks the record tells, the `good` of a look that the record calls good, or the price of a finding that comes
//! out found or suspected, or of what that becomes if left.

use std::collections::BTreeSet;

use purfle_lang::book::{
    Book, Condition, Cost, Example, FindingId, Good, Look, LookId, PartId, PlaceAt, PlaceId, Places, RecordEntry, RecordPath,
    RowKey, TableId, TableKey, Test, Value,
};
use purfle_lang::evaluate::{InHand, LookSpot, Spot};
use purfle_lang::saying::Saying;

use super::reads::Reads;
use crate::outcome::{At, Outcome};

/// A row by its table and its place in it.
pub type RowAt = (TableId, usize);

/// What a record tells of one look.
enum Told {
    Nothing,
    Choices(Vec<usize>),
    Something,
}

/// Reads tables as one example's record does.
pub struct Rows<'a> {
    book: &'a Book,
    example: &'a Example,
    reached: &'a mut BTreeSet<RowAt>,
}

impl<'a> Rows<'a> {
    /// Adds to `reached`.
    pub fn new(book: &'a Book, example: &'a Example, reached: &'a mut BTreeSet<RowAt>) -> Self {
        Self { book, example, reached }
    }

    /// Adds all rows that the example reaches.
    pub fn add(&mut self, outcome: &Outcome) {
        let book = self.book;
        let nothing = InHand::nothing();
        for (at, finding) in book.findings.iter().enumerate() {
            let spots = if finding.each { self.spots(finding.on) } else { vec![Spot::Single] };
            for spot in spots {
                let hand = nothing.with(finding.on, spot);
                self.condition(&finding.signs, &hand);
                finding.unless.iter().for_each(|condition| self.condition(condition, &hand));
                finding.urgency.iter().flat_map(|line| &line.when).for_each(|condition| self.condition(condition, &hand));
            }
            let id = FindingId::from_index(at);
            for judged in outcome.findings.iter().filter(|judged| judged.finding == id) {
                self.prices(id, spot_of(judged.at), &mut Vec::new());
            }
        }
        book.raises.iter().for_each(|raise| self.condition(&raise.when, &nothing));
        book.counsels.iter().for_each(|counsel| self.condition(&counsel.when, &nothing));
        book.aids.iter().flat_map(|aid| &aid.who).for_each(|who| self.condition(who, &nothing));
        for (at, look) in book.looks.iter().enumerate() {
            let Some(Good::Range(value)) = &look.good else { continue };
            for spot in self.spots(look.part) {
                let at = LookSpot { look: LookId::from_index(at), spot };
                if self.written(at).is_none() && self.called_good(at) && self.may_apply(at) {
                    self.value(value, &nothing.with(look.part, spot));
                }
            }
        }
    }

    fn condition(&mut self, condition: &Condition, hand: &InHand) {
        match condition {
            Condition::All(all) | Condition::Any(all) | Condition::AtLeast(_, all) => {
                all.iter().for_each(|condition| self.condition(condition, hand));
            }
            Condition::Not(inner) => self.condition(inner, hand),
            Condition::Places { part, with, .. } => {
                for spot in self.spots(*part) {
                    self.condition(with, &hand.with(*part, spot));
                }
            }
            Condition::Test(Test::Compare(_, left, right), _) => self.comparison(&[left, right], hand),
            Condition::Test(Test::Between(value, low, high), _) => self.comparison(&[value, low, high], hand),
            Condition::Test(..) | Condition::Found(..) => {}
        }
    }

    fn comparison(&mut self, values: &[&Value], hand: &InHand) {
        let mut reads = Reads::default();
        values.iter().for_each(|value| reads.value(self.book, value));
        let told = |look| !matches!(self.told(look), Told::Nothing);
        if !reads.tables.is_empty() && reads.looks.iter().all(|look| told(hand.look(self.book, *look))) {
            values.iter().for_each(|value| self.value(value, hand));
        }
    }

    /// The prices of a finding, and of what it becomes.
    fn prices(&mut self, finding: FindingId, spot: Spot, seen: &mut Vec<FindingId>) {
        if seen.contains(&finding) {
            return;
        }
        seen.push(finding);
        let finding = &self.book[finding];
        let nothing = InHand::nothing();
        let hand = nothing.with(finding.on, spot);
        let Cost { work, goods, .. } = finding.counted_cost();
        for work in work.iter().map(|work| &self.book[*work]) {
            self.value(&work.amount, if work.once { &nothing } else { &hand });
        }
        goods.iter().for_each(|goods| self.value(&goods.price, &hand));
        for arrow in &finding.becomes {
            let same = self.book[arrow.to].on == finding.on;
            self.prices(arrow.to, if same { spot } else { Spot::Single }, seen);
        }
    }

    fn value(&mut self, value: &Value, hand: &InHand) {
        let mut reads = Reads::default();
        reads.value(self.book, value);
        for table in reads.tables {
            if let Some(row) = self.row(table, hand) {
                self.reached.insert((table, row));
            }
        }
    }

    /// The row that the record settles, if it settles one.
    fn row(&self, id: TableId, hand: &InHand) -> Option<usize> {
        let table = &self.book[id];
        let mut keys = Vec::with_capacity(table.keys.len());
        for key in &table.keys {
            keys.push(match key {
                TableKey::Look(at) => {
                    let at = hand.look(self.book, *at);
                    match self.told(at) {
                        Told::Choices(choices) if choices.len() == 1 => choices.first().copied(),
                        _ if !self.may_apply(at) => None,
                        _ => return None,
                    }
                }
                TableKey::Place(part) => match hand.spot(*part)? {
                    Spot::Fixed(place) => Some(place as usize),
                    _ => None,
                },
            });
        }
        let value = table.row(&keys)?;
        table.rows.iter().position(|row| std::ptr::eq(&row.value, value))
    }

    /// What the record tells of a look, by itself or as good.
    fn told(&self, at: LookSpot) -> Told {
        let choices = |choices: &[usize]| Told::Choices(choices.to_vec());
        match self.written(at) {
            Some(Saying::OneOf(said)) => choices(said),
            Some(Saying::CouldNotTell | Saying::DoesNotApply) => Told::Nothing,
            Some(_) => Told::Something,
            None if self.called_good(at) => match &self.book[at.look].good {
                Some(Good::Choices(good)) => choices(good),
                Some(_) => Told::Something,
                None => Told::Nothing,
            },
            None => Told::Nothing,
        }
    }

    fn written(&self, at: LookSpot) -> Option<&'a Saying> {
        self.example.record.iter().find_map(|entry| match entry {
            RecordEntry::Look(look, place, saying) if *look == at.look && *place == path_of(at.spot) => Some(saying),
            _ => None,
        })
    }

    fn called_good(&self, at: LookSpot) -> bool {
        let part = self.book[at.look].part;
        self.example.record.iter().any(|entry| match entry {
            RecordEntry::RestGood => true,
            RecordEntry::Good(good, place) => *good == part && place.is_none_or(|place| place == path_of(at.spot)),
            _ => false,
        })
    }

    /// Whether nothing that the record tells keeps the look from applying.
    fn may_apply(&self, at: LookSpot) -> bool {
        let Look { part, only_when, .. } = &self.book[at.look];
        let place = match at.spot {
            Spot::Fixed(place) => self.book[*part].fixed_places().get(place as usize).and_then(|place| place.only_when.as_ref()),
            _ => None,
        };
        let hand = InHand::nothing().with(*part, at.spot);
        only_when.iter().chain(place).chain(&self.book[*part].only_when).all(|condition| self.may_be(condition, &hand))
    }

    fn may_be(&self, condition: &Condition, hand: &InHand) -> bool {
        match condition {
            Condition::All(all) => all.iter().all(|condition| self.may_be(condition, hand)),
            Condition::Any(all) => all.iter().any(|condition| self.may_be(condition, hand)),
            Condition::Test(Test::IsOneOf { look, choices, not }, _) => match self.told(hand.look(self.book, *look)) {
                Told::Choices(told) => told.iter().any(|choice| choices.contains(choice) != *not),
                _ => true,
            },
            _ => true,
        }
    }

    /// The places of a part; as found, those that the record has.
    fn spots(&self, part: PartId) -> Vec<Spot> {
        match &self.book[part].places {
            Places::Single => vec![Spot::Single],
            Places::Fixed(places) => (0..places.len() as u32).map(Spot::Fixed).collect(),
            Places::AsFound => {
                let recorded: BTreeSet<u32> = self
                    .example
                    .record
                    .iter()
                    .filter_map(|entry| match entry {
                        RecordEntry::Look(look, RecordPath::Found(place), _) if self.book[*look].part == part => Some(*place),
                        _ => None,
                    })
                    .collect();
                recorded.into_iter().map(|place| Spot::Found(place.saturating_sub(1))).collect()
            }
        }
    }
}

/// Whether an example's record can still have this row read; its places are left aside.
pub fn could_read(book: &Book, example: &Example, table: TableId, row: usize) -> bool {
    let mut none = BTreeSet::new();
    let rows = Rows::new(book, example, &mut none);
    let table = &book[table];
    table.keys.iter().zip(&table.rows[row].keys).all(|(key, of)| match (key, of) {
        (TableKey::Look(at), RowKey::Is(choice)) if at.place == PlaceAt::Single => {
            match rows.told(InHand::nothing().look(book, *at)) {
                Told::Choices(told) => told.contains(choice),
                _ => true,
            }
        }
        _ => true,
    })
}

fn path_of(spot: Spot) -> RecordPath {
    match spot {
        Spot::Single => RecordPath::Single,
        Spot::Fixed(place) => RecordPath::Fixed(PlaceId(place)),
        Spot::Found(place) => RecordPath::Found(place + 1),
    }
}

fn spot_of(at: At) -> Spot {
    match at {
        At::Part | At::Unnamed | At::Place(RecordPath::Single) => Spot::Single,
        At::Place(RecordPath::Fixed(place)) => Spot::Fixed(place.0),
        At::Place(RecordPath::Found(place)) => Spot::Found(place.saturating_sub(1)),
    }
}
