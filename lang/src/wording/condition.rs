//! Conditions in words.

use super::{Phrase, Said, Wording, listed, quoted, short};
use crate::book::{Comparison, Condition, Count, LookAt, LookId, LookKind, PartId, PlaceAt, PlaceId, StepId, Test, TierId};
use crate::resolve::noted::Target;

impl Wording<'_> {
    /// A condition.
    pub fn condition(&self, condition: &Condition) -> Said {
        self.carried(condition, false)
    }

    /// A condition in one sentence.
    pub fn sentence(&self, condition: &Condition) -> Phrase {
        self.condition(condition).sentence()
    }

    /// A condition, or its opposite where `not` is set.
    fn carried(&self, condition: &Condition, not: bool) -> Said {
        let each = |all: &[Condition]| all.iter().map(|one| self.carried(one, not)).collect();
        match condition {
            Condition::All(all) if not => joined(each(all), Said::Any),
            Condition::All(all) => joined(each(all), Said::All),
            Condition::Any(all) if not => joined(each(all), Said::All),
            Condition::Any(all) => joined(each(all), Said::Any),
            Condition::AtLeast(count, all) => {
                let count = if not { (all.len() as u32 + 1).saturating_sub(*count) } else { *count };
                joined(each(all), |all| Said::AtLeast(count, all))
            }
            Condition::Not(inner) => self.carried(inner, !not),
            Condition::Test(test, _) => Said::One(self.test(test, not)),
            Condition::Places { count, part, with, .. } => Said::One(self.places(*count, *part, with, not)),
            Condition::Found(finding, _) => {
                let phrase = Phrase::default().name(Target::Finding(*finding), &self.book[*finding].words);
                Said::One(phrase.say(if not { " is not found" } else { " is found" }))
            }
        }
    }

    /// What is asked of the places of a part. Only whether it is met is asked of each, so no `not` is carried in.
    fn places(&self, count: Count, part: PartId, with: &Condition, not: bool) -> Phrase {
        let at = match (count, not) {
            (Count::Any, false) | (Count::No, true) => "at any place".to_owned(),
            (Count::Any, true) | (Count::No, false) => "at no place".to_owned(),
            (Count::Every, false) => "at every place".to_owned(),
            (Count::Every, true) => "not at every place".to_owned(),
            (Count::AtLeast(count), false) => format!("at {count} places or more"),
            (Count::AtLeast(count), true) => format!("at fewer than {count} places"),
        };
        let inside = Wording { book: self.book, part: Some(part) }.condition(with).sentence();
        let part = Phrase::default().name(Target::Part(part), short(&self.book[part].words));
        part.say(format!(", {at}: ")).then(inside)
    }

    fn test(&self, test: &Test, not: bool) -> Phrase {
        match test {
            Test::IsOneOf { look, choices, not: written } => {
                let not = not != *written;
                let subject = self.look_at(*look);
                if let (LookKind::YesNo, [choice]) = (&self.book[look.look].kind, choices.as_slice()) {
                    return subject.say(if (*choice == 1) != not { " is yes" } else { " is no" });
                }
                let words = self.choices(look.look, choices);
                match (not, words.len()) {
                    (false, _) => subject.say(format!(" is {}", listed(&words, "or"))),
                    (true, 1) => subject.say(format!(" is not {}", words.concat())),
                    (true, _) => subject.say(format!(" is none of {}", listed(&words, "and"))),
                }
            }
            Test::HasAny { look, choices } => {
                let words = self.choices(look.look, choices);
                let subject = self.look_at(*look);
                match (not, words.len()) {
                    (false, _) => subject.say(format!(" has {}", listed(&words, "or"))),
                    (true, 1) => subject.say(format!(" does not have {}", words.concat())),
                    (true, _) => subject.say(format!(" has none of {}", listed(&words, "and"))),
                }
            }
            Test::NoDate { look, not: written } => {
                self.look_at(*look).say(if not != *written { " has a date" } else { " has no date" })
            }
            Test::Compare(comparison, left, right) => {
                let (left, right) = self.alike(left, right);
                let words = match if not { opposite(*comparison) } else { *comparison } {
                    Comparison::Above => " is above ",
                    Comparison::Below => " is below ",
                    Comparison::AtLeast => " is at least ",
                    Comparison::AtMost => " is at most ",
                };
                left.say(words).then(right)
            }
            Test::Between(value, low, high) => {
                let (subject, low) = self.alike(value, low);
                let (_, high) = self.alike(value, high);
                if not {
                    subject.say(" is below ").then(low).say(" or above ").then(high)
                } else {
                    subject.say(" is from ").then(low).say(" to ").then(high)
                }
            }
            Test::PlaceIs { part, places, not: written } => {
                let words = self.places_named(*part, places);
                match (not != *written, words.len()) {
                    (false, _) => Phrase::words(format!("the place is {}", listed(&words, "or"))),
                    (true, 1) => Phrase::words(format!("the place is not {}", words.concat())),
                    (true, _) => Phrase::words(format!("the place is none of {}", listed(&words, "and"))),
                }
            }
            Test::TotalUrgency { from, to, not: written } => {
                let step = |phrase: Phrase, id: StepId| phrase.name(Target::Step(id), &self.book[id].words);
                let top = StepId::from_index(self.book.steps.len().saturating_sub(1));
                let subject = Phrase::words("the urgency of the whole");
                between(subject, (*from, *to), (StepId(0), top), not != *written, step)
            }
            Test::TotalTier { from, to, not: written } => {
                let tier = |phrase: Phrase, id: TierId| phrase.name(Target::Tier(id), &self.book[id].words);
                let top = TierId::from_index(self.book.tiers.len().saturating_sub(1));
                let subject = Phrase::words("the tier of the total cost");
                between(subject, (*from, *to), (TierId(0), top), not != *written, tier)
            }
        }
    }

    /// A look, and the place where it is read unless that is the one in hand.
    pub(super) fn look_at(&self, at: LookAt) -> Phrase {
        let phrase = self.look(at.look);
        match at.place {
            PlaceAt::Single | PlaceAt::Here => phrase,
            PlaceAt::Fixed(place) => {
                let words = self.places_named(self.book[at.look].part, &[place]);
                phrase.say(format!(" at {}", words.concat()))
            }
        }
    }

    /// Choices of a look, as they read in a sentence.
    pub fn choices(&self, look: LookId, choices: &[usize]) -> Vec<String> {
        let look = &self.book[look];
        match look.kind {
            LookKind::YesNo => choices.iter().map(|at| if *at == 0 { "no" } else { "yes" }.to_owned()).collect(),
            _ => choices.iter().filter_map(|at| look.choices().get(*at)).map(|choice| said(&choice.words)).collect(),
        }
    }

    /// Places of a part by their words, in quotes.
    pub fn places_named(&self, part: PartId, places: &[PlaceId]) -> Vec<String> {
        let named = self.book[part].fixed_places();
        places.iter().filter_map(|place| named.get(place.index())).map(|place| quoted(&place.words)).collect()
    }
}

