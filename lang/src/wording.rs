//! Conditions and values of a book in plain words, as somebody reads a rule aloud.
//!
//! Nothing is looked at or worked out here: it is the rulebook's own sentence, with each look by its question and each
//! finding by its words. A `not` is carried in to the single tests, which is what it means.

mod condition;
mod look;
mod quantity;
#[cfg(test)]
mod tests;
mod value;

use std::fmt;

use crate::book::{Book, LookId, PartId};
use crate::resolve::noted::Target;
pub use look::reading_error;
pub use quantity::{amount, amounts};

/// A piece of a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Piece {
    /// Words.
    Words(String),
    /// Something of the rulebook, by its words in quotes.
    Named(Target, String),
}

/// A sentence, or a part of one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Phrase(pub Vec<Piece>);

impl Phrase {
    /// Words alone.
    pub fn words(words: impl Into<String>) -> Self {
        Self(vec![Piece::Words(words.into())])
    }

    /// Adds words.
    pub fn say(mut self, words: impl AsRef<str>) -> Self {
        match self.0.last_mut() {
            Some(Piece::Words(before)) => before.push_str(words.as_ref()),
            _ => self.0.push(Piece::Words(words.as_ref().to_owned())),
        }
        self
    }

    /// Adds another phrase.
    pub fn then(mut self, other: Self) -> Self {
        for piece in other.0 {
            match piece {
                Piece::Words(words) => self = self.say(words),
                named => self.0.push(named),
            }
        }
        self
    }

    /// The same with something of the rulebook at its end, in quotes.
    pub fn name(mut self, target: Target, words: &str) -> Self {
        self.0.push(Piece::Named(target, quoted(words)));
        self
    }

    /// Phrases with a joint between each two of them.
    pub fn joined(phrases: impl IntoIterator<Item = Phrase>, joint: &str) -> Self {
        let mut whole = Phrase::default();
        for (at, phrase) in phrases.into_iter().enumerate() {
            whole = if at == 0 { phrase } else { whole.say(joint).then(phrase) };
        }
        whole
    }
}

impl fmt::Display for Phrase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|piece| match piece {
            Piece::Words(words) | Piece::Named(_, words) => f.write_str(words),
        })
    }
}

/// A condition in words, its outer joints still apart, so that it can be laid out as a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Said {
    /// One sentence.
    One(Phrase),
    /// Every one of them.
    All(Vec<Said>),
    /// One of them or more.
    Any(Vec<Said>),
    /// That many of them or more.
    AtLeast(u32, Vec<Said>),
}

impl Said {
    /// All of it in one sentence; what is joined inside something joined stands in brackets.
    pub fn sentence(&self) -> Phrase {
        let inner = |said: &Said| match said {
            Said::One(phrase) => phrase.clone(),
            joined => Phrase::words("(").then(joined.sentence()).say(")"),
        };
        match self {
            Said::One(phrase) => phrase.clone(),
            Said::All(all) => Phrase::joined(all.iter().map(inner), ", and "),
            Said::Any(all) => Phrase::joined(all.iter().map(inner), ", or "),
            Said::AtLeast(count, all) => {
                Phrase::words(format!("at least {count} of these: ")).then(Phrase::joined(all.iter().map(inner), "; "))
            }
        }
    }
}

/// Puts what a book says into words.
#[derive(Debug, Clone, Copy)]
pub struct Wording<'b> {
    book: &'b Book,
    /// The part in hand, whose looks need no part before them.
    part: Option<PartId>,
}

impl<'b> Wording<'b> {
    /// Words for what stands outside of any part.
    pub fn new(book: &'b Book) -> Self {
        Self { book, part: None }
    }

    /// Words for what stands under a part, or in a finding on it.
    pub fn on(book: &'b Book, part: PartId) -> Self {
        Self { book, part: Some(part) }
    }

    /// A look by its question, and by its part where that is not the one in hand; contexts need none.
    pub fn look(&self, look: LookId) -> Phrase {
        let its = &self.book[look];
        let phrase = Phrase::default().name(Target::Look(look), &its.question);
        if self.part == Some(its.part) || self.book[its.part].context {
            return phrase;
        }
        phrase.say(" (").say(short(&self.book[its.part].words)).say(")")
    }
}

/// Words up to their first comma: what something is called in a sentence about something else.
pub fn short(words: &str) -> &str {
    words.split(',').next().unwrap_or_default().trim()
}

/// Words of a rulebook in quotes, on one line.
pub fn quoted(words: &str) -> String {
    format!("\u{201c}{}\u{201d}", words.replace('\n', " "))
}

/// `a`, `a or b`, `a, b or c`.
pub fn listed(words: &[String], joint: &str) -> String {
    match words {
        [rest @ .., last] if !rest.is_empty() => format!("{} {joint} {last}", rest.join(", ")),
        words => words.concat(),
    }
}
