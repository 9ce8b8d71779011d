//! Books put together by hand, for tests.

use crate::book::{
    Book, Condition, Cost, Finding, FindingId, HandId, Look, LookId, LookKind, Origin, Part, PartId, Place, Places,
};
use crate::span::{FileId, Span};
use crate::unit::Currency;

pub fn at(start: usize) -> Span {
    Span::new(FileId(0), start, start + 1)
}

pub fn origin(start: usize) -> Origin {
    Origin { span: at(start), ..Origin::default() }
}

pub fn book() -> Book {
    Book { name: "tried".to_owned(), edition: "1".to_owned(), ..Book::blank(Currency::parse("USD").unwrap()) }
}

/// A part with one yes-or-no look, called `there`.
pub fn part(book: &mut Book, name: &str, places: &[(&str, Option<Condition>)], only_when: Option<Condition>) -> (PartId, LookId) {
    let id = PartId::from_index(book.parts.len());
    let look = LookId::from_index(book.looks.len());
    let fixed = |(name, only_when): &(&str, Option<Condition>)| Place {
        name: (*name).to_owned(),
        words: String::new(),
        only_when: only_when.clone(),
        how: None,
        care: None,
    };
    book.parts.push(Part {
        name: name.to_owned(),
        words: String::new(),
        context: false,
        apart: false,
        only_when,
        places: if places.is_empty() { Places::Single } else { Places::Fixed(places.iter().map(fixed).collect()) },
        looks: vec![look],
        how: None,
        care: None,
        origin: origin(100 * id.index()),
    });
    book.looks.push(Look { origin: origin(100 * id.index() + 50), ..Look::plain("there", id, "", LookKind::YesNo) });
    (id, look)
}

pub fn finding(book: &mut Book, name: &str, signs: Condition) -> FindingId {
    let id = FindingId::from_index(book.findings.len());
    book.findings.push(Finding {
        name: name.to_owned(),
        words: String::new(),
        on: PartId(0),
        each: false,
        signs,
        unless: Vec::new(),
        urgency: Vec::new(),
        hands: HandId(0),
        cost: Cost::default(),
        ways: Vec::new(),
        becomes: Vec::new(),
        again: None,
        yields_to: Vec::new(),
        first: Vec::new(),
        tell: Vec::new(),
        refer: Vec::new(),
        care: Vec::new(),
        basis: Vec::new(),
        origin: origin(10 * id.index()),
    });
    id
}
