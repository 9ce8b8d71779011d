//! The three ladders: steps of urgency, hands and tiers.

use super::draft::Draft;
use super::expression::{constant, sum};
use super::quantity::duration;
use crate::book::{Hand, Origin, Step, Tier, Within};
use crate::diagnostic::Diagnostic;
use crate::number::Number;
use crate::syntax::tree::{Expression, Name, Text, WrittenWithin};
use crate::unit::Dimension;

/// A step of the urgency ladder.
pub fn step(draft: &Draft, name: &Name, words: Option<&Text>, within: Option<&WrittenWithin>, not_played: bool, origin: Origin) -> Step {
    let within = match within {
        None => Within::Whenever,
        Some(WrittenWithin::AtOnce) => Within::AtOnce,
        Some(WrittenWithin::Within(written)) => {
            draft.sink.keep(duration(written.value.0, written.value.1, written.span)).map_or(Within::Whenever, Within::Duration)
        }
    };
    Step { name: name.value.clone(), words: words_or_name(words, name), within, not_played, origin }
}

/// A hand, with its rate in money per hour.
pub fn hand(draft: &Draft, name: &Name, words: Option<&Text>, rate: Option<&Expression>, origin: Origin) -> Hand {
    let rate = rate.and_then(|written| sum(&draft.scope(), &draft.facts, written, "The rate of a hand"));
    Hand { name: name.value.clone(), words: words_or_name(words, name), rate, origin }
}

/// A cost tier.
pub fn tier(draft: &Draft, name: &Name, words: Option<&Text>, up_to: Option<&Expression>, origin: Origin) -> Tier {
    let scope = draft.scope();
    let up_to = up_to.map(|written| {
        let end = constant(&scope, &draft.facts, written, Dimension::MONEY, "The upper end of a tier");
        if end.is_some_and(|end| end < Number::from_integer(0)) {
            draft.sink.push(Diagnostic::error("below-nought", written.span, "A tier ends below nothing.").help("Write a sum of 0 or more."));
        }
        // Whatever was wrong is said; a tier without an end here would bring up another error about the last one.
        end.unwrap_or(Number::from_integer(0))
    });
    Tier { name: name.value.clone(), words: words_or_name(words, name), up_to, origin }
}

/// The words, or the name where none were written.
pub fn words_or_name(words: Option<&Text>, name: &Name) -> String {
    words.map_or_else(|| name.value.clone(), |words| words.value.clone())
}
