//! One case: every look has one value, so whatever is asked has one answer.

use std::cell::{Cell, RefCell};

use purfle_lang::book::{Book, Condition, Finding, FindingId, HandId, LookAt, LookId, PartId, PlaceAt, StepId};
use purfle_lang::number::Number;

use super::samples::Answer;
use super::scene::{Scene, Spot};

/// One choice for every look, freely made, also where the look will turn out not to apply.
pub struct Case<'a> {
    /// The book.
    pub book: &'a Book,
    /// The places there are.
    pub scene: &'a Scene,
    /// One answer for each slot of the scene.
    pub answers: Vec<Answer>,
    /// The record's own date.
    pub inspected_on: Option<i64>,
    /// What was already asked of findings, at each place.
    asked: RefCell<Vec<Vec<Option<bool>>>>,
    /// Whether each slot's look applies, where that was already asked.
    applying: Vec<Cell<Option<bool>>>,
}

/// The place in hand of one part, and those in hand around it.
#[derive(Debug, Clone, Copy)]
pub struct InHand<'a> {
    part: PartId,
    place: usize,
    around: Option<&'a InHand<'a>>,
}

/// What a question is asked with in hand.
#[derive(Debug, Clone, Copy, Default)]
pub struct View<'a> {
    /// Places in hand.
    pub hand: Option<&'a InHand<'a>>,
    /// The part and place of the finding in hand, where it is one on each place.
    pub finding: Option<(PartId, usize)>,
    /// The totals, in a counsel.
    pub totals: Option<Totals>,
}

/// What a counsel sees of the outcome.
#[derive(Debug, Clone, Copy)]
pub struct Totals {
    /// One end of the cost.
    pub cost: Number,
    /// The highest step.
    pub urgency: StepId,
}

/// Where a finding holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// On the part as a whole.
    Part,
    /// At that one of its places.
    At(usize),
    /// At a place that is not there yet: where damage comes to be if something is left.
    ToCome,
}

/// A finding that holds in a case, and how soon it wants to be seen to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Holding {
    /// Which.
    pub finding: FindingId,
    /// Where.
    pub place: Place,
    /// Its step, raises included.
    pub step: StepId,
}

impl<'a> InHand<'a> {
    /// One place in hand.
    pub fn new(part: PartId, place: usize, around: Option<&'a InHand<'a>>) -> Self {
        Self { part, place, around }
    }
}

impl View<'_> {
    /// The place of `part` in hand, the innermost first.
    pub fn place_of(&self, part: PartId) -> Option<usize> {
        let mut hand = self.hand;
        while let Some(here) = hand {
            if here.part == part {
                return Some(here.place);
            }
            hand = here.around;
        }
        None
    }
}

impl<'a> Case<'a> {
    /// A case of a scene.
    pub fn new(book: &'a Book, scene: &'a Scene, answers: Vec<Answer>, inspected_on: Option<i64>) -> Self {
        let asked = book.findings.iter().map(|finding| vec![None; scene.spots[finding.on.index()].len()]).collect();
        let applying = vec![Cell::new(None); answers.len()];
        Self { book, scene, answers, inspected_on, asked: RefCell::new(asked), applying }
    }

    /// Whether the record allows this case.
    pub fn allowed(&self) -> bool {
        let slots = self.scene.slots.iter().zip(&self.answers).filter(|(slot, _)| !slot.last);
        let mut slots = slots.map(|(slot, answer)| {
            let applies = self.look_applies(slot.look, slot.place);
            if (slot.stated && !applies) || (slot.dashed && applies) {
                return false;
            }
            match (&slot.good, answer) {
                (Some(good), Answer::Number(number)) if applies => {
                    let here = InHand::new(self.book[slot.look].part, slot.place, None);
                    let range = self.ends(good, View { hand: Some(&here), ..View::default() });
                    range.is_none_or(|(low, high)| *number >= low && *number <= high)
                }
                _ => true,
            }
        });
        slots.all(|allowed| allowed)
            && self.scene.absent.iter().all(|(part, place)| match place {
                None => !self.part_applies(*part),
                Some(place) => !self.place_applies(*part, *place),
            })
    }

    /// Whether a part applies.
    pub fn part_applies(&self, part: PartId) -> bool {
        self.met_if_any(self.book[part].only_when.as_ref(), View::default())
    }

    /// Whether one of its places applies; never where the part does not.
    pub fn place_applies(&self, part: PartId, place: usize) -> bool {
        let only_when = match self.scene.spots[part.index()][place] {
            Spot::Fixed(fixed) => self.book[part].fixed_places()[fixed as usize].only_when.as_ref(),
            Spot::Whole | Spot::Recorded(_) | Spot::Unnamed(_) => None,
        };
        let here = InHand::new(part, place, None);
        self.part_applies(part) && self.met_if_any(only_when, View { hand: Some(&here), ..View::default() })
    }

