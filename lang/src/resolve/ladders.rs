//! The three ladders: steps of urgency, hands and tiers.

use super::draft::Draft;
use super::expression::{constant, sum};
use super::quantity::read_duration;
use crate::book::{Hand, Origin, Step, Tier, Within};
use crate::diagnostic::Diagnostic;
use crate::number::Number;
use crate::syntax::tree::{Entry, Head, StepWithin, TierLimit};
use crate::unit::Dimension;

/// A step of the urgency ladder.
pub fn step(draft: &Draft, entry: &Entry, origin: Origin) -> Step {
    let (within, not_played) = match &entry.head {
        Head::Step { within, not_played } => (within.as_ref(), not_played.is_some()),
        _ => (None, false),
    };
    let within = match within {
        None => Within::Whenever,
        Some(StepWithin::AtOnce(_)) => Within::AtOnce,
        Some(StepWithin::Duration(written)) => read_duration(&draft.scope(), written).map_or(Within::Whenever, Within::Duration),
    };
    Step { name: entry.name_text().to_owned(), words: words(entry), within, not_played, origin }
}

/// A hand, with its rate in money per hour.
pub fn hand(draft: &Draft, entry: &Entry, origin: Origin) -> Hand {
    let rate = match &entry.head {
        Head::Hand { rate: Some(rate) } => sum(&draft.scope(), rate, "The rate of a hand"),
        _ => None,
    };
    Hand { name: entry.name_text().to_owned(), words: words(entry), rate, origin }
}

/// A cost tier.
pub fn tier(draft: &Draft, entry: &Entry, origin: Origin) -> Tier {
    let up_to = match &entry.head {
        Head::Tier { limit: Some(TierLimit::UpTo(written)) } => {
            let end = constant(&draft.scope(), written, Dimension::MONEY, "The upper end of a tier");
            if end.is_some_and(|end| end < Number::from_integer(0)) {
                let says = format!("The tier `{}` ends below nothing.", entry.name_text());
                draft.sink.push(Diagnostic::error("below-nought", written.span(), says).help("Write a sum of 0 or more."));
            }
            end
        }
        _ => None,
    };
    Tier { name: entry.name_text().to_owned(), words: words(entry), up_to, origin }
}

/// The words of an entry, or its name where none were written.
pub fn words(entry: &Entry) -> String {
    entry.words.as_ref().map_or_else(|| entry.name_text().to_owned(), |words| words.value.clone())
}
