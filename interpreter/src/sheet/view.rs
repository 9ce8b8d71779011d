//! The sheet as plain values: parts in the rulebook's order, which is the order hands move over an instrument.

use purfle_lang::book::{Condition, LookId, LookKind, PartId, Places, Test};
use purfle_lang::saying::allowed;
use purfle_lang::unit::Unit;
use purfle_lang::wording::{Wording, reading_error};

use super::Scope;
use crate::report::plain;

/// So many empty places are laid out for a part that has as many as are found.
pub const FOUND_PLACES: usize = 3;

/// A whole sheet. All texts are ready to be printed.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// The rulebook's title.
    pub title: String,
    /// Its name and edition, and who keeps it.
    pub rulebook: String,
    /// The words of the choice it is laid out for.
    pub chosen: Option<String>,
    /// The name of that choice.
    pub chosen_name: Option<String>,
    /// Contexts: what is no piece of the instrument.
    pub contexts: Vec<SheetPart>,
    /// Pieces, numbered from 1.
    pub parts: Vec<SheetPart>,
    /// What the rulebook prints on every slip.
    pub notices: Vec<String>,
}

/// A part with what is asked of it.
#[derive(Debug, Clone)]
pub struct SheetPart {
    /// Its number on the sheet and in the drawing; 0 for a context.
    pub number: usize,
    /// Its name, as a record's columns begin.
    pub name: String,
    /// Its words.
    pub words: String,
    /// When it is there, where that is not settled by what was chosen.
    pub only: Option<String>,
    /// Quick test.
    pub how: Option<String>,
    /// Caution.
    pub care: Option<String>,
    /// Its fixed places that may apply.
    pub places: Vec<SheetPlace>,
    /// Whether it has as many places as are found.
    pub as_found: bool,
    /// Whether one tick may say that it is good.
    pub has_good: bool,
    /// Its looks that may apply.
    pub looks: Vec<SheetLook>,
}

/// A fixed place.
#[derive(Debug, Clone)]
pub struct SheetPlace {
    /// Its name.
    pub name: String,
    /// Its words.
    pub words: String,
    /// When it is there, where that is not settled.
    pub only: Option<String>,
    /// Quick test.
    pub how: Option<String>,
    /// Caution.
    pub care: Option<String>,
}

/// A look.
#[derive(Debug, Clone)]
pub struct SheetLook {
    /// Its name, as a record's column ends.
    pub name: String,
    /// What is asked.
    pub question: String,
    /// When it is asked, where that is not settled.
    pub only: Option<String>,
    /// Quick test.
    pub how: Option<String>,
    /// Caution.
    pub care: Option<String>,
    /// Whether it holds personal data.
    pub private: bool,
    /// How it is answered.
    pub answer: Answer,
}

/// Room for an answer.
#[derive(Debug, Clone)]
pub enum Answer {
    /// Boxes to tick: one, or (`many`) all that are so.
    Boxes {
        /// Whether several may be ticked.
        many: bool,
        /// The boxes.
        boxes: Vec<SheetBox>,
    },
    /// A number: its unit, what it may be, and how well it can be read.
    Number {
        /// `mm`, `USD`, or nothing.
        unit: String,
        /// `0 to 8 mm`, and the reading error.
        range: String,
    },
    /// A date.
    Date,
    /// Words.
    Text,
}

/// A box to tick.
#[derive(Debug, Clone)]
pub struct SheetBox {
    /// What it stands for.
    pub words: String,
    /// Whether what was chosen ticks it already.
    pub ticked: bool,
}

impl Sheet {
    /// The sheet of a rulebook, as far as it may apply.
    pub fn new(scope: &Scope<'_>) -> Self {
        let book = scope.book();
        let chosen = scope.chosen().and_then(|(look, at)| book[look].choices().get(at));
        let (mut contexts, mut parts) = (Vec::new(), Vec::new());
        for at in 0..book.parts.len() {
            let id = PartId::from_index(at);
            if !scope.part(id) {
                continue;
            }
            let mut part = part(scope, id);
            if part.looks.is_empty() {
                continue;
            }
            if book[id].context {
                contexts.push(part);
            } else {
                part.number = parts.len() + 1;
                parts.push(part);
            }
        }
        Self {
            title: text(&book.title),
            rulebook: crate::report::rulebook_line(book),
            chosen: chosen.map(|choice| text(&choice.words)),
            chosen_name: chosen.map(|choice| choice.name.clone()),
            contexts,
            parts,
            notices: book.notices.iter().map(|notice| text(notice)).collect(),
        }
    }
}

