//! What a record says, told again: whose instrument it is, what was seen on it and how well it could be read.

use purfle_lang::book::{Book, LookId, LookKind, PartId, RecordPath};
use purfle_lang::saying::{self, Saying, look_field, place_suffix};
use purfle_lang::wording::reading_error;

use super::super::figures::place_words;
use super::super::text::{plain, shown};
use crate::outcome::At;
use crate::record::{Entry, Record};
use crate::records::shortened;

/// One look that a record answers.
#[derive(Clone, Copy)]
pub struct Said<'a> {
    /// The look.
    pub look: LookId,
    /// Where.
    pub at: RecordPath,
    /// What is said of it.
    pub saying: &'a Saying,
}

impl<'a> Said<'a> {
    /// Every look that a record answers, in its order; private ones left out where names are.
    pub fn all(book: &'a Book, record: &'a Record, without_names: bool) -> impl Iterator<Item = Said<'a>> {
        record.entries.iter().filter_map(move |entry| match entry {
            Entry::Look(look, at, saying) => {
                (!(without_names && book[*look].private)).then_some(Said { look: *look, at: *at, saying })
            }
            _ => None,
        })
    }

    /// Whether it is no sign: a context (whose instrument, which kind), or written in words.
    pub fn is_note(&self, book: &Book) -> bool {
        matches!(book[self.look].kind, LookKind::Written) || book[book[self.look].part].context
    }

    /// The field as a record writes it.
    pub fn field(&self, book: &Book) -> String {
        look_field(book, self.look, self.at)
    }

    /// The field without its part.
    pub fn name(&self, book: &Book) -> String {
        let field = self.field(book);
        field.strip_prefix(&format!("{}.", book[book[self.look].part].name)).unwrap_or(&field).to_owned()
    }

    /// The value as a record writes it.
    pub fn value(&self, book: &Book) -> String {
        saying::format(&book[self.look], self.saying, book.money)
    }
}

/// What a record says.
pub struct Observed {
    /// Contexts, and what was written in words.
    pub notes: Vec<Observation>,
    /// What was looked at.
    pub seen: Vec<Observation>,
    /// Parts and places that were found good; name and words.
    pub good: Vec<(String, String)>,
    /// Parts of which there are no places, or perhaps more; in short and in words.
    pub others: Vec<(String, String)>,
    /// Fields that name no part.
    pub carried: Vec<(String, String)>,
}

/// One answer in words.
pub struct Observation {
    /// The part, by its name and place: `peg.E`.
    pub part_name: String,
    /// The part in words.
    pub part: String,
    /// The place in words.
    pub place: Option<String>,
    /// The field without its part: `E.turns`.
    pub name: String,
    /// The look's own name: `turns`.
    pub look: String,
    /// What was asked.
    pub question: String,
    /// The value as a record writes it, on one line and cut short.
    pub brief: String,
    /// The value in words.
    pub words: String,
    /// The same on one line and cut short.
    pub short: String,
    /// What the reading error makes of it: `give or take 0.2 mm`.
    pub error: Option<String>,
    /// Whether somebody looked and could not tell, or could not tell which.
    pub unsure: bool,
    /// Whether it tells one instrument from another: a choice or words of a context.
    pub identifies: bool,
}

impl Observed {
    /// What one record says.
    pub fn of(book: &Book, record: &Record, without_names: bool) -> Self {
        let (mut notes, mut seen) = (Vec::new(), Vec::new());
        for said in Said::all(book, record, without_names) {
            if said.is_note(book) {
                notes.push(observation(book, said));
            } else if !matches!(said.saying, Saying::DoesNotApply) {
                seen.push(observation(book, said));
            }
        }
        let (mut good, mut others) = (Vec::new(), Vec::new());
        for entry in &record.entries {
            let words = |part: PartId| plain(&book[part].words).into_owned();
            match entry {
                Entry::Good(part, at) => {
                    let place = at.and_then(|at| place_words(book, *part, At::Place(at)));
                    let place = place.map(|place| format!(", {}", plain(&place))).unwrap_or_default();
                    good.push((part_name(book, *part, *at), format!("{}{place}", words(*part))));
                }
                Entry::RestGood => good.push(("the rest".to_owned(), "everything else".to_owned())),
                Entry::NoPlaces(part) => {
                    others.push((format!("no {}", book[*part].name), format!("{}: looked for, and none found", words(*part))));
                }
                Entry::MayBeMore(part) => {
                    let more = format!("{}: there may be more than are written down", words(*part));
                    others.push((format!("perhaps more {}", book[*part].name), more));
                }
                Entry::Look(..) | Entry::There(..) | Entry::Absent(..) => {}
            }
        }
        let carried = if without_names { &[][..] } else { &record.carried };
        let carried = carried.iter().map(|(name, text)| (brief(name), brief(text))).collect();
        Self { notes, seen, good, others, carried }
    }
}

fn observation(book: &Book, said: Said<'_>) -> Observation {
    let look = &book[said.look];
    let part = &book[look.part];
    let words = saying_words(book, said.look, said.saying);
    Observation {
        part_name: part_name(book, look.part, Some(said.at)),
        part: plain(&part.words).into_owned(),
        place: place_words(book, look.part, At::Place(said.at)).map(|place| plain(&place).into_owned()),
        name: said.name(book),
        look: look.name.clone(),
        question: plain(&look.question).into_owned(),
        brief: brief(&said.value(book)),
        short: brief(&words),
        words,
        error: error(&look.kind, said.saying),
        unsure: match said.saying {
            Saying::CouldNotTell => true,
            Saying::OneOf(choices) => choices.len() > 1,
            _ => false,
        },
        identifies: part.context && matches!(look.kind, LookKind::OneOf(_) | LookKind::Written),
    }
}

fn part_name(book: &Book, part: PartId, at: Option<RecordPath>) -> String {
    let suffix = at.map(|at| place_suffix(book, part, at)).unwrap_or_default();
    format!("{}{suffix}", book[part].name)
}

/// A value in words: what its choices are called, and what the marks for not knowing mean.
pub fn saying_words(book: &Book, look: LookId, saying: &Saying) -> String {
    let look = &book[look];
    let choices = |choices: &[usize], joint: &str| {
        let words = choices.iter().filter_map(|at| look.choices().get(*at)).map(|choice| plain(&choice.words).into_owned());
        words.collect::<Vec<_>>().join(joint)
    };
    match (saying, &look.kind) {
        (Saying::CouldNotTell, _) => "looked, and could not tell".to_owned(),
        (Saying::DoesNotApply, _) => "does not apply".to_owned(),
        (Saying::OneOf(chosen), LookKind::OneOf(_)) => choices(chosen, " or "),
        (Saying::Exactly(chosen), _) if !chosen.is_empty() => choices(chosen, ", "),
        (Saying::Text(text), _) => plain(text).into_owned(),
        _ => shown(&saying::format(look, saying, book.money)).into_owned(),
    }
}

/// The reading error of a single reading; a range that was written down does not widen.
fn error(kind: &LookKind, saying: &Saying) -> Option<String> {
    match (kind, saying) {
        (LookKind::Measured { unit, give_or_take: Some(error), .. }, Saying::Between { reading: true, .. }) => {
            Some(format!("give or take {}", reading_error(*error, *unit)))
        }
        _ => None,
    }
}

/// A text of the record as a slip repeats it: on one line, and cut short where it is long.
fn brief(text: &str) -> String {
    shown(&shortened(text)).into_owned()
}
