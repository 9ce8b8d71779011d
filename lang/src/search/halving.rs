//! All that a number of boxes leave uncovered, and exactly how many cases that is.
//!
//! A region that no box meets is a gap, and one that lies in a box is covered; any other is cut in two where that
//! parts the boxes best, and each half is looked at with the boxes that meet it. Good for tables, where most boxes
//! mention most variables. Cutting down while boxes that cover all are set aside follows T. M. Chan, *Klee's Measure
//! Problem Made Easy*, FOCS 2013 (its slides were read); the choice of the cut is our own.

use num_bigint::BigUint;
use rustc_hash::FxHashMap;

use super::alike::Alike;
use super::{CellSet, Region, Space};

/// What a number of boxes leave uncovered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gaps {
    /// Boxes that do not overlap and together hold exactly what is uncovered; some of it, if not `complete`.
    pub regions: Vec<Region>,
    /// How many cases are uncovered; at least so many, if not `complete`.
    pub uncovered: BigUint,
    /// How many cases there are.
    pub whole: BigUint,
    /// Whether everything was looked at. If not, more may be uncovered than is told.
    pub complete: bool,
}

/// All gaps between boxes within a region, looking at `limit` parts of it at the most.
pub fn gaps(space: &Space, within: &Region, boxes: &[Region], limit: u64) -> Gaps {
    let alike = Alike::new(space, within, boxes);
    let mut gaps = Gaps { regions: Vec::new(), uncovered: BigUint::ZERO, whole: alike.whole(), complete: true };
    if alike.left().contains(&0) {
        return gaps;
    }
    let mut halving = Halving { sides: alike.sides(), left: alike.left().to_vec(), parts: 0, limit };
    let every: Vec<u32> = (0..halving.sides.len() as u32).collect();
    let found = halving.uncovered(every);
    gaps.complete = halving.parts <= limit;
    for left in found {
        gaps.uncovered += alike.volume(&left);
        gaps.regions.push(alike.region(&left).meet(within));
    }
    gaps.regions.sort_unstable();
    gaps
}

/// The region being looked at, and the boxes.
struct Halving {
    /// The sides of each box, by rising variable.
    sides: Vec<Vec<(u32, CellSet)>>,
    left: Vec<CellSet>,
    parts: u64,
    limit: u64,
}

impl Halving {
    /// The gaps in what is left, given the boxes that meet it.
    fn uncovered(&mut self, boxes: Vec<u32>) -> Vec<Vec<CellSet>> {
        self.parts += 1;
        if self.parts > self.limit {
            return Vec::new();
        }
        if boxes.is_empty() {
            return vec![self.left.clone()];
        }
        let Some((variable, low)) = self.cut(&boxes) else { return Vec::new() };
        let whole = self.left[variable];
        let mut halves = [low, whole & !low].map(|half| {
            self.left[variable] = half;
            let meets = |id: &&u32| {
                let sides = &self.sides[**id as usize];
                match sides.binary_search_by_key(&(variable as u32), |side| side.0) {
                    Ok(at) => sides[at].1 & half != 0,
                    Err(_) => true,
                }
            };
            let kept = boxes.iter().filter(meets).copied().collect();
            self.uncovered(kept)
        });
        self.left[variable] = whole;
        let [low, high] = &mut halves;
        joined(variable, std::mem::take(low), std::mem::take(high))
    }

    /// Where to cut: the variable and the cells of the lower half. None, if a box holds all that is left.
    fn cut(&self, boxes: &[u32]) -> Option<(usize, CellSet)> {
        let mut edges: Vec<Option<Edges>> = vec![None; self.left.len()];
        for id in boxes {
            let mut inside = true;
            for (variable, cells) in &self.sides[*id as usize] {
                let left = self.left[*variable as usize];
                if left & !cells != 0 {
                    inside = false;
                    edges[*variable as usize].get_or_insert_with(|| Edges::new(left)).add(left & cells);
                }
            }
            if inside {
                return None;
            }
        }
        let mut best: Option<(u32, u32, usize, CellSet)> = None;
        for (variable, edges) in edges.iter().enumerate() {
            let Some(edges) = edges else { continue };
            for (low, high, cells) in edges.cuts(self.left[variable], boxes.len() as u32) {
                let rank = (low.max(high), low + high, variable, cells);
                if best.is_none_or(|best| rank < best) {
                    best = Some(rank);
                }
            }
        }
        best.map(|(.., variable, cells)| (variable, cells))
    }
}

/// Where the boxes of one variable begin and end within what is left of it.
#[derive(Clone)]
struct Edges {
    first: u32,
    /// The cells after which some box begins, ends or is broken off.
    breaks: CellSet,
    /// How many boxes that do not hold all that is left have their first cell here, and their last.
    begin: Vec<u32>,
    end: Vec<u32>,
    sides: u32,
}

impl Edges {
    fn new(left: CellSet) -> Edges {
        let (first, last) = (left.trailing_zeros(), left.ilog2());
        let none = vec![0; (last - first + 1) as usize];
        Edges { first, breaks: 0, begin: none.clone(), end: none, sides: 0 }
    }

    fn add(&mut self, cells: CellSet) {
        self.sides += 1;
        self.breaks |= cells ^ (cells >> 1);
        self.begin[(cells.trailing_zeros() - self.first) as usize] += 1;
        self.end[(cells.ilog2() - self.first) as usize] += 1;
    }

    /// Each cut at a break: how many boxes meet the lower and the higher part, and the cells of the lower one.
    fn cuts(&self, left: CellSet, boxes: u32) -> impl Iterator<Item = (u32, u32, CellSet)> + '_ {
        let free = boxes - self.sides;
        let (mut begun, mut ended) = (0, 0);
        let last = left.ilog2();
        (self.first..last).filter_map(move |cell| {
            begun += self.begin[(cell - self.first) as usize];
            ended += self.end[(cell - self.first) as usize];
            let low = left & (CellSet::MAX >> (127 - cell));
            (self.breaks >> cell & 1 == 1).then_some((free + begun, free + self.sides - ended, low))
        })
    }
}

/// The gaps of two halves, those that only the cut parts being one.
fn joined(variable: usize, low: Vec<Vec<CellSet>>, high: Vec<Vec<CellSet>>) -> Vec<Vec<CellSet>> {
    if low.is_empty() || high.is_empty() {
        return if low.is_empty() { high } else { low };
    }
    let bare = |gap: &[CellSet]| {
        let mut bare = gap.to_vec();
        bare[variable] = 0;
        bare
    };
    let mut all = low;
    let mut lower: FxHashMap<Vec<CellSet>, usize> = FxHashMap::default();
    for (at, gap) in all.iter().enumerate() {
        lower.entry(bare(gap)).or_insert(at);
    }
    for gap in high {
        match lower.remove(&bare(&gap)) {
            Some(at) => all[at][variable] |= gap[variable],
            None => all.push(gap),
        }
    }
    all
}