fn text(text: &str) -> String {
    plain(text).into_owned()
}

fn optional(words: Option<&String>) -> Option<String> {
    words.map(|words| text(words))
}

fn part(scope: &Scope<'_>, id: PartId) -> SheetPart {
    let book = scope.book();
    let part = &book[id];
    let looks: Vec<LookId> = part.looks.iter().copied().filter(|&look| scope.look(look)).collect();
    let places = part.fixed_places().iter().filter(|place| scope.place(id, place));
    SheetPart {
        number: 0,
        name: part.name.clone(),
        words: text(&part.words),
        only: only(scope, id, part.only_when.as_ref()),
        how: optional(part.how.as_ref()),
        care: optional(part.care.as_ref()),
        places: places
            .map(|place| SheetPlace {
                name: place.name.clone(),
                words: text(&place.words),
                only: only(scope, id, place.only_when.as_ref()),
                how: optional(place.how.as_ref()),
                care: optional(place.care.as_ref()),
            })
            .collect(),
        as_found: matches!(part.places, Places::AsFound),
        has_good: looks.iter().any(|&look| book[look].good.is_some()),
        looks: looks.into_iter().map(|id| look(scope, id)).collect(),
    }
}

fn look(scope: &Scope<'_>, id: LookId) -> SheetLook {
    let look = &scope.book()[id];
    SheetLook {
        name: look.name.clone(),
        question: text(&look.question),
        only: only(scope, look.part, look.only_when.as_ref()),
        how: optional(look.how.as_ref()),
        care: optional(look.care.as_ref()),
        private: look.private,
        answer: answer(scope, id),
    }
}

fn answer(scope: &Scope<'_>, id: LookId) -> Answer {
    let book = scope.book();
    let look = &book[id];
    let chosen = scope.chosen().filter(|(look, _)| *look == id).map(|(_, at)| at);
    let boxes = |many| Answer::Boxes {
        many,
        boxes: look
            .choices()
            .iter()
            .enumerate()
            .map(|(at, choice)| SheetBox { words: text(&choice.words), ticked: chosen == Some(at) })
            .collect(),
    };
    let range = allowed(look, book.money);
    match &look.kind {
        LookKind::YesNo => Answer::Boxes {
            many: false,
            boxes: ["yes", "no"].map(|words| SheetBox { words: words.to_owned(), ticked: false }).into(),
        },
        LookKind::OneOf(_) => boxes(false),
        LookKind::SomeOf(_) => boxes(true),
        LookKind::Measured { unit, give_or_take, .. } => {
            let error = give_or_take.map(|error| format!(", to be read give or take {}", reading_error(error, *unit)));
            Answer::Number { unit: unit_words(*unit), range: format!("{range}{}", error.unwrap_or_default()) }
        }
        LookKind::Counted { .. } => Answer::Number { unit: String::new(), range },
        LookKind::Priced { .. } => Answer::Number { unit: book.money.code().to_owned(), range },
        LookKind::Dated => Answer::Date,
        LookKind::Written => Answer::Text,
    }
}

fn unit_words(unit: Unit) -> String {
    match unit {
        Unit::None => String::new(),
        unit => unit.to_string(),
    }
}

/// When something of a part is there, in words; none where it always is, or where what was chosen settles it.
fn only(scope: &Scope<'_>, on: PartId, only_when: Option<&Condition>) -> Option<String> {
    let unsettled = unsettled(scope, only_when?)?;
    Some(text(&Wording::on(scope.book(), on).sentence(&unsettled).to_string()))
}

/// What is left of a condition once the tests that what was chosen meets are taken out; none where nothing is.
fn unsettled(scope: &Scope<'_>, condition: &Condition) -> Option<Condition> {
    let settled = |test: &Condition| matches!(test, Condition::Test(Test::IsOneOf { look, .. }, _) if scope.chosen().is_some_and(|(chosen, _)| chosen == look.look));
    match condition {
        Condition::All(all) => {
            let left: Vec<Condition> = all.iter().filter_map(|each| unsettled(scope, each)).collect();
            (!left.is_empty()).then_some(Condition::All(left))
        }
        Condition::Not(inner) if settled(inner) => None,
        test if settled(test) => None,
        other => Some(other.clone()),
    }
}
