//! The worked cases that the shop agrees on, in words.

use purfle_lang::book::{
    AidWord, Book, Example, Expectation, ExpectedRange, LookId, PartId, PlayedWord, RecordEntry, RecordPath, StateWord, StepId,
};
use purfle_lang::number::Number;
use purfle_lang::resolve::noted::Target;
use purfle_lang::unit::format_date;
use purfle_lang::wording::{quoted, short};

use super::super::document::{Block, Chapter, Head, Line, Row, Section, Table};
use super::super::maker::Maker;
use crate::outcome::At;
use crate::report::{money_range, place_words, saying_words};

/// The chapter; none where there are no examples.
pub fn chapter(maker: &Maker<'_>) -> Option<Chapter> {
    let book = maker.book;
    let own = section(maker, "examples-own", format!("Of {}", book.name), &book.examples, false);
    let inherited =
        section(maker, "examples-inherited", "Of the rulebooks it builds on".to_owned(), &book.inherited_examples, true);
    let sections: Vec<Section> = [own, inherited].into_iter().flatten().collect();
    (!sections.is_empty()).then(|| Chapter {
        head: Head::plain("examples", "Worked cases"),
        blocks: vec![Block::Paragraph(Line::words(
            "What the shop agrees on: what is written down of an instrument, and what must come out. What is not written down \
             was not looked at.",
        ))],
        sections,
    })
}

fn section(maker: &Maker<'_>, anchor: &str, title: String, examples: &[Example], inherited: bool) -> Option<Section> {
    if examples.is_empty() {
        return None;
    }
    let rows = examples.iter().map(|example| {
        let record = example.record.iter().map(|entry| written(maker, entry));
        let comes_out = example.expects.iter().map(|(expected, _)| expected_words(maker, expected));
        Row { anchor: String::new(), cells: vec![vec![Line::words(&example.words)], record.collect(), comes_out.collect()] }
    });
    let caption = if inherited { "As they were agreed there: what the house changes may come out differently here." } else { "" };
    Some(Section {
        head: Head::plain(anchor, title),
        blocks: vec![Block::Table(Table {
            caption: caption.to_owned(),
            head: ["Case", "Written down", "Comes out"].map(str::to_owned).into(),
            rows: rows.collect(),
        })],
        entries: Vec::new(),
    })
}

/// One entry of a record.
fn written(maker: &Maker<'_>, entry: &RecordEntry) -> Line {
    let book = maker.book;
    let part = |part: PartId, at: Option<RecordPath>| {
        let place = at.and_then(|at| place_words(book, part, At::Place(at))).map(|place| format!(", {place}"));
        Line::words(format!("{}{}", short(&book[part].words), place.unwrap_or_default()))
    };
    match entry {
        RecordEntry::Look(look, at, saying) => asked(maker, *look, *at).say(" ").strong(saying_words(book, *look, saying)),
        RecordEntry::Last(look, at, saying) => {
            Line::words("The time before: ").then(asked(maker, *look, *at)).say(" ").strong(saying_words(book, *look, saying))
        }
        RecordEntry::Good(id, at) => part(*id, *at).say(": ").strong("good"),
        RecordEntry::Absent(id, at) => part(*id, *at).say(": ").strong("does not apply"),
        RecordEntry::NoPlaces(id) => part(*id, None).say(": ").strong("looked for, and none found"),
        RecordEntry::MayBeMore(id) => part(*id, None).say(": ").strong("there may be more"),
        RecordEntry::RestGood => Line::words("All the rest: ").strong("good"),
        RecordEntry::Quoted(price) => Line::words("The shop's own price: ").strong(money_range(book, *price, *price)),
        RecordEntry::InspectedOn(day) => Line::words("Looked over on ").strong(format_date(*day)),
    }
}

/// A look by its question, with its part and place unless it is of a context. There are so many of them that no links
/// lead from here.
fn asked(maker: &Maker<'_>, look: LookId, at: RecordPath) -> Line {
    let book = maker.book;
    let id = book[look].part;
    let place = place_words(book, id, At::Place(at)).map(|place| format!(", {place}")).unwrap_or_default();
    let part = if book[id].context { String::new() } else { format!("{}{place}: ", short(&book[id].words)) };
    Line::words(format!("{part}{}", book[look].question))
}

/// From one to another; one where both are the same.
fn range<T: Copy + PartialEq>(range: &ExpectedRange<T>, words: impl Fn(T) -> String) -> String {
    if range.from == range.to { words(range.from) } else { format!("{} to {}", words(range.from), words(range.to)) }
}

fn sums(book: &Book, sums: &ExpectedRange<Number>) -> String {
    money_range(book, sums.from, sums.to)
}

/// What must come out.
fn expected_words(maker: &Maker<'_>, expected: &Expectation) -> Line {
    let book = maker.book;
    let step = |id: StepId| quoted(&book[id].words);
    let labelled = |label: &str, words: String| Line::default().strong(format!("{label}:")).say(format!(" {words}"));
    match expected {
        Expectation::Finding { state, finding, place, at } => {
            let label = match state {
                StateWord::Found => "Found:",
                StateWord::Clear => "Ruled out:",
                StateWord::Open => "Left open:",
                StateWord::Suspected => "Suspected:",
            };
            let place = place.and_then(|place| place_words(book, book[*finding].on, At::Place(place)));
            let mut line = Line::default().strong(label).say(" ").then(maker.finding(*finding));
            line = line.say(place.map(|place| format!(", {place}")).unwrap_or_default());
            line.say(at.as_ref().map(|at| format!("; {}", range(at, step))).unwrap_or_default())
        }
        Expectation::NothingElse => Line::words("Nothing else is found."),
        Expectation::Urgency(steps) => labelled("How soon", range(steps, step)),
        Expectation::Played(played) => {
            let words = match played {
                PlayedWord::Yes => "yes",
                PlayedWord::No => "no",
                PlayedWord::Open => "not settled",
            };
            labelled("May it be played", words.to_owned())
        }
        Expectation::Cost(cost) => labelled("Cost", sums(book, cost)),
        Expectation::Left(left) => labelled("Cost if left", sums(book, left)),
        Expectation::Tier(tiers) => labelled("How dear", range(tiers, |tier| quoted(&book[tier].words))),
        Expectation::Hands(hands) => {
            labelled("By whom", range(hands, |hand| hand.map_or_else(|| "nobody".to_owned(), |hand| quoted(&book[hand].words))))
        }
        Expectation::Due(days) => labelled("Due", range(days, format_date)),
        Expectation::Looks(look, at) => {
            Line::default().strong("To look at next:").say(" ").then(asked(maker, *look, at.unwrap_or(RecordPath::Single)))
        }
        Expectation::LooksNot(look, at) => {
            Line::default().strong("Not to be asked:").say(" ").then(asked(maker, *look, at.unwrap_or(RecordPath::Single)))
        }
        Expectation::Counsel(id, state) => {
            let label = match state {
                StateWord::Found => "Advice:",
                StateWord::Clear => "Advice that is not given:",
                StateWord::Open | StateWord::Suspected => "Advice that may apply:",
            };
            Line::default().strong(label).say(" ").link(maker.place(Target::Counsel(*id)), &book[*id].words)
        }
        Expectation::Refused => Line::words("The record is refused: no instrument can be like that."),
        Expectation::Aid(id, word) => {
            let label = match word {
                AidWord::Eligible => "A fund pays:",
                AidWord::Refused => "A fund does not pay:",
                AidWord::Open => "A fund may pay:",
            };
            Line::default().strong(label).say(" ").link(maker.place(Target::Aid(*id)), &book[*id].words)
        }
    }
}
