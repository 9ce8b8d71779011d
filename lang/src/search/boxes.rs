//! The boxes a search has to avoid, and how each stands to the cells that are left.
//!
//! A box is a clause: at least one of its variables lies outside. Of each box two numbers are kept up to date while
//! cells are taken away and given back: how many of its sides already hold all that is left of their variable
//! (*inside*) and how many hold none of it (*outside*). A box with one outside is avoided for good; one with all
//! sides but one inside forces that variable out; one with all inside is a contradiction.

use super::CellSet;
use super::region::Side;

/// A box by its number, in the order in which they were added.
pub(super) type BoxId = u32;

/// Boxes with their counts.
#[derive(Debug, Default)]
pub(super) struct Boxes {
    sides: Vec<Side>,
    counts: Vec<Count>,
    /// For each variable the boxes that mention it.
    mentions: Vec<Vec<Mention>>,
    /// How many of the boxes in `mentions` have no side outside.
    unavoided: usize,
}

#[derive(Debug, Clone, Copy)]
struct Count {
    from: u32,
    sides: u32,
    inside: u32,
    outside: u32,
    /// Whether it is among the mentions.
    minded: bool,
}

#[derive(Debug, Clone, Copy)]
struct Mention {
    cells: CellSet,
    id: BoxId,
}

impl Boxes {
    /// No box yet, over that many variables.
    pub(super) fn new(variables: usize) -> Boxes {
        Boxes { mentions: vec![Vec::new(); variables], ..Boxes::default() }
    }

    /// Adds a box. If it is not minded, it serves as a reason only and its counts are not kept.
    pub(super) fn add(&mut self, sides: &[Side], left: &[CellSet], minded: bool) -> BoxId {
        let id = self.counts.len() as BoxId;
        let from = self.sides.len() as u32;
        self.sides.extend_from_slice(sides);
        let mut count = Count { from, sides: sides.len() as u32, inside: 0, outside: 0, minded };
        for side in sides {
            count.inside += u32::from(left[side.variable as usize] & !side.cells == 0);
            count.outside += u32::from(left[side.variable as usize] & side.cells == 0);
            if minded {
                self.mentions[side.variable as usize].push(Mention { cells: side.cells, id });
            }
        }
        self.unavoided += usize::from(minded && count.outside == 0);
        self.counts.push(count);
        id
    }

    /// Stops minding those of the boxes that are picked.
    pub(super) fn forget(&mut self, picked: impl Fn(BoxId) -> bool) {
        for mentions in &mut self.mentions {
            mentions.retain(|mention| !picked(mention.id));
        }
        for (id, count) in self.counts.iter_mut().enumerate() {
            if count.minded && picked(id as BoxId) {
                count.minded = false;
                self.unavoided -= usize::from(count.outside == 0);
            }
        }
    }

    /// How many boxes there are, minded or not.
    pub(super) fn len(&self) -> usize {
        self.counts.len()
    }

    /// The sides of a box.
    pub(super) fn sides(&self, id: BoxId) -> &[Side] {
        let count = &self.counts[id as usize];
        &self.sides[count.from as usize..(count.from + count.sides) as usize]
    }

    /// How many of a box's sides are not inside, if none is outside and the box is minded.
    pub(super) fn open(&self, id: BoxId) -> Option<u32> {
        let count = &self.counts[id as usize];
        (count.minded && count.outside == 0).then(|| count.sides - count.inside)
    }

    /// Whether every box is avoided.
    pub(super) fn all_avoided(&self) -> bool {
        self.unavoided == 0
    }

    /// Takes down that of a variable only `after` is left; tells the boxes that now have one side open or none.
    pub(super) fn narrowed(&mut self, variable: u32, before: CellSet, after: CellSet, tell: &mut Vec<BoxId>) {
        for mention in &self.mentions[variable as usize] {
            if before & mention.cells == 0 || before & !mention.cells == 0 {
                continue;
            }
            let count = &mut self.counts[mention.id as usize];
            if after & mention.cells == 0 {
                self.unavoided -= usize::from(count.outside == 0);
                count.outside += 1;
            } else if after & !mention.cells == 0 {
                count.inside += 1;
                if count.outside == 0 && count.inside + 1 >= count.sides {
                    tell.push(mention.id);
                }
            }
        }
    }

    /// Takes down that a variable has got back what was left `before` it was narrowed to `after`.
    pub(super) fn widened(&mut self, variable: u32, before: CellSet, after: CellSet) {
        for mention in &self.mentions[variable as usize] {
            if before & mention.cells == 0 || before & !mention.cells == 0 {
                continue;
            }
            let count = &mut self.counts[mention.id as usize];
            if after & mention.cells == 0 {
                count.outside -= 1;
                self.unavoided += usize::from(count.outside == 0);
            } else if after & !mention.cells == 0 {
                count.inside -= 1;
            }
        }
    }

    /// The minded boxes of a variable that are not avoided, with the side of each and its open sides.
    pub(super) fn touching(&self, variable: u32) -> impl Iterator<Item = (CellSet, u32)> + '_ {
        self.mentions[variable as usize].iter().filter_map(|mention| {
            let count = &self.counts[mention.id as usize];
            (count.outside == 0).then(|| (mention.cells, count.sides - count.inside))
        })
    }
}