    /// Whether a look applies at one of its part's places.
    pub fn look_applies(&self, look: LookId, place: usize) -> bool {
        let Some(known) = self.scene.slot(look, place, false).and_then(|slot| self.applying.get(slot)) else { return false };
        known.get().unwrap_or_else(|| {
            let applies = self.work_out_applies(look, place);
            known.set(Some(applies));
            applies
        })
    }

    fn work_out_applies(&self, look: LookId, place: usize) -> bool {
        let part = self.book[look].part;
        let here = InHand::new(part, place, None);
        let view = View { hand: Some(&here), ..View::default() };
        self.place_applies(part, place) && self.met_if_any(self.book[look].only_when.as_ref(), view)
    }

    fn met_if_any(&self, condition: Option<&Condition>, view: View<'_>) -> bool {
        condition.is_none_or(|condition| self.met(condition, false, view))
    }

    /// What a look shows; none where it does not apply, or where its place is not in hand.
    pub fn shown(&self, at: LookAt, last: bool, view: View<'_>) -> Option<Answer> {
        let place = match at.place {
            PlaceAt::Single => 0,
            PlaceAt::Fixed(place) => place.index(),
            PlaceAt::Here => view.place_of(self.book[at.look].part)?,
        };
        let slot = self.scene.slot(at.look, place, last)?;
        (last || self.look_applies(at.look, place)).then(|| self.answers[slot])
    }

    /// Whether a finding holds on its part or, where it is on each place, at that place.
    pub fn holds(&self, finding: FindingId, place: usize) -> bool {
        let known = self.asked.borrow()[finding.index()].get(place).copied().flatten();
        known.unwrap_or_else(|| {
            let holds = self.work_out(&self.book[finding], place);
            if let Some(asked) = self.asked.borrow_mut()[finding.index()].get_mut(place) {
                *asked = Some(holds);
            }
            holds
        })
    }

    fn work_out(&self, finding: &Finding, place: usize) -> bool {
        let applies = if finding.each { self.place_applies(finding.on, place) } else { self.part_applies(finding.on) };
        let here = InHand::new(finding.on, place, None);
        let view = self.view_of(finding, place, &here);
        applies
            && self.met(&finding.signs, false, view)
            && !finding.unless.iter().any(|condition| self.met(condition, false, view))
    }

    /// What is in hand when something is asked of a finding.
    pub fn view_of<'h>(&self, finding: &Finding, place: usize, here: &'h InHand<'h>) -> View<'h> {
        if finding.each { View { hand: Some(here), finding: Some((finding.on, place)), totals: None } } else { View::default() }
    }

    /// The places a finding is judged at: one for the part, or each of its places.
    pub fn places_of(&self, finding: &Finding) -> std::ops::Range<usize> {
        0..if finding.each { self.scene.spots[finding.on.index()].len() } else { 1 }
    }

    /// Whether a finding holds, as another one asks: at the place in hand where both are on each of one part, else
    /// at any place.
    pub fn found(&self, finding: FindingId, view: View<'_>) -> bool {
        let asked = &self.book[finding];
        match view.finding {
            Some((part, place)) if asked.each && part == asked.on => self.holds(finding, place),
            _ => self.places_of(asked).any(|place| self.holds(finding, place)),
        }
    }

    /// Everything that holds, in the book's order.
    pub fn holding(&self) -> Vec<Holding> {
        let mut holding = Vec::new();
        for id in (0..self.book.findings.len()).map(FindingId::from_index) {
            let finding = &self.book[id];
            for place in self.places_of(finding).filter(|place| self.holds(id, *place)) {
                let at = if finding.each { Place::At(place) } else { Place::Part };
                holding.push(Holding { finding: id, place: at, step: self.step(finding, place) });
            }
        }
        holding
    }

    /// How soon a finding that holds wants to be seen to: the highest of its lines that count, and the highest any
    /// raise lifts that to.
    fn step(&self, finding: &Finding, place: usize) -> StepId {
        let here = InHand::new(finding.on, place, None);
        let view = self.view_of(finding, place, &here);
        let counts = finding.urgency.iter().filter(|line| line.when.as_ref().is_none_or(|when| self.met(when, false, view)));
        let own = counts.map(|line| line.step).max().unwrap_or(StepId(0));
        let top = StepId::from_index(self.book.steps.len() - 1);
        let raises = self.book.raises.iter().filter(|raise| raise.on.contains(&finding.on) && self.met(&raise.when, false, view));
        let raised = raises.map(|raise| StepId(own.0 + raise.by).min(raise.cap).min(top));
        raised.max().map_or(own, |raised| raised.max(own))
    }

    /// The most skilled hand that what holds needs.
    pub fn hands(&self, holding: &[Holding]) -> Option<HandId> {
        holding.iter().map(|one| self.book[one.finding].counted_hands()).max()
    }
}
