//! The interview: asks only what can still change the outcome, gravest first, and keeps the record as it grows.
//!
//! An answer is read as the field of a record is, and judged with everything answered before; what no instrument can
//! be like is refused at once. What was answered is a list of fields with their texts, the record as a file says it; what
//! was passed over stands in that file as not looked at, so that it is not asked again when somebody goes on.

mod asked;
mod saved;
mod status;

use std::sync::Arc;

use indexmap::IndexSet;
use purfle_lang::book::{Book, LookKind, PartId, Places, RecordPath};
use purfle_lang::number::format_decimal;
use purfle_lang::saying::{self, look_field, place_suffix};
use purfle_lang::unit::format_date;
use rustc_hash::FxHashSet;

use crate::judge::Judge;
use crate::outcome::{At, NextLook, Outcome};
use crate::record::{Entry, Record, Source};
use crate::records::{Earlier, Field, INSPECTED_ON, MOST_PLACES, QUOTED, RECORD, RecordReader, Refused, TAG, THE_REST, Target};
use crate::report::fault_words;
use crate::witness::Fields;

pub use asked::{Ask, Question};
pub use saved::Saved;
pub use status::status;

/// How far an interview has come.
pub struct Interview {
    book: Arc<Book>,
    judge: Judge,
    reader: RecordReader,
    earlier: Option<Earlier>,
    now: State,
    before: Vec<State>,
}

/// What was answered, and what comes of it.
#[derive(Clone, Default)]
struct State {
    answers: Vec<(String, String)>,
    /// Asked, and not looked at; in the order it was asked.
    passed: IndexSet<Ask>,
    /// To be asked next, because somebody wants to answer it anew.
    turned: Option<Ask>,
    judged: Option<(Record, Outcome)>,
}

/// Why an answer is not taken: a sentence for each reason.
pub type Refusal = Vec<String>;

impl Interview {
    /// An interview of which nothing is answered yet.
    pub fn new(judge: Judge, earlier: Option<Earlier>) -> Self {
        let book = Arc::clone(&judge.plan().book);
        let reader = RecordReader::new(Arc::clone(&book));
        Self { book, judge, reader, earlier, now: State::default(), before: Vec::new() }
    }

    /// Goes on with what was answered before. The record notes how it was written: a field that says nothing was passed
    /// over.
    pub fn resume(&mut self, record: &Record) -> Result<(), Refusal> {
        let answers = fields_of(&self.book, record);
        let says_nothing = record.written.iter().filter(|written| written.entries.is_empty());
        let passed = says_nothing.filter_map(|written| self.ask_named(&written.field).ok()).filter(|ask| *ask != Ask::Record);
        self.now = State { passed: passed.collect(), judged: Some(self.judged(&answers)?), answers, turned: None };
        self.before.clear();
        Ok(())
    }

    /// The book that is asked by.
    pub fn book(&self) -> &Arc<Book> {
        &self.book
    }

    /// The record so far, as a file says it.
    pub fn fields(&self) -> Fields {
        Fields(self.now.answers.clone())
    }

    /// The same, with what was passed over as not looked at.
    pub fn saved(&self) -> Saved {
        let passed = self.now.passed.iter().filter(|ask| self.answer_to(**ask).is_none()).map(|ask| ask.field(&self.book));
        Saved { answers: self.now.answers.clone(), passed: passed.collect() }
    }

    /// What was passed over and can still change the outcome, gravest first.
    pub fn passed_over(&self) -> Vec<Ask> {
        let looks = self.now.judged.iter().flat_map(|(_, outcome)| &outcome.looks);
        let asks: IndexSet<Ask> = looks.filter(|next| !next.again).map(|next| self.ask_of(next)).collect();
        asks.into_iter().filter(|ask| self.now.passed.contains(ask) && self.answer_to(*ask).is_none()).collect()
    }

    /// Asks what was passed over anew; false where nothing was.
    pub fn ask_again(&mut self) -> bool {
        if self.now.passed.is_empty() {
            return false;
        }
        self.go_on(State { passed: IndexSet::new(), turned: None, ..self.now.clone() });
        true
    }

