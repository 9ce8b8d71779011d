//! What a record said of a look, in words again.

use purfle_lang::book::{Book, Look, LookKind};
use purfle_lang::number::{Number, format_decimal};
use purfle_lang::saying::Saying;
use purfle_lang::unit::{Unit, format_date};

/// A saying as a record or an example writes it: `crooked`, `0.5 mm`, `at least 3 mm`, `no`.
pub fn said(book: &Book, look: &Look, saying: &Saying) -> String {
    match saying {
        Saying::OneOf(choices) => names(look, choices).join(" or "),
        Saying::Exactly(choices) if choices.is_empty() => "none".to_owned(),
        Saying::Exactly(choices) => names(look, choices).join(", "),
        Saying::Between { low, high, .. } => between(book, look, *low, *high),
        Saying::DateBetween(Some(from), Some(to)) if from == to => format_date(*from),
        Saying::DateBetween(Some(from), Some(to)) => format!("{} to {}", format_date(*from), format_date(*to)),
        Saying::DateBetween(Some(from), None) => format!("at least {}", format_date(*from)),
        Saying::DateBetween(None, Some(to)) => format!("at most {}", format_date(*to)),
        Saying::DateBetween(None, None) => "any date".to_owned(),
        Saying::NoDate => "none".to_owned(),
        Saying::Text(text) => text.clone(),
        Saying::CouldNotTell => "?".to_owned(),
        Saying::DoesNotApply => "-".to_owned(),
    }
}

/// The names of choices, by their indices.
fn names(look: &Look, choices: &[usize]) -> Vec<String> {
    let name = |&at: &usize| match look.kind {
        LookKind::YesNo => if at == 0 { "no" } else { "yes" }.to_owned(),
        _ => look.choices().get(at).map_or_else(String::new, |choice| choice.name.clone()),
    };
    choices.iter().map(name).collect()
}

fn between(book: &Book, look: &Look, low: Option<Number>, high: Option<Number>) -> String {
    let unit = match look.kind {
        LookKind::Measured { unit, .. } => unit,
        LookKind::Priced { .. } => Unit::Money(book.money),
        _ => Unit::None,
    };
    let own = |number: Number| format_decimal(unit.from_base(number).unwrap_or(number));
    let text = match (low, high) {
        (Some(low), Some(high)) if low == high => own(low),
        (Some(low), Some(high)) => format!("{} to {}", own(low), own(high)),
        (Some(low), None) => format!("at least {}", own(low)),
        (None, Some(high)) => format!("at most {}", own(high)),
        (None, None) => return "anything".to_owned(),
    };
    if unit == Unit::None { text } else { format!("{text} {unit}") }
}
