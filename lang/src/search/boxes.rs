//! The boxes a search has to avoid, and how each stands to the cells that are left and to the case in mind.
//!
//! A box is a clause: at least one of its variables lies outside. Of each box three numbers are kept up to date while
//! cells are taken away and given back: how many of its sides already hold all that is left of their variable
//! (*inside*), how many hold none of it (*outside*), and how many do not hold the cell of the case in mind (*away*).
//! A box with one outside is avoided for good; one with all sides but one inside forces that variable out; one with all
//! inside is a contradiction; and one with none away *holds* the case in mind.

use super::CellSet;
use super::forbidden::Forbidden;
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
    /// How many of the boxes in `mentions` hold the case in mind.
    held: usize,
}

#[derive(Debug, Clone, Copy)]
struct Count {
    from: u32,
    sides: u32,
    inside: u32,
    outside: u32,
    away: u32,
    /// Whether it is among the mentions.
    minded: bool,
}

#[derive(Debug, Clone, Copy)]
struct Mention {
    cells: CellSet,
    id: BoxId,
}

impl Boxes {
    /// These boxes, numbered as they come.
    pub(super) fn new(forbidden: &Forbidden, left: &[CellSet], case: &[u8]) -> Boxes {
        let mut rooms = vec![0; left.len()];
        for side in forbidden.sides() {
            rooms[side.variable as usize] += 1;
        }
        let mentions = rooms.into_iter().map(Vec::with_capacity).collect();
        let mut boxes = Boxes { mentions, ..Boxes::default() };
        for sides in forbidden.boxes() {
            boxes.add(sides, left, case, true);
        }
        boxes
    }

    /// Adds a box. If it is not minded, it serves as a reason only and its counts are not kept.
    pub(super) fn add(&mut self, sides: &[Side], left: &[CellSet], case: &[u8], minded: bool) -> BoxId {
        let id = self.counts.len() as BoxId;
        let from = self.sides.len() as u32;
        self.sides.extend_from_slice(sides);
        let mut count = Count { from, sides: sides.len() as u32, inside: 0, outside: 0, away: 0, minded };
        for side in sides {
            count.inside += u32::from(left[side.variable as usize] & !side.cells == 0);
            count.outside += u32::from(left[side.variable as usize] & side.cells == 0);
            count.away += u32::from(side.cells >> case[side.variable as usize] & 1 == 0);
            if minded {
                self.mentions[side.variable as usize].push(Mention { cells: side.cells, id });
            }
        }
        self.held += usize::from(minded && count.away == 0);
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
                self.held -= usize::from(count.away == 0);
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

    /// Whether no box holds the case in mind.
    pub(super) fn none_holds(&self) -> bool {
        self.held == 0
    }

    /// The minded boxes that hold the case in mind, each with how many of its sides are not inside.
    pub(super) fn holding(&self) -> impl Iterator<Item = (BoxId, u32)> + '_ {
        let counts = self.counts.iter().enumerate().filter(|(_, count)| count.away == 0 && count.minded);
        counts.map(|(id, count)| (id as BoxId, count.sides - count.inside))
    }

    /// Takes down that the case in mind has another cell of a variable.
    pub(super) fn moved(&mut self, variable: u32, from: u8, to: u8) {
        for mention in &self.mentions[variable as usize] {
            let (was, is) = (mention.cells >> from & 1, mention.cells >> to & 1);
            if was == is {
                continue;
            }
            let count = &mut self.counts[mention.id as usize];
            if is == 1 {
                count.away -= 1;
                self.held += usize::from(count.away == 0);
            } else {
                self.held -= usize::from(count.away == 0);
                count.away += 1;
            }
        }
    }

    /// Takes down that of a variable only `after` is left; tells the boxes that now have one side open or none.
    pub(super) fn narrowed(&mut self, variable: u32, before: CellSet, after: CellSet, tell: &mut Vec<BoxId>) {
        for mention in &self.mentions[variable as usize] {
            if before & mention.cells == 0 || before & !mention.cells == 0 {
                continue;
            }
            let count = &mut self.counts[mention.id as usize];
            if after & mention.cells == 0 {
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
            } else if after & !mention.cells == 0 {
                count.inside -= 1;
            }
        }
    }

    /// Whether some box would hold the case in mind if it had another cell of a variable.
    pub(super) fn blocks(&self, variable: u32, from: u8, to: u8) -> bool {
        self.mentions[variable as usize].iter().any(|mention| {
            mention.cells >> to & 1 == 1 && mention.cells >> from & 1 == 0 && self.counts[mention.id as usize].away == 1
        })
    }

    /// What it costs to move the case in mind from one cell of a variable to another: each box that would then hold
    /// it, and each that would come nearer to it, the less the farther away it is.
    pub(super) fn harm(&self, variable: u32, from: u8, to: u8) -> f32 {
        let mut harm = 0.0;
        for mention in &self.mentions[variable as usize] {
            if mention.cells >> to & 1 == 1 && mention.cells >> from & 1 == 0 {
                let count = &self.counts[mention.id as usize];
                if count.outside == 0 {
                    harm += 1.0 / (1u64 << (2 * count.away.min(30))) as f32;
                }
            }
        }
        harm
    }
}