    /// The record of these answers, and its outcome.
    fn judged(&mut self, answers: &[(String, String)]) -> Result<(Record, Outcome), Refusal> {
        let told = |refused: Refused| refused.faults.iter().map(fault_words).collect::<Refusal>();
        self.reader.begin(Source::default());
        for (field, text) in answers {
            let name = self.reader.name(field);
            if self.reader.uses(name, text) {
                self.reader.value(name, text);
            }
        }
        let mut record = self.reader.finish().map_err(told)?.clone();
        if let Some(earlier) = &self.earlier {
            earlier.fill(&mut record);
        }
        let outcome = self.judge.judge(&record).map_err(|impossible| told(Refused::impossible(&record, impossible)))?;
        Ok((record, outcome))
    }

    /// The record and its outcome so far; none before the first answer.
    pub fn outcome(&self) -> Option<&(Record, Outcome)> {
        self.now.judged.as_ref()
    }

    /// What to ask next; none where nothing that is left can change anything.
    pub fn next(&self) -> Option<Ask> {
        if self.now.turned.is_some() {
            return self.now.turned;
        }
        let first = [Ask::Record, Ask::Tag, Ask::InspectedOn].into_iter().find(|ask| self.is_open(*ask));
        first.or_else(|| self.open().next())
    }

    /// How many looks can still change the outcome and were not asked yet.
    pub fn left(&self) -> usize {
        self.open().count()
    }

    fn open(&self) -> impl Iterator<Item = Ask> {
        let looks = self.now.judged.iter().flat_map(|(_, outcome)| &outcome.looks);
        let mut asked: FxHashSet<Ask> = FxHashSet::default();
        // What was seen and is still undecided by its reading error would only be seen the same again.
        looks.filter(|next| !next.again).map(|next| self.ask_of(next)).filter(move |ask| self.is_open(*ask) && asked.insert(*ask))
    }

    /// What a look can still change.
    pub fn can(&self, ask: Ask) -> crate::outcome::FigureSet {
        let looks = self.now.judged.as_ref().map_or(&[][..], |(_, outcome)| &outcome.looks);
        looks.iter().find(|next| self.ask_of(next) == ask).map(|next| next.can).unwrap_or_default()
    }

    fn ask_of(&self, next: &NextLook) -> Ask {
        match next.at {
            At::Part => Ask::Look(next.look, RecordPath::Single),
            At::Place(at) => Ask::Look(next.look, at),
            At::Unnamed => Ask::HowMany(self.book[next.look].part),
        }
    }

    fn is_open(&self, ask: Ask) -> bool {
        !self.now.passed.contains(&ask) && self.answer_to(ask).is_none()
    }

    /// What was answered to a question, as a record says it.
    pub fn answer_to(&self, ask: Ask) -> Option<&str> {
        let field = ask.field(&self.book);
        let of = |field: &str| self.now.answers.iter().find(|(name, _)| name == field).map(|(_, text)| text.as_str());
        match ask {
            Ask::HowMany(_) => of(&field).or_else(|| of(&format!("{field}.1"))),
            _ => of(&field),
        }
    }

    /// Takes an answer. It is refused as the field of a record would be, or because no instrument can be so.
    pub fn answer(&mut self, ask: Ask, text: &str) -> Result<(), Refusal> {
        let mut answers = self.now.answers.clone();
        let field = ask.field(&self.book);
        match ask {
            Ask::HowMany(_) => {
                answers.retain(|(name, _)| name != &field && !name.starts_with(&format!("{field}.")));
                let (count, more) = how_many(text).ok_or_else(|| count_words(&field))?;
                match count {
                    Count::Word(word) => answers.push((field, word)),
                    Count::Number(0) if !more => answers.push((field, "none".to_owned())),
                    Count::Number(count) => {
                        answers.extend((1..=count).map(|number| (format!("{field}.{number}"), "yes".to_owned())));
                        if more {
                            answers.push((field, "may be more".to_owned()));
                        }
                    }
                }
            }
            _ => put(&mut answers, field, text.trim()),
        }
        self.settle(answers, ask)
    }

