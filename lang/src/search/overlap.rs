//! Which boxes have a case in common, for all pairs at once.
//!
//! For each variable, the boxes that allow a cell are a set of bits; those that allow one of a side's cells are the
//! union over its cells, and the boxes that meet a given box are the intersection of that over its sides. Where every
//! side is one unbroken run of cells, the boxes that begin by its last cell and end no sooner than its first are the
//! same set, from two look-ups. The bit-set form of the join of intervals over several columns; own derivation.

use super::bits::Bits;
use super::{CellSet, Region, Space, VariableId};

/// For each of a number of things the others that share a case with it.
#[derive(Debug, Clone)]
pub struct Overlaps {
    rows: Vec<Bits>,
}

impl Overlaps {
    /// Which of these boxes share a case.
    pub fn of(space: &Space, boxes: &[Region]) -> Overlaps {
        let mut mentions: Vec<Vec<(CellSet, usize)>> = vec![Vec::new(); space.variables()];
        let mut possible = Bits::none(boxes.len());
        for (at, region) in boxes.iter().enumerate().filter(|(_, region)| !region.never(space)) {
            possible.insert(at);
            for side in region.sides() {
                mentions[side.variable as usize].push((side.cells & space.whole(side.variable), at));
            }
        }
        let row = |at| if possible.has(at) { possible.clone() } else { Bits::none(boxes.len()) };
        let mut rows: Vec<Bits> = (0..boxes.len()).map(row).collect();
        for (variable, sides) in mentions.iter_mut().enumerate() {
            if sides.is_empty() {
                continue;
            }
            // Equal sides beside each other: their set is made once.
            sides.sort_unstable();
            let column = Column::new(space.whole(variable as VariableId), sides, boxes.len());
            let mut last: Option<(CellSet, Bits)> = None;
            for &(cells, at) in &*sides {
                if last.as_ref().is_none_or(|(same, _)| *same != cells) {
                    last = Some((cells, column.meeting(cells)));
                }
                if let Some((_, meeting)) = &last {
                    rows[at].keep(meeting);
                }
            }
        }
        for (at, row) in rows.iter_mut().enumerate() {
            row.remove(at);
        }
        Overlaps { rows }
    }

    /// Which of these unions of boxes share a case.
    pub fn of_unions(space: &Space, unions: &[Vec<Region>]) -> Overlaps {
        let boxes: Vec<Region> = unions.iter().flatten().cloned().collect();
        let owners: Vec<usize> = unions.iter().enumerate().flat_map(|(at, union)| vec![at; union.len()]).collect();
        let single = Overlaps::of(space, &boxes);
        let mut rows = vec![Bits::none(unions.len()); unions.len()];
        for (owner, row) in owners.iter().zip(&single.rows) {
            for other in row.iter() {
                rows[*owner].insert(owners[other]);
            }
        }
        for (at, row) in rows.iter_mut().enumerate() {
            row.remove(at);
        }
        Overlaps { rows }
    }

    /// Those that share a case with this one.
    pub fn with(&self, one: usize) -> &Bits {
        &self.rows[one]
    }

    /// How many pairs share a case.
    pub fn count(&self) -> u64 {
        self.rows.iter().map(Bits::count).sum::<u64>() / 2
    }

    /// The pairs that share a case, the lower number first, rising.
    pub fn pairs(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.rows.iter().enumerate().flat_map(|(one, row)| row.iter_above(one).map(move |two| (one, two)))
    }

    /// The pairs that share a case and whose classes matter to each other, the lower number first, rising. `classes`
    /// gives the class of each, numbered from 0; a pair that does not matter is never written out.
    pub fn pairs_between(&self, classes: &[usize], matters: impl Fn(usize, usize) -> bool) -> Vec<(usize, usize)> {
        let count = classes.iter().max().map_or(0, |most| most + 1);
        let size = self.rows.len();
        let matter = |one: usize, two: usize| matters(one, two) || matters(two, one);
        let wanted: Vec<Bits> =
            (0..count).map(|class| Bits::of(size, (0..size).filter(|two| matter(class, classes[*two])))).collect();
        let mut pairs = Vec::new();
        for (one, (row, class)) in self.rows.iter().zip(classes).enumerate() {
            let mut row = row.clone();
            row.keep(&wanted[*class]);
            pairs.extend(row.iter_above(one).map(|two| (one, two)));
        }
        pairs
    }
}

/// What a variable says of all boxes, none of which is empty.
struct Column {
    /// How many boxes there are.
    size: usize,
    /// The boxes that allow each cell.
    at: Vec<Bits>,
    /// If every side is an unbroken run: the boxes whose first cell is no later than each cell, and those whose last
    /// is no sooner.
    runs: Option<(Vec<Bits>, Vec<Bits>)>,
}

impl Column {
    fn new(whole: CellSet, sides: &[(CellSet, usize)], size: usize) -> Column {
        let cells = whole.count_ones() as usize;
        let mut free = Bits::all(size);
        for (_, at) in sides {
            free.remove(*at);
        }
        if sides.iter().all(|(cells, _)| is_run(*cells)) {
            let (mut begun, mut unended) = (vec![free.clone(); cells], vec![free; cells]);
            for (cells, at) in sides {
                begun[cells.trailing_zeros() as usize].insert(*at);
                unended[cells.ilog2() as usize].insert(*at);
            }
            for cell in 1..cells {
                let (before, now) = begun.split_at_mut(cell);
                now[0].join(&before[cell - 1]);
            }
            for cell in (1..cells).rev() {
                let (now, after) = unended.split_at_mut(cell);
                now[cell - 1].join(&after[0]);
            }
            return Column { size, at: Vec::new(), runs: Some((begun, unended)) };
        }
        let mut at = vec![free; cells];
        for (cells, number) in sides {
            for cell in cells_of(*cells) {
                at[cell].insert(*number);
            }
        }
        Column { size, at, runs: None }
    }

    /// The boxes that allow one of these cells.
    fn meeting(&self, cells: CellSet) -> Bits {
        if let Some((begun, unended)) = &self.runs {
            let mut meeting = begun[cells.ilog2() as usize].clone();
            meeting.keep(&unended[cells.trailing_zeros() as usize]);
            return meeting;
        }
        let mut meeting = Bits::none(self.size);
        for cell in cells_of(cells) {
            meeting.join(&self.at[cell]);
        }
        meeting
    }
}

/// The cells of a set, rising.
fn cells_of(mut set: CellSet) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (set != 0).then(|| {
            let cell = set.trailing_zeros() as usize;
            set &= set - 1;
            cell
        })
    })
}

/// Whether the cells of a set that is not empty follow each other without a hole.
fn is_run(cells: CellSet) -> bool {
    let from_first = cells >> cells.trailing_zeros();
    from_first & from_first.wrapping_add(1) == 0
}
