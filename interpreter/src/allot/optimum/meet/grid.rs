//! States of one side sorted into boxes, so that those which just use up what is left of every purse are found at once.

use rustc_hash::FxHashMap;

use super::side::State;

/// The most purses that a box has a side for: each doubles the boxes to be looked into.
const MOST_SIDES: usize = 5;

/// States by the box they lie in.
pub struct Grid<const D: usize> {
    /// The purses a box has a side for, and how wide it is.
    sides: Vec<(usize, i64)>,
    /// For each box where its states begin and end.
    boxes: FxHashMap<u64, (u32, u32)>,
    /// The states box by box, those of one box by what they lose.
    states: Vec<State<D>>,
}

impl<const D: usize> Grid<D> {
    /// Sorts states into boxes, each as wide as what may be left in a purse.
    pub fn of(states: &[State<D>], may_be_left: &[i64; D]) -> Self {
        let mut sides: Vec<(i64, usize)> = (0..D)
            .filter_map(|purse| {
                let used = || states.iter().map(|state| state.uses[purse]);
                let spread = used().max()?.saturating_sub(used().min()?);
                Some((spread / may_be_left[purse].saturating_add(1), purse))
            })
            .filter(|(boxes, _)| *boxes > 1)
            .collect();
        sides.sort_unstable_by_key(|(boxes, purse)| (std::cmp::Reverse(*boxes), *purse));
        // So many that few states lie in one box, and no more.
        let mut boxes: i64 = 1;
        sides.retain(|(more, _)| {
            let needed = boxes < states.len() as i64;
            boxes = boxes.saturating_mul(*more);
            needed
        });
        sides.truncate(MOST_SIDES);
        let sides = sides.into_iter().map(|(_, purse)| (purse, may_be_left[purse] + 1)).collect();
        let mut grid = Self { sides, boxes: FxHashMap::default(), states: Vec::new() };
        let mut order: Vec<(u64, i128, u32)> =
            states.iter().enumerate().map(|(at, state)| (grid.key_of(state), state.loss, at as u32)).collect();
        order.sort_unstable();
        grid.states = order.iter().map(|(_, _, at)| states[*at as usize]).collect();
        let mut from = 0;
        for run in order.chunk_by(|a, b| a.0 == b.0) {
            let to = from + run.len() as u32;
            grid.boxes.insert(run[0].0, (from, to));
            from = to;
        }
        grid
    }

    /// Looks into all boxes in which a state with these counts can lie that takes no more than this and leaves no more than
    /// may be left; `look` says whether to go on in the box, where the next state loses no less.
    pub fn near(&self, counts: i128, room: &[i64; D], may_be_left: &[i64; D], mut look: impl FnMut(&State<D>) -> bool) {
        let mut keys = [begin(counts); 1 << MOST_SIDES];
        let mut known = 1;
        for (purse, width) in &self.sides {
            let last = room[*purse].div_euclid(*width);
            let two = room[*purse].rem_euclid(*width) < may_be_left[*purse];
            for at in 0..known {
                if two {
                    keys[known + at] = mix(keys[at], last - 1);
                }
                keys[at] = mix(keys[at], last);
            }
            known <<= usize::from(two);
        }
        for key in &keys[..known] {
            let Some((from, to)) = self.boxes.get(key) else { continue };
            for state in &self.states[*from as usize..*to as usize] {
                if !look(state) {
                    break;
                }
            }
        }
    }

    fn key_of(&self, state: &State<D>) -> u64 {
        self.sides.iter().fold(begin(state.counts), |key, (purse, width)| mix(key, state.uses[*purse].div_euclid(*width)))
    }
}

fn begin(counts: i128) -> u64 {
    mix(mix(0, counts as i64), (counts >> 64) as i64)
}

fn mix(key: u64, part: i64) -> u64 {
    (key.rotate_left(23) ^ part as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15)
}