    /// All of a part, or of one place of it, is good.
    pub fn good(&mut self, ask: Ask, whole: bool) -> Result<(), Refusal> {
        let (part, at) = match ask {
            Ask::Look(look, at) => (self.book[look].part, at),
            Ask::HowMany(part) => (part, RecordPath::Single),
            Ask::Record | Ask::Tag | Ask::InspectedOn | Ask::Quoted => {
                return Err(vec!["nothing is good or bad here".to_owned()]);
            }
        };
        let looks = &self.book[part].looks;
        if !looks.iter().any(|&look| self.book[look].good.is_some()) {
            return Err(vec![format!(
                "the rulebook does not say what is good of `{}`; answer the question itself",
                self.book[part].name
            )]);
        }
        let place = if whole { String::new() } else { place_suffix(&self.book, part, at) };
        let mut answers = self.now.answers.clone();
        put(&mut answers, format!("{}{place}", self.book[part].name), "good");
        self.settle(answers, ask)?;
        let book = Arc::clone(&self.book);
        let meant = |passed: &Ask| match *passed {
            Ask::Look(look, place) => book[look].part == part && book[look].good.is_some() && (whole || place == at),
            _ => false,
        };
        self.now.passed.retain(|passed| !meant(passed));
        Ok(())
    }

    /// Everything that was not answered is good.
    pub fn rest_good(&mut self) -> Result<(), Refusal> {
        let mut answers = self.now.answers.clone();
        put(&mut answers, THE_REST.to_owned(), "good");
        let judged = self.judged(&answers)?;
        let mut passed = self.now.passed.clone();
        passed.retain(|passed| match *passed {
            Ask::Look(look, _) => self.book[look].good.is_none(),
            Ask::HowMany(_) => false,
            Ask::Record | Ask::Tag | Ask::InspectedOn | Ask::Quoted => true,
        });
        self.go_on(State { answers, judged: Some(judged), passed, turned: None });
        Ok(())
    }

    /// Nobody looked: the question is passed over, and an answer given before is taken back.
    pub fn pass(&mut self, ask: Ask) -> Result<(), Refusal> {
        if ask == Ask::Record {
            return Err(vec!["every inspection needs a mark of its own, such as AR-017".to_owned()]);
        }
        let field = ask.field(&self.book);
        let mut next = self.now.clone();
        next.turned = None;
        next.passed.insert(ask);
        let before = next.answers.len();
        next.answers.retain(|(name, _)| *name != field);
        if next.answers.len() < before {
            next.judged = Some(self.judged(&next.answers)?);
        }
        self.go_on(next);
        Ok(())
    }

    /// Takes the last step back; false where there is none.
    pub fn back(&mut self) -> bool {
        match self.before.pop() {
            Some(before) => {
                self.now = before;
                true
            }
            None => false,
        }
    }

    /// Asks a question again, by the name of its field.
    pub fn change(&mut self, path: &str) -> Result<(), Refusal> {
        let ask = self.ask_named(path)?;
        let mut next = self.now.clone();
        next.turned = Some(ask);
        self.go_on(next);
        Ok(())
    }

    /// The question that a field's name stands for.
    fn ask_named(&self, path: &str) -> Result<Ask, Refusal> {
        let field = Field::parse(&self.book, path).map_err(|why| vec![why])?;
        Ok(match field.target {
            Target::Record => Ask::Record,
            Target::Tag => Ask::Tag,
            Target::InspectedOn => Ask::InspectedOn,
            Target::Look(look, at) => Ask::Look(look, at),
            Target::Part(part, None) if matches!(self.book[part].places, Places::AsFound) => Ask::HowMany(part),
            Target::Part(part, _) => return Err(vec![format!("name one of its looks, such as `{}`", self.first_look(part))]),
            Target::Quoted => Ask::Quoted,
            Target::TheRest | Target::Carried => {
                return Err(vec![format!("`{path}` is no question; write a look's name, such as button.gap")]);
            }
        })
    }

    fn first_look(&self, part: PartId) -> String {
        let at = match self.book[part].places {
            Places::Single | Places::AsFound => RecordPath::Single,
            Places::Fixed(_) => RecordPath::Fixed(purfle_lang::book::PlaceId(0)),
        };
        self.book[part].looks.first().map(|&look| look_field(&self.book, look, at)).unwrap_or_default()
    }

