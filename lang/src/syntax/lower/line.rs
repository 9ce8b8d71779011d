//! The own line of an entry: its name, its words and the rest of its head.

use super::{Lower, skip};
use crate::diagnostic::Diagnostic;
use crate::span::{Span, Spanned};
use crate::syntax::grammar::{Pair, Rule};
use crate::syntax::scan;
use crate::syntax::split::{Doing, Slice};
use crate::syntax::tree::{ChoiceWords, Head, Kind, LookKind, Name, StepWithin, Text, TierLimit};

/// An entry's own line, read.
pub(in crate::syntax) struct Line {
    pub name: Option<Name>,
    pub owner: Option<Name>,
    pub words: Option<Text>,
    pub head: Head,
    pub because: Option<Text>,
    /// Whether a value or a condition of it could not be read, which was told.
    pub lost: bool,
}

impl Line {
    /// A line of which nothing could be read.
    pub fn empty(kind: Kind) -> Self {
        let head = match kind {
            Kind::Work => Head::Work { amount: None, by: None, once: None },
            Kind::Part | Kind::Context => Head::Part { apart: None },
            Kind::Table => Head::Table { by: Vec::new() },
            Kind::Reckon => Head::Reckon { value: None },
            Kind::Step => Head::Step { within: None, not_played: None },
            Kind::Hand => Head::Hand { rate: None },
            Kind::Tier => Head::Tier { limit: None },
            Kind::Place => Head::Place { only_when: None },
            Kind::Look => Head::Look { kind: None },
            _ => Head::Plain,
        };
        Self { name: None, owner: None, words: None, head, because: None, lost: false }
    }
}

