//! A record's values for working expressions out: enclosures of what they can be, and looks cut by what it brings along.

use purfle_lang::book::{Book, LookKind};
use purfle_lang::evaluate::{Input, Inputs, LookSpot, Reach, compare, evaluate};
use purfle_lang::number::Number;

use super::extent::{Extent, whole_extent};
use super::intake::Seen;
use super::prepared::Prepared;
use purfle_lang::finite::classify::crossings;
use purfle_lang::finite::node::CellSet;
use purfle_lang::finite::view::Dynamic;

/// The cells, times the answers to its own cuts, that a look within an extent can have.
pub fn dynamic_cells(
    book: &Book,
    count: usize,
    cells: &purfle_lang::cells::Cells,
    look: LookSpot,
    dynamics: &[Dynamic],
    extent: Extent,
    seen: &Seen,
) -> (CellSet, bool) {
    let mut samples: Vec<Option<Number>> = Vec::new();
    if extent.nothing {
        samples.push(None);
    }
    let at = |x: Option<Number>| Straight { look, x, seen };
    if let Some((low, high)) = extent.ends {
        let mut marks = vec![low, high];
        // Of a single number there is no other side.
        if low < high {
            for dynamic in dynamics {
                let sides = |x: i128| {
                    let inputs = at(Some(Number::from_integer(x)));
                    Some((
                        evaluate(book, &dynamic.left, &dynamic.hand, &inputs)?,
                        evaluate(book, &dynamic.right, &dynamic.hand, &inputs)?,
                    ))
                };
                if let (Some(zero), Some(one)) = (sides(0), sides(1)) {
                    marks.extend(crossings(zero, one));
                }
            }
            for cell in cells.iter() {
                match cell {
                    purfle_lang::cells::Cell::Point(point) => marks.push(point),
                    purfle_lang::cells::Cell::Between(from, to) => marks.extend([from, to]),
                    _ => {}
                }
            }
        }
        marks.retain(|mark| low <= *mark && *mark <= high);
        marks.sort_unstable();
        marks.dedup();
        let whole = matches!(book[look.look].kind, LookKind::Dated | LookKind::Counted { .. });
        for (i, mark) in marks.iter().enumerate() {
            if !whole || mark.is_integer() {
                samples.push(Some(*mark));
            }
            if let Some(next) = marks.get(i + 1) {
                let middle = if whole { mark.floor() + Number::from_integer(1) } else { (mark + next) / Number::from_integer(2) };
                if middle < *next {
                    samples.push(Some(middle));
                }
            }
        }
    }
    let (mut set, mut blurred) = (0, false);
    for sample in samples {
        let cell = match sample {
            None => 0,
            Some(x) => cells.within(x, x).start,
        };
        let mut codes = vec![cell];
        let mut stride = count;
        for dynamic in dynamics {
            let inputs = at(sample);
            let verdict = compare(
                dynamic.comparison,
                evaluate(book, &dynamic.left, &dynamic.hand, &inputs),
                evaluate(book, &dynamic.right, &dynamic.hand, &inputs),
            );
            let digits: Vec<usize> = [(verdict.met, 0), (verdict.unmet, 1), (verdict.neither, 2)]
                .into_iter()
                .filter(|(can, _)| *can)
                .map(|(_, d)| d)
                .collect();
            blurred |= digits.len() > 1;
            codes = codes.iter().flat_map(|code| digits.iter().map(move |digit| code + digit * stride)).collect();
            stride *= 3;
        }
        for code in codes {
            set |= 1 << code;
        }
    }
    (set, blurred && dynamics.len() > 1)
}

/// One look at one value, the rest as the record has it.
struct Straight<'a> {
    look: LookSpot,
    x: Option<Number>,
    seen: &'a Seen,
}

impl Inputs for Straight<'_> {
    fn number(&self, input: Input) -> Reach {
        match input {
            Input::Look(look) if look == self.look => self.x.map_or(Reach::NOTHING, Reach::point),
            Input::Last(look) => self.seen.last_of(look).map_or(Reach::NOTHING, reach),
            Input::InspectedOn => {
                self.seen.inspected_on.map_or(Reach::NOTHING, |day| Reach::point(Number::from_integer(day.into())))
            }
            _ => Reach::NOTHING,
        }
    }

    fn key(&self, _: LookSpot) -> Vec<Option<usize>> {
        vec![None]
    }
}

fn reach(extent: Extent) -> Reach {
    Reach { ends: extent.ends, nothing: extent.nothing }
}

/// All that a record leaves open, for working out an enclosure.
pub struct FromRecord<'a> {
    /// The book.
    pub book: &'a Book,
    /// The layout.
    pub prepared: &'a Prepared,
    /// What the record says.
    pub seen: &'a Seen,
}

impl Inputs for FromRecord<'_> {
    fn number(&self, input: Input) -> Reach {
        match input {
            Input::Look(look) => {
                let known = self.prepared.slot(look).and_then(|slot| self.seen.number(slot));
                reach(known.unwrap_or_else(|| whole_extent(&self.book[look.look].kind)))
            }
            Input::Last(look) => self.seen.last_of(look).map_or(Reach::NOTHING, reach),
            Input::InspectedOn => {
                self.seen.inspected_on.map_or(Reach::NOTHING, |day| Reach::point(Number::from_integer(day.into())))
            }
            Input::TotalCost => Reach::NOTHING,
        }
    }

    fn key(&self, look: LookSpot) -> Vec<Option<usize>> {
        let layout = &self.prepared.built.layout;
        let Some(slot) = self.prepared.slot(look) else {
            return vec![None];
        };
        let place = &layout.view.slots[slot as usize];
        let Some(variable) = place.variable else {
            return (0..self.book[look.look].choices().len().max(2)).map(Some).chain([None]).collect();
        };
        let size = layout.view.variables[variable as usize].cells.len();
        let set = self.seen.sets[variable as usize];
        let bounds = place.applies.bounds(&layout.view.atoms, &self.seen.sets, &[]);
        let present = (0..size).filter(|cell| bounds.possibly && set >> cell & 1 == 1).map(Some);
        present.chain((!bounds.surely).then_some(None)).collect()
    }
}
