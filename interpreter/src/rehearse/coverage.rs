//! What the examples of a book reach of it: findings, their urgency lines, the choices of looks, and rows of tables.

use std::collections::BTreeSet;
use std::sync::Arc;

use purfle_lang::book::{Book, Example, FindingId, Good, LookId, LookKind, PartId, RecordEntry, RowKey, TableId, TableKey};
use purfle_lang::saying::Saying;

use super::record_of;
use super::rows::{RowAt, Rows};
use crate::judge::Judge;
use crate::plan::Plan;

/// What was reached so far.
pub struct Coverage {
    book: Arc<Book>,
    /// Judges without raises, so that a step comes from an urgency line and from nothing else.
    judge: Judge,
    findings: BTreeSet<FindingId>,
    lines: BTreeSet<(FindingId, usize)>,
    choices: BTreeSet<(LookId, usize)>,
    rows: BTreeSet<RowAt>,
}

/// How many things there are of a kind, and those that no example reaches.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Reached {
    /// All of them.
    pub all: usize,
    /// Those that are reached.
    pub reached: usize,
    /// What is missed, in the book's order.
    pub missed: Vec<String>,
}

impl Coverage {
    /// Nothing reached yet.
    pub fn new(book: Arc<Book>) -> Self {
        let mut plain = Book::clone(&book);
        plain.raises.clear();
        let judge = Judge::new(Arc::new(Plan::new(Arc::new(plain))));
        Self { book, judge, findings: BTreeSet::new(), lines: BTreeSet::new(), choices: BTreeSet::new(), rows: BTreeSet::new() }
    }

    /// Adds what one example reaches. A finding is reached where it is found or suspected, an urgency line where its
    /// step is an end of the finding's urgency, a choice where the record writes it by itself or as good, a row of a table
    /// as [`Rows`] says.
    pub fn add(&mut self, example: &Example) {
        if let Ok(outcome) = self.judge.judge(&record_of(example)) {
            for judged in &outcome.findings {
                self.findings.insert(judged.finding);
                let lines = self.book[judged.finding].urgency.iter().enumerate();
                let ends = [judged.urgency.from, judged.urgency.to];
                self.lines.extend(lines.filter(|(_, line)| ends.contains(&line.step)).map(|(at, _)| (judged.finding, at)));
            }
            Rows::new(&self.book, example, &mut self.rows).add(&outcome);
        }
        for entry in &example.record {
            match entry {
                RecordEntry::Look(look, _, saying) | RecordEntry::Last(look, _, saying) => self.said(*look, saying),
                RecordEntry::Good(part, _) => self.good(Some(*part)),
                RecordEntry::RestGood => self.good(None),
                RecordEntry::Absent(..)
                | RecordEntry::NoPlaces(_)
                | RecordEntry::MayBeMore(_)
                | RecordEntry::Quoted(_)
                | RecordEntry::InspectedOn(_) => {}
            }
        }
    }

    fn said(&mut self, look: LookId, saying: &Saying) {
        match saying {
            Saying::OneOf(choices) if choices.len() == 1 => self.choices.extend(choices.iter().map(|at| (look, *at))),
            Saying::Exactly(choices) => self.choices.extend(choices.iter().map(|at| (look, *at))),
            _ => {}
        }
    }

    /// Every look of a part, or of the whole book, is good.
    fn good(&mut self, part: Option<PartId>) {
        let book = Arc::clone(&self.book);
        for (at, look) in book.looks.iter().enumerate().filter(|(_, look)| part.is_none_or(|part| part == look.part)) {
            let Some(Good::Choices(choices)) = &look.good else { continue };
            let saying = match look.kind {
                LookKind::SomeOf(_) => Saying::Exactly(choices.clone()),
                _ => Saying::OneOf(choices.clone()),
            };
            self.said(LookId::from_index(at), &saying);
        }
    }

    /// Findings, by name.
    pub fn findings(&self) -> Reached {
        let missed = (0..self.book.findings.len()).map(FindingId::from_index).filter(|id| !self.findings.contains(id));
        let missed = missed.map(|id| self.book[id].name.clone()).collect();
        Reached { all: self.book.findings.len(), reached: self.findings.len(), missed }
    }

    /// Urgency lines: the finding's name and the line's step.
    pub fn lines(&self) -> Reached {
        let mut reached = Reached { reached: self.lines.len(), ..Reached::default() };
        for (at, finding) in self.book.findings.iter().enumerate() {
            for (number, line) in finding.urgency.iter().enumerate() {
                reached.all += 1;
                if !self.lines.contains(&(FindingId::from_index(at), number)) {
                    reached.missed.push(format!("{} at {}", finding.name, self.book[line.step].name));
                }
            }
        }
        reached
    }

    /// Choices of looks, yes and no among them: the look's path and the choices that are missed.
    pub fn choices(&self) -> Reached {
        let mut reached = Reached { reached: self.choices.len(), ..Reached::default() };
        for (at, look) in self.book.looks.iter().enumerate() {
            let names: Vec<&str> = match look.kind {
                LookKind::YesNo => vec!["no", "yes"],
                _ => look.choices().iter().map(|choice| choice.name.as_str()).collect(),
            };
            reached.all += names.len();
            let look = LookId::from_index(at);
            let missed = names.iter().enumerate().filter(|(at, _)| !self.choices.contains(&(look, *at))).map(|(_, name)| *name);
            let missed: Vec<&str> = missed.collect();
            if !missed.is_empty() {
                reached.missed.push(format!("{} {}", self.book.look_path(look), missed.join(" or ")));
            }
        }
        reached
    }

    /// Rows of tables: the table's name, and a row's keys as written.
    pub fn rows(&self) -> Reached {
        let mut reached = Reached { reached: self.rows.len(), ..Reached::default() };
        for (at, table) in self.book.tables.iter().enumerate() {
            let id = TableId::from_index(at);
            reached.all += table.rows.len();
            let missed = (0..table.rows.len()).filter(|row| !self.rows.contains(&(id, *row)));
            reached.missed.extend(missed.map(|row| format!("{} `{}`", table.name, row_words(&self.book, id, row))));
        }
        reached
    }

    /// What is reached of each kind, the kind's name first.
    pub fn kinds(&self) -> [(&'static str, Reached); 4] {
        [("findings", self.findings()), ("urgency lines", self.lines()), ("choices", self.choices()), ("table rows", self.rows())]
    }
}

/// A row's keys, as written: `violin, E`.
pub fn row_words(book: &Book, table: TableId, row: usize) -> String {
    let table = &book[table];
    let word = |(key, of): (&RowKey, &TableKey)| match (key, of) {
        (RowKey::Any, _) => "any".to_owned(),
        (RowKey::Is(place), TableKey::Place(part)) => {
            let place = book[*part].fixed_places().get(*place);
            place.map_or_else(String::new, |place| place.name.clone())
        }
        (RowKey::Is(choice), TableKey::Look(at)) => match book[at.look].choices().get(*choice) {
            Some(choice) => choice.name.clone(),
            None => if *choice == 0 { "no" } else { "yes" }.to_owned(),
        },
    };
    let keys = table.rows.get(row).map(|row| &row.keys);
    keys.into_iter().flatten().zip(&table.keys).map(word).collect::<Vec<_>>().join(", ")
}
