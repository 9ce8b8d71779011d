//! Which looks can still change a figure: those for which two cases that differ in nothing else differ in it.

use std::collections::{BTreeMap, BTreeSet};

use purfle::outcome::{At, Figure};
use purfle_lang::book::{Book, LookId, PartId, Places};

use super::figures::Figures;
use super::samples::Answer;
use super::scene::{Scene, Slot, Spot};
use super::verdict::at;

/// What looking can still change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Matters {
    /// The look, or the places of a part.
    pub what: What,
    /// The figures it can change.
    pub figures: BTreeSet<Figure>,
}

/// What there is to look at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// A look at a place.
    Look(LookId, At),
    /// How many places of a part there are beyond the recorded ones, and all looks at them.
    Unnamed(PartId),
}

/// What every look can still change. `worked` holds each scene's cases, the first slot counting up fastest.
pub fn matters(book: &Book, scenes: &[Scene], worked: &[Vec<Option<Figures>>]) -> Vec<Matters> {
    let mut found: BTreeMap<What, BTreeSet<Figure>> = BTreeMap::new();
    for (scene, cases) in scenes.iter().zip(worked) {
        let mut stride = 1;
        for slot in &scene.slots {
            let spot = scene.spots[book[slot.look].part.index()][slot.place];
            let figures = along(cases, stride, slot.answers.len());
            if !slot.last && !figures.is_empty() {
                found.entry(What::Look(slot.look, at(spot))).or_default().extend(figures);
            }
            stride *= slot.answers.len();
        }
    }
    for part in (0..book.parts.len()).map(PartId::from_index) {
        if matches!(book[part].places, Places::AsFound) {
            let figures = beyond(book, scenes, worked, part);
            if !figures.is_empty() {
                found.entry(What::Unnamed(part)).or_default().extend(figures);
            }
        }
    }
    found.into_iter().map(|(what, figures)| Matters { what, figures }).collect()
}

/// The figures that differ somewhere between two cases that differ in one digit only.
fn along(cases: &[Option<Figures>], stride: usize, digits: usize) -> BTreeSet<Figure> {
    let mut figures = BTreeSet::new();
    for first in (0..cases.len()).filter(|number| (number / stride).is_multiple_of(digits)) {
        let line = (0..digits).filter_map(|digit| cases[first + digit * stride].as_ref());
        differ(line, &mut figures);
    }
    figures
}

/// The figures that differ somewhere between two cases that agree on all but what is beyond a part's recorded places.
fn beyond(book: &Book, scenes: &[Scene], worked: &[Vec<Option<Figures>>], part: PartId) -> BTreeSet<Figure> {
    let mut alike: BTreeMap<(Vec<usize>, Vec<Answer>), Vec<&Figures>> = BTreeMap::new();
    for (scene, cases) in scenes.iter().zip(worked) {
        let others: Vec<usize> =
            scene.spots.iter().enumerate().map(|(at, spots)| if at == part.index() { 0 } else { spots.len() }).collect();
        for (number, figures) in cases.iter().enumerate() {
            let Some(figures) = figures else { continue };
            let own =
                |slot: &Slot| book[slot.look].part == part && matches!(scene.spots[part.index()][slot.place], Spot::Unnamed(_));
            let answers = scene.slots.iter().zip(scene.answers(number));
            let key: Vec<Answer> = answers.filter(|(slot, _)| !own(slot)).map(|(_, answer)| answer).collect();
            alike.entry((others.clone(), key)).or_default().push(figures);
        }
    }
    let mut figures = BTreeSet::new();
    alike.into_values().for_each(|line| differ(line.into_iter(), &mut figures));
    figures
}

/// Neighbours are enough: what differs anywhere on a line differs between two neighbours on it.
fn differ<'a>(line: impl Iterator<Item = &'a Figures>, figures: &mut BTreeSet<Figure>) {
    let mut before: Option<&Figures> = None;
    for one in line {
        if let Some(before) = before {
            figures.extend(before.differ(one));
        }
        before = Some(one);
    }
}