/// One word as it is; more in quotes, so that they are seen to be one answer.
fn said(words: &str) -> String {
    if words.contains(char::is_whitespace) { quoted(words) } else { words.to_owned() }
}

/// A single member needs no joint.
fn joined(mut all: Vec<Said>, joint: impl FnOnce(Vec<Said>) -> Said) -> Said {
    match (all.pop(), all.is_empty()) {
        (Some(only), true) => only,
        (last, _) => {
            all.extend(last);
            joint(all)
        }
    }
}

fn opposite(comparison: Comparison) -> Comparison {
    match comparison {
        Comparison::Above => Comparison::AtMost,
        Comparison::AtMost => Comparison::Above,
        Comparison::Below => Comparison::AtLeast,
        Comparison::AtLeast => Comparison::Below,
    }
}

/// From one rung of a ladder to another, of which the ends of the ladder need not be said.
fn between<T: Copy + PartialEq>(
    subject: Phrase,
    (from, to): (T, T),
    (least, greatest): (T, T),
    not: bool,
    name: impl Fn(Phrase, T) -> Phrase,
) -> Phrase {
    let is = if not { " is not" } else { " is" };
    if from == to {
        return name(subject.say(is).say(" "), from);
    }
    if to == greatest {
        return name(subject.say(if not { " is below " } else { " is at least " }), from);
    }
    if from == least {
        return name(subject.say(if not { " is above " } else { " is at most " }), to);
    }
    name(name(subject.say(is).say(" from "), from).say(" to "), to)
}