    fn settle(&mut self, answers: Vec<(String, String)>, ask: Ask) -> Result<(), Refusal> {
        let judged = self.judged(&answers)?;
        let mut passed = self.now.passed.clone();
        passed.shift_remove(&ask);
        self.go_on(State { answers, passed, turned: None, judged: Some(judged) });
        Ok(())
    }

    fn go_on(&mut self, next: State) {
        self.before.push(std::mem::replace(&mut self.now, next));
    }

    /// A question with everything that belongs to it.
    pub fn question(&self, ask: Ask) -> Question {
        asked::question(&self.book, ask)
    }

    /// The choices of a question, as they would be answered.
    pub fn choices(&self, ask: Ask) -> Vec<String> {
        let Ask::Look(look, _) = ask else { return Vec::new() };
        match &self.book[look].kind {
            LookKind::YesNo => ["yes", "no"].map(str::to_owned).into(),
            LookKind::OneOf(choices) | LookKind::SomeOf(choices) => choices.iter().map(|choice| choice.name.clone()).collect(),
            _ => Vec::new(),
        }
    }
}

/// Puts an answer in the place of an older one, or behind the others.
fn put(answers: &mut Vec<(String, String)>, field: String, text: &str) {
    match answers.iter_mut().find(|(name, _)| *name == field) {
        Some((_, old)) => text.clone_into(old),
        None => answers.push((field, text.to_owned())),
    }
}

/// How many places there are.
enum Count {
    Number(u32),
    Word(String),
}

/// Understands how many places were found: `2`, `2 or more`, `none`, or what may be said of the part as a whole.
fn how_many(text: &str) -> Option<(Count, bool)> {
    let text = text.trim().to_ascii_lowercase();
    let (count, more) = match text.strip_suffix("or more").or_else(|| text.strip_suffix('+')) {
        Some(count) => (count.trim(), true),
        None => (text.as_str(), false),
    };
    match count {
        "none" | "no" if !more => Some((Count::Number(0), false)),
        "?" | "-" | "good" | "may be more" if !more => Some((Count::Word(count.to_owned()), false)),
        _ => count.parse().ok().filter(|count| *count <= MOST_PLACES).map(|count| (Count::Number(count), more)),
    }
}

fn count_words(field: &str) -> Refusal {
    vec![format!(
        "how many `{field}` were found? allowed: none, a number up to {MOST_PLACES}, a number with `or more` behind it, ? (could not tell), \
         or nothing (not looked at)"
    )]
}

/// A record as a file says it, in the order it was written.
fn fields_of(book: &Book, record: &Record) -> Vec<(String, String)> {
    let mut fields = vec![(RECORD.to_owned(), record.id.clone())];
    fields.extend(record.tag.iter().map(|tag| (TAG.to_owned(), tag.clone())));
    fields.extend(record.inspected_on.map(|day| (INSPECTED_ON.to_owned(), format_date(day))));
    let part = |part: PartId, at: Option<RecordPath>| {
        format!("{}{}", book[part].name, at.map(|at| place_suffix(book, part, at)).unwrap_or_default())
    };
    for entry in &record.entries {
        let (field, text) = match entry {
            Entry::Look(look, at, said) => (look_field(book, *look, *at), saying::format(&book[*look], said, book.money)),
            Entry::Good(of, at) => (part(*of, *at), "good".to_owned()),
            Entry::There(of, at) => (part(*of, Some(*at)), "yes".to_owned()),
            Entry::Absent(of, at) => (part(*of, *at), "-".to_owned()),
            Entry::NoPlaces(of) => (part(*of, None), "none".to_owned()),
            Entry::MayBeMore(of) => (part(*of, None), "may be more".to_owned()),
            Entry::RestGood => (THE_REST.to_owned(), "good".to_owned()),
        };
        put(&mut fields, field, &text);
    }
    fields.extend(record.quoted.map(|price| (QUOTED.to_owned(), format!("{} {}", format_decimal(price), book.money))));
    fields.extend(record.carried.iter().cloned());
    fields
}
