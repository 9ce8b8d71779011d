//! What a look's number or date can still be, and the cells that leaves.

use num_traits::Zero;
use purfle_lang::book::LookKind;
use purfle_lang::cells::{Cells, date_range};
use purfle_lang::number::Number;
use purfle_lang::saying::Saying;

use super::prepared::Prepared;
use purfle_lang::finite::node::{CellSet, VariableId};

/// A number or date that a look can still have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Extent {
    /// Least and greatest; none for a dated look without a date.
    pub ends: Option<(Number, Number)>,
    /// Whether it can have no date.
    pub nothing: bool,
}

/// What a look's number can be at all.
pub fn whole_extent(kind: &LookKind) -> Extent {
    let ends = match kind {
        LookKind::Measured { from, to, .. } | LookKind::Priced { from, to } => Some((*from, *to)),
        LookKind::Counted { from, to } => Some((Number::from_integer((*from).into()), Number::from_integer((*to).into()))),
        LookKind::Dated => Some(date_range()),
        _ => None,
    };
    Extent { ends, nothing: matches!(kind, LookKind::Dated) }
}

/// What a saying leaves of a number or date: a reading widened by its error, and cut to the look.
pub fn extent_of(kind: &LookKind, saying: &Saying) -> Option<Extent> {
    let whole = whole_extent(kind).ends;
    match saying {
        Saying::Between { low, high, reading } => {
            let (from, to) = whole?;
            let error = match kind {
                LookKind::Measured { give_or_take: Some(error), .. } if *reading => *error,
                _ => Number::zero(),
            };
            let low = low.map_or(from, |low| low - error).max(from);
            let high = high.map_or(to, |high| high + error).min(to);
            Some(Extent { ends: (low <= high).then_some((low, high)), nothing: false })
        }
        Saying::DateBetween(low, high) => {
            let (from, to) = whole?;
            let day = |day: i64| Number::from_integer(day.into());
            Some(Extent { ends: Some((low.map_or(from, day), high.map_or(to, day))), nothing: false })
        }
        Saying::NoDate => Some(Extent { ends: None, nothing: true }),
        Saying::CouldNotTell => Some(whole_extent(kind)),
        Saying::OneOf(_) | Saying::Exactly(_) | Saying::Text(_) | Saying::DoesNotApply => None,
    }
}

/// The cells of a variable that a saying leaves; for looks that the record cuts, every answer to those cuts.
pub fn cells_of(prepared: &Prepared, variable: VariableId, saying: &Saying, extent: Extent) -> CellSet {
    let known = &prepared.built.layout.view.variables[variable as usize];
    let cells = match saying {
        Saying::OneOf(choices) => choices.iter().fold(0, |set, choice| set | 1 << (*choice).min(127)),
        _ => cells_within(&known.cells, extent),
    };
    spread(cells, known.cells.len(), known.size)
}

/// The cells that an extent touches.
pub fn cells_within(cells: &Cells, extent: Extent) -> CellSet {
    let numbers = extent.ends.map_or(0..0, |(low, high)| cells.within(low, high));
    let set: CellSet = numbers.fold(0, |set, cell| set | 1 << cell);
    if extent.nothing { set | 1 } else { set }
}

/// The same cells for every answer to the record's own cuts.
pub fn spread(cells: CellSet, count: usize, size: usize) -> CellSet {
    (0..size / count.max(1)).fold(0, |set, at| set | cells << (at * count))
}
