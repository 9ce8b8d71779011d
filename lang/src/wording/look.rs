//! What a look takes and what is good, in words.

use super::{Phrase, Wording, listed, quoted};
use crate::book::{Choice, Good, Look, LookKind};
use crate::number::{Number, format_decimal};
use crate::saying::allowed;
use crate::unit::{Dimension, Unit};

impl Wording<'_> {
    /// The kind of answer that a look takes.
    pub fn answer(&self, look: &Look) -> String {
        let allowed = allowed(look, self.book.money);
        match &look.kind {
            LookKind::YesNo => "Yes or no.".to_owned(),
            LookKind::OneOf(choices) => format!("One of: {}.", each(choices)),
            LookKind::SomeOf(choices) => format!("All that is so of: {}; or none.", each(choices)),
            LookKind::Measured { unit, give_or_take, .. } => match give_or_take {
                Some(error) => format!("{allowed}, to be read give or take {}.", reading_error(*error, *unit)),
                None => format!("{allowed}."),
            },
            LookKind::Counted { from, to } => format!("A whole number from {from} to {to}."),
            LookKind::Priced { .. } => format!("A sum, {allowed}."),
            LookKind::Dated => "A date, or none.".to_owned(),
            LookKind::Written => "In words.".to_owned(),
        }
    }

    /// What a good instrument shows at a look.
    pub fn good(&self, look: &Look, good: &Good) -> Phrase {
        match good {
            Good::Choices(choices) if choices.is_empty() => Phrase::words("none"),
            Good::Choices(choices) => {
                let joint = if matches!(look.kind, LookKind::SomeOf(_)) { "and" } else { "or" };
                let words: Vec<String> = match look.kind {
                    LookKind::YesNo => choices.iter().map(|at| if *at == 0 { "no" } else { "yes" }.to_owned()).collect(),
                    _ => choices.iter().filter_map(|at| look.choices().get(*at)).map(|choice| choice.words.clone()).collect(),
                };
                Phrase::words(listed(&words, joint))
            }
            Good::Range(value) => self.value_in(value, look.dimension().unwrap_or(Dimension::NUMBER), unit(look)),
            Good::NoDate => Phrase::words("no date"),
        }
    }
}

fn unit(look: &Look) -> Option<Unit> {
    match look.kind {
        LookKind::Measured { unit, .. } => Some(unit),
        _ => None,
    }
}

/// Choices by their words, each with its name where that is another.
fn each(choices: &[Choice]) -> String {
    let words = choices.iter().map(|choice| match choice.words == choice.name {
        true => choice.words.clone(),
        false => format!("{} ({})", quoted(&choice.words), choice.name),
    });
    words.collect::<Vec<_>>().join("; ")
}

/// A reading error as it is written: `0.2 mm`. Of a temperature it is a difference, without the zero point.
pub fn reading_error(error: Number, unit: Unit) -> String {
    match (unit.from_base(error), unit.from_base(Number::from_integer(0))) {
        (Some(error), Some(zero)) => format!("{} {unit}", format_decimal(error - zero)),
        _ => String::new(),
    }
}
