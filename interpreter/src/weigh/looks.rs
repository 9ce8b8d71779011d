//! What a record may say by one of two rulebooks and not by the other.

use purfle_lang::book::{Book, Look, LookId, LookKind, Places};
use purfle_lang::number::Number;
use purfle_lang::saying::{Saying, allowed, format};

use super::replay::Books;
use super::view::LookView;

/// Looks that only one of the books has, or of which the two take different answers.
pub fn looks(books: Books<'_>) -> Vec<LookView> {
    let mut views = Vec::new();
    let all = |book: &Book| (0..book.looks.len()).map(LookId::from_index).collect::<Vec<_>>();
    for look in all(books.old) {
        let path = books.old.look_path(look);
        let says = match find(books.new, books.old, look) {
            None => vec!["only the old rulebook has it".to_owned()],
            Some(there) => different(books, look, there),
        };
        views.extend(says.into_iter().map(|says| view(path.clone(), says)));
    }
    for look in all(books.new).into_iter().filter(|look| find(books.old, books.new, *look).is_none()) {
        views.push(view(books.new.look_path(look), "only the new rulebook has it".to_owned()));
    }
    for part in &books.old.parts {
        let Some(there) = books.new.find_part(&part.name) else { continue };
        let names = |places: &Places| match places {
            Places::Single => "the part as a whole".to_owned(),
            Places::AsFound => "places as found".to_owned(),
            Places::Fixed(places) => places.iter().map(|place| place.name.clone()).collect::<Vec<_>>().join(", "),
        };
        let (old, new) = (names(&part.places), names(&books.new[there].places));
        if old != new {
            views.push(view(part.name.clone(), format!("places: was {old}; now {new}")));
        }
    }
    views
}

/// Looks of which the two take a reading with another error, so that one record may leave more open by the one than by the other.
pub fn readings(books: Books<'_>) -> Vec<String> {
    let looks = (0..books.old.looks.len()).map(LookId::from_index);
    let other_error = |look: &LookId| {
        find(books.new, books.old, *look).is_some_and(|there| error_of(&books.old[*look]) != error_of(&books.new[there]))
    };
    looks.filter(other_error).map(|look| books.old.look_path(look)).collect()
}

fn error_of(look: &Look) -> Option<Number> {
    match look.kind {
        LookKind::Measured { give_or_take, .. } => give_or_take,
        _ => None,
    }
}

fn view(look: String, says: String) -> LookView {
    LookView { look, says, findings: Vec::new() }
}

fn find(book: &Book, from: &Book, look: LookId) -> Option<LookId> {
    book.find_look(book.find_part(&from[from[look].part].name)?, &from[look].name)
}

fn different(Books { old, new }: Books<'_>, look: LookId, there: LookId) -> Vec<String> {
    let mut says = Vec::new();
    let (before, after) = (&old[look], &new[there]);
    let (was, now) = (allowed(before, old.money), allowed(after, new.money));
    if was != now {
        says.push(format!("takes: was {was}; now {now}"));
    }
    let error = |look: &Look, money| match error_of(look) {
        Some(error) => format(look, &Saying::Between { low: Some(error), high: Some(error), reading: true }, money),
        None => "nothing".to_owned(),
    };
    if error_of(before) != error_of(after) {
        let (was, now) = (error(before, old.money), error(after, new.money));
        says.push(format!("give or take: was {was}; now {now}"));
    }
    says
}
