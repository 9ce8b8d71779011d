//! What applies to the instrument chosen: a part, a place or a look stays as long as it may apply.

use purfle_lang::book::{Book, Condition, LookAt, LookId, LookKind, PartId, Place, Test, Value};
use purfle_lang::nearest::nearest;

/// A rulebook as far as it may apply to the instrument chosen, or all of it.
#[derive(Debug, Clone, Copy)]
pub struct Scope<'a> {
    book: &'a Book,
    chosen: Option<(LookId, usize)>,
}

impl<'a> Scope<'a> {
    /// All of the rulebook.
    pub fn everything(book: &'a Book) -> Self {
        Self { book, chosen: None }
    }

    /// What may apply where a context shows this choice, by its name or its words: `viola`. Where several looks have such
    /// a choice, the look is written before it: `instrument.kind=viola`. The error says what may be chosen.
    pub fn choose(book: &'a Book, text: &str) -> Result<Self, String> {
        let (path, wanted) = match text.split_once('=') {
            Some((path, wanted)) => (Some(path.trim()), wanted.trim()),
            None => (None, text.trim()),
        };
        let looks = deciding(book);
        let mut found = Vec::new();
        for &look in &looks {
            if path.is_none_or(|path| path == book.look_path(look)) {
                let same = |word: &str| word.to_lowercase() == wanted.to_lowercase();
                let choices = book[look].choices().iter();
                let named = choices.clone().position(|choice| same(&choice.name));
                found.extend(named.or_else(|| choices.clone().position(|choice| same(&choice.words))).map(|at| (look, at)));
            }
        }
        match found.as_slice() {
            [chosen] => Ok(Self { book, chosen: Some(*chosen) }),
            [] => Err(unknown(book, &looks, wanted)),
            several => {
                let ways: Vec<String> = several.iter().map(|(look, _)| format!("{}={wanted}", book.look_path(*look))).collect();
                Err(format!("{} looks have a choice `{wanted}`: write {}", several.len(), ways.join(" or ")))
            }
        }
    }

    /// The book.
    pub fn book(&self) -> &'a Book {
        self.book
    }

    /// The look that was chosen by, and the index of its choice.
    pub fn chosen(&self) -> Option<(LookId, usize)> {
        self.chosen
    }

    /// Whether the part may apply.
    pub fn part(&self, part: PartId) -> bool {
        self.whole(self.book[part].only_when.as_ref())
    }

    /// Whether a fixed place of a part may apply.
    pub fn place(&self, part: PartId, place: &Place) -> bool {
        self.part(part) && self.whole(place.only_when.as_ref())
    }

    /// Whether the look may apply, at one place or another.
    pub fn look(&self, look: LookId) -> bool {
        self.part(self.book[look].part) && self.whole(self.book[look].only_when.as_ref())
    }

    fn whole(&self, only_when: Option<&Condition>) -> bool {
        only_when.is_none_or(|condition| self.may(condition, true))
    }

    /// Whether a condition may be met (or, where `met` is not set, its opposite, carried in to the single tests).
    fn may(&self, condition: &Condition, met: bool) -> bool {
        let among = |all: &[Condition]| all.iter().filter(|each| self.may(each, met)).count();
        match (condition, met) {
            (Condition::All(all), true) | (Condition::Any(all), false) => among(all) == all.len(),
            (Condition::Any(all), true) | (Condition::All(all), false) => among(all) > 0,
            (Condition::AtLeast(count, all), true) => among(all) >= *count as usize,
            (Condition::AtLeast(count, all), false) => among(all) + (*count as usize) > all.len(),
            (Condition::Not(inner), _) => self.may(inner, !met),
            (Condition::Test(test, _), _) => self.may_test(test, met),
            // These are not written after `only when`; nothing is left out on their account.
            (Condition::Places { .. } | Condition::Found(..), _) => true,
        }
    }

    fn may_test(&self, test: &Test, met: bool) -> bool {
        match test {
            Test::IsOneOf { look, choices, not } => match self.chosen {
                Some((chosen, at)) if chosen == look.look => choices.contains(&at) == (met != *not),
                _ => self.look(look.look),
            },
            Test::HasAny { look, .. } | Test::NoDate { look, .. } => self.look(look.look),
            Test::Compare(_, left, right) => [left, right].into_iter().all(|value| self.may_have(value)),
            Test::Between(value, low, high) => [value, low, high].into_iter().all(|value| self.may_have(value)),
            Test::PlaceIs { .. } | Test::TotalUrgency { .. } | Test::TotalTier { .. } => true,
        }
    }

    /// Whether a value may be there; only a look by itself is asked.
    fn may_have(&self, value: &Value) -> bool {
        match value {
            Value::Look(LookAt { look, .. }) => self.look(*look),
            _ => true,
        }
    }
}

/// The looks that decide what applies: of contexts, with one choice.
fn deciding(book: &Book) -> Vec<LookId> {
    let looks = (0..book.looks.len()).map(LookId::from_index);
    looks.filter(|&look| book[book[look].part].context && matches!(book[look].kind, LookKind::OneOf(_))).collect()
}

fn unknown(book: &Book, looks: &[LookId], wanted: &str) -> String {
    let names = || looks.iter().flat_map(|look| book[*look].choices()).map(|choice| choice.name.as_str());
    let near = nearest(wanted, names()).map(|near| format!("; the nearest is `{near}`")).unwrap_or_default();
    let mut allowed: Vec<String> = Vec::new();
    for &look in looks {
        let choices: Vec<&str> = book[look].choices().iter().map(|choice| choice.name.as_str()).collect();
        allowed.push(format!("{} ({})", choices.join(", "), book.look_path(look)));
    }
    match allowed.is_empty() {
        true => format!("`{wanted}` cannot be chosen: no context of this rulebook has a look with choices"),
        false => format!("no context has a choice `{wanted}`{near}; there are {}", allowed.join("; ")),
    }
}
