//! One question with its quick test, its caution and what may be answered.

use purfle_lang::book::{Book, LookId, LookKind, PartId, RecordPath};
use purfle_lang::saying::{allowed, look_field};

use crate::outcome::At;
use crate::records::{INSPECTED_ON, QUOTED, RECORD, TAG};
use crate::report::{place_words, plain};

/// Something to ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ask {
    /// The inspection's own mark.
    Record,
    /// The instrument's lasting mark.
    Tag,
    /// The day of the inspection.
    InspectedOn,
    /// A look at its place.
    Look(LookId, RecordPath),
    /// How many places of a part were found.
    HowMany(PartId),
    /// The shop's own price; asked only where somebody wants to give it.
    Quoted,
}

impl Ask {
    /// The field of the record that the answer goes to.
    pub fn field(self, book: &Book) -> String {
        match self {
            Self::Record => RECORD.to_owned(),
            Self::Tag => TAG.to_owned(),
            Self::InspectedOn => INSPECTED_ON.to_owned(),
            Self::Look(look, at) => look_field(book, look, at),
            Self::HowMany(part) => book[part].name.clone(),
            Self::Quoted => QUOTED.to_owned(),
        }
    }

    /// Whether any words may be the answer.
    pub fn takes_words(self, book: &Book) -> bool {
        match self {
            Self::Record | Self::Tag => true,
            Self::Look(look, _) => matches!(book[look].kind, LookKind::Written),
            Self::InspectedOn | Self::HowMany(_) | Self::Quoted => false,
        }
    }

    /// Whether a day is the answer.
    pub fn takes_a_day(self, book: &Book) -> bool {
        match self {
            Self::InspectedOn => true,
            Self::Look(look, _) => matches!(book[look].kind, LookKind::Dated),
            Self::Record | Self::Tag | Self::HowMany(_) | Self::Quoted => false,
        }
    }
}

/// A question, ready to be printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// The part, and the place where it has several.
    pub about: String,
    /// The name of the field.
    pub field: String,
    /// The question.
    pub asks: String,
    /// Quick tests, nearest first.
    pub how: Vec<String>,
    /// Cautions, nearest first.
    pub care: Vec<String>,
    /// The choices, each with its words where they say more than the name.
    pub choices: Vec<(String, Option<String>)>,
    /// What else may be answered.
    pub allowed: String,
}

/// The question for one ask.
pub fn question(book: &Book, ask: Ask) -> Question {
    let bare = |about: &str, asks: &str, allowed: &str| Question {
        about: about.to_owned(),
        field: ask.field(book),
        asks: asks.to_owned(),
        how: Vec::new(),
        care: Vec::new(),
        choices: Vec::new(),
        allowed: allowed.to_owned(),
    };
    match ask {
        Ask::Record => {
            bare("This inspection", "Which mark does it get? No two inspections may have the same.", "a mark such as AR-017")
        }
        Ask::Tag => bare("The instrument", "Which lasting mark does it carry?", "what is on its tag"),
        Ask::InspectedOn => bare("This inspection", "On which day is it?", "a date such as 2026-11-20"),
        Ask::Quoted => bare(
            "The work",
            "Which price has the shop named, for all that is to be done?",
            &format!("a price such as 240 {}", book.money),
        ),
        Ask::HowMany(part) => {
            let part = &book[part];
            let asks = "How many are there? Each is asked for by itself afterwards.";
            let mut question =
                bare(&plain(&part.words), asks, "none; a number; or such as `2 or more`, where some may be hidden");
            question.how.extend(part.how.iter().map(|how| plain(how).into_owned()));
            question.care.extend(part.care.iter().map(|care| plain(care).into_owned()));
            question
        }
        Ask::Look(id, at) => look_question(book, id, at, bare("", "", "")),
    }
}

fn look_question(book: &Book, id: LookId, at: RecordPath, bare: Question) -> Question {
    let look = &book[id];
    let part = &book[look.part];
    let place = match at {
        RecordPath::Fixed(place) => part.fixed_places().get(place.index()),
        RecordPath::Single | RecordPath::Found(_) => None,
    };
    let words = |texts: [Option<&String>; 3]| texts.into_iter().flatten().map(|text| plain(text).into_owned()).collect();
    let where_ = place_words(book, look.part, At::Place(at)).map(|words| format!(", {}", plain(&words))).unwrap_or_default();
    let choices = look.choices().iter().map(|choice| {
        let more = (choice.words != choice.name).then(|| plain(&choice.words).into_owned());
        (plain(&choice.name).into_owned(), more)
    });
    Question {
        about: format!("{}{where_}", plain(&part.words)),
        asks: plain(&look.question).into_owned(),
        how: words([look.how.as_ref(), place.and_then(|place| place.how.as_ref()), part.how.as_ref()]),
        care: words([look.care.as_ref(), place.and_then(|place| place.care.as_ref()), part.care.as_ref()]),
        choices: choices.collect(),
        allowed: match &look.kind {
            LookKind::OneOf(_) => "one of these, or two with `or` between them".to_owned(),
            LookKind::SomeOf(_) => "all that is so, with commas; or none".to_owned(),
            LookKind::Written => "any words".to_owned(),
            _ => allowed(look, book.money),
        },
        ..bare
    }
}
