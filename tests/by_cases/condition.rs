//! Whether a condition is met in a case. A `not` is carried in: what reaches a single test is the test or its negation,
//! and neither is met where what the test reads does not apply or cannot be worked out.

use purfle_lang::book::{Comparison, Condition, Count, PartId, Test, TierId};

use super::case::{Case, InHand, View};
use super::samples::Answer;
use super::scene::Spot;

impl Case<'_> {
    /// Whether a condition is met; with `negated`, whether its negation is.
    pub fn met(&self, condition: &Condition, negated: bool, view: View<'_>) -> bool {
        let how_many = |inner: &[Condition]| inner.iter().filter(|one| self.met(one, negated, view)).count();
        match (condition, negated) {
            (Condition::All(inner), false) | (Condition::Any(inner), true) => how_many(inner) == inner.len(),
            (Condition::Any(inner), false) | (Condition::All(inner), true) => how_many(inner) >= 1,
            (Condition::AtLeast(least, inner), false) => how_many(inner) >= *least as usize,
            // Not at least k of n: at least n - k + 1 of the negations.
            (Condition::AtLeast(least, inner), true) => how_many(inner) + *least as usize > inner.len(),
            (Condition::Not(inner), _) => self.met(inner, !negated, view),
            (Condition::Test(test, _), _) => self.test(test, view) == Some(!negated),
            (Condition::Places { count, part, with, .. }, _) => {
                self.part_applies(*part) && self.counted(*count, *part, with, view) != negated
            }
            (Condition::Found(finding, _), _) => self.found(*finding, view) != negated,
        }
    }

    fn counted(&self, count: Count, part: PartId, with: &Condition, view: View<'_>) -> bool {
        let places = 0..self.scene.spots[part.index()].len();
        let (mut there, mut met) = (0, 0);
        for place in places.filter(|place| self.place_applies(part, *place)) {
            there += 1;
            let here = InHand::new(part, place, view.hand);
            if self.met(with, false, View { hand: Some(&here), ..view }) {
                met += 1;
            }
        }
        match count {
            Count::Any => met >= 1,
            Count::No => met == 0,
            Count::Every => there > 0 && met == there,
            Count::AtLeast(least) => met >= least,
        }
    }

    /// What a single test says: yes, no, or neither.
    fn test(&self, test: &Test, view: View<'_>) -> Option<bool> {
        match test {
            Test::IsOneOf { look, choices, not } => match self.shown(*look, false, view)? {
                Answer::Choice(choice) => Some(choices.contains(&choice) != *not),
                _ => None,
            },
            Test::HasAny { look, choices } => match self.shown(*look, false, view)? {
                Answer::Set(set) => Some(choices.iter().any(|choice| set & (1 << choice) != 0)),
                _ => None,
            },
            Test::NoDate { look, not } => Some((self.shown(*look, false, view)? == Answer::NoDate) != *not),
            Test::Compare(comparison, left, right) => {
                let (left_low, left_high) = self.ends(left, view)?;
                let (low, high) = self.ends(right, view)?;
                Some(match comparison {
                    Comparison::Above => left_low > high,
                    Comparison::Below => left_high < low,
                    Comparison::AtLeast => left_low >= low,
                    Comparison::AtMost => left_high <= high,
                })
            }
            Test::Between(value, from, to) => {
                let (value_low, value_high) = self.ends(value, view)?;
                let (low, _) = self.ends(from, view)?;
                let (_, high) = self.ends(to, view)?;
                Some(value_low >= low && value_high <= high)
            }
            Test::PlaceIs { part, places, not } => match self.scene.spots[part.index()][view.place_of(*part)?] {
                Spot::Fixed(fixed) => Some(places.iter().any(|place| place.0 == fixed) != *not),
                _ => None,
            },
            Test::TotalUrgency { from, to, not } => {
                let urgency = view.totals?.urgency;
                Some((*from <= urgency && urgency <= *to) != *not)
            }
            Test::TotalTier { from, to, not } => {
                let tier: TierId = self.tier(view.totals?.cost);
                Some((*from <= tier && tier <= *to) != *not)
            }
        }
    }
}