impl Lower<'_> {
    /// Reads an entry's own line. `bullets` belong to a place's `only when`.
    pub fn line(&mut self, kind: Kind, pair: &Pair<'_>, bullets: &[Slice]) -> Line {
        let mut line = Line::empty(kind);
        let (mut bullets_used, mut lost) = (false, false);
        for inner in pair.clone().into_inner() {
            match (inner.as_rule(), &mut line.head) {
                (Rule::name | Rule::place_name, _) => {
                    let name = self.token(&inner);
                    self.small_letters(kind, &name);
                    line.name = Some(name);
                }
                (Rule::owned_name, _) => {
                    let mut segments = self.path(&inner).segments.into_iter();
                    (line.owner, line.name) = (segments.next(), segments.next());
                }
                (Rule::text, _) => line.words = Some(self.text(&inner)),
                (Rule::because, _) => line.because = inner.into_inner().last().map(|text| self.text(&text)),
                (Rule::amount, Head::Work { amount, .. }) => {
                    *amount = self.value(&inner);
                    lost |= amount.is_none();
                }
                (Rule::by_hand, Head::Work { by, .. }) => *by = self.names(&inner, Rule::hand_name).pop(),
                (Rule::times, Head::Work { once, .. }) => {
                    *once = Some(Spanned::new(inner.as_str().starts_with("once"), self.span(&inner)));
                }
                (Rule::k_apart, Head::Part { apart }) => *apart = Some(self.span(&inner)),
                (Rule::table_by, Head::Table { by }) => {
                    *by = inner.into_inner().filter(|path| path.as_rule() == Rule::path).map(|path| self.path(&path)).collect();
                }
                (Rule::reckon_as, Head::Reckon { value }) => {
                    *value = inner.into_inner().last().and_then(|amount| self.value(&amount));
                    lost |= value.is_none();
                }
                (Rule::step_within, Head::Step { within, .. }) => *within = Some(self.step_within(&inner)),
                (Rule::not_played, Head::Step { not_played, .. }) => *not_played = Some(self.span(&inner)),
                (Rule::rate, Head::Hand { rate }) => *rate = inner.into_inner().next().map(|quantity| self.quantity(&quantity)),
                (Rule::limit, Head::Tier { limit }) => *limit = Some(self.limit(&inner)),
                (Rule::only_when, Head::Place { only_when }) => {
                    bullets_used = true;
                    *only_when =
                        inner.into_inner().last().and_then(|condition| self.condition(&condition, bullets)).map(Box::new);
                }
                (Rule::look_kind, Head::Look { kind }) => *kind = self.look_kind(&inner),
                _ => {}
            }
        }
        if !bullets_used {
            self.no_bullets(bullets);
        }
        line.lost = lost;
        line
    }

    /// What can be saved of a line that could not be read: its name and its words.
    pub fn rescue(&mut self, kind: Kind, doing: Doing, slice: &Slice) -> Line {
        let mut line = Line::empty(kind);
        let end = slice.range.end;
        let mut at = skip(self.text, slice.first.end, end);
        let word = |at: usize, text: &str| at + text[at..end].find(|char| !scan::is_word(char)).unwrap_or(end - at);
        if doing != Doing::Writes {
            at = skip(self.text, word(at, self.text), end);
        }
        let starts_name = |at: usize| self.text[at..end].starts_with(char::is_alphabetic);
        if starts_name(at) {
            let mut stop = word(at, self.text);
            let mut value = self.text[at..stop].to_owned();
            // What stands before the item's words is its name, be it several words.
            let several = &self.text[at..end];
            let several = several.find('"').map(|quote| several[..quote].trim_end()).filter(|several| {
                let plain = |char: char| scan::is_word(char) && !char.is_uppercase() || char == ' ';
                doing == Doing::Writes && several.contains(' ') && several.chars().all(plain)
            });
            if let Some(several) = several {
                stop = at + several.len();
                value = several.split_whitespace().collect::<Vec<_>>().join("-");
            }
            let name = Spanned::new(value, Span::new(self.file, at, stop));
            at = stop;
            if self.text[at..end].starts_with('.') && starts_name(at + 1) {
                let stop = word(at + 1, self.text);
                line.owner = Some(name);
                line.name = Some(Spanned::new(self.text[at + 1..stop].to_owned(), Span::new(self.file, at + 1, stop)));
                at = stop;
            } else {
                line.name = Some(name);
            }
        }
        at = skip(self.text, at, end);
        if self.text[at..end].starts_with('"')
            && let Some(close) = self.text[at + 1..end].find(['"', '\n', '\r'])
        {
            let words = self.text[at + 1..at + 1 + close].to_owned();
            line.words = Some(Spanned::new(words, Span::new(self.file, at, at + close + 2)));
        }
        line
    }

    /// Names are in small letters; only places and choices may have capitals.
    fn small_letters(&mut self, kind: Kind, name: &Name) {
        if kind == Kind::Place || !name.value.chars().any(char::is_uppercase) {
            return;
        }
        let lower = name.value.to_lowercase();
        self.diagnostics.push(
            Diagnostic::error("name-with-capitals", name.span, format!("The name `{}` has capital letters.", name.value))
                .help("Write names in small letters; only places and choices may have capitals.")
                .fix(format!("Write `{lower}`"), false, name.span, lower.clone()),
        );
    }

    fn step_within(&self, pair: &Pair<'_>) -> StepWithin {
        let quantity = pair.clone().into_inner().find(|inner| inner.as_rule() == Rule::quantity);
        quantity.map_or_else(|| StepWithin::AtOnce(self.span(pair)), |quantity| StepWithin::Duration(self.quantity(&quantity)))
    }

    fn limit(&self, pair: &Pair<'_>) -> TierLimit {
        let quantity = pair.clone().into_inner().find(|inner| inner.as_rule() == Rule::quantity);
        quantity.map_or_else(|| TierLimit::Beyond(self.span(pair)), |quantity| TierLimit::UpTo(self.quantity(&quantity)))
    }

    fn look_kind(&mut self, pair: &Pair<'_>) -> Option<LookKind> {
        let kind = pair.clone().into_inner().next()?;
        let rule = kind.as_rule();
        let mut ends = kind.clone().into_inner().filter(|inner| inner.as_rule() == Rule::quantity);
        Some(match rule {
            Rule::yes_or_no => LookKind::YesNo,
            Rule::one_of_kind => LookKind::OneOf(self.choice_list(&kind)),
            Rule::some_of_kind => LookKind::SomeOf(self.choice_list(&kind)),
            Rule::k_dated => LookKind::Dated,
            Rule::k_written => LookKind::Written,
            Rule::counted => LookKind::Counted { from: self.quantity(&ends.next()?), to: self.quantity(&ends.next()?) },
            Rule::priced => LookKind::Priced { from: self.quantity(&ends.next()?), to: self.quantity(&ends.next()?) },
            Rule::measured => {
                let inside = |rule: Rule| kind.clone().into_inner().find(|inner| inner.as_rule() == rule);
                let error = inside(Rule::give_or_take).and_then(|inner| inner.into_inner().last());
                LookKind::Measured {
                    unit: self.token(&inside(Rule::unit)?),
                    from: self.quantity(&ends.next()?),
                    to: self.quantity(&ends.next()?),
                    give_or_take: error.map(|quantity| self.quantity(&quantity)),
                }
            }
            _ => return None,
        })
    }

    fn choice_list(&mut self, pair: &Pair<'_>) -> Vec<ChoiceWords> {
        let mut choices = Vec::new();
        for words in pair.clone().into_inner().filter(|inner| inner.as_rule() == Rule::choice_words) {
            let mut inner = words.into_inner();
            let Some(choice) = inner.next() else { continue };
            let choice = self.choice(&choice);
            choices.push(ChoiceWords { choice, words: inner.next().map(|text| self.text(&text)) });
        }
        choices
    }
}
