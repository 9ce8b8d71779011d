//! Changes that can be made together: single ones, two that hold a count together, and pairs that nearly undo one another.

use rustc_hash::FxHashMap;

use super::super::group::Shares;
use super::super::meet::grid::Grid;
use super::super::meet::side::State;
use super::super::polish::Change;
use super::super::stage::{Stage, add};

/// The most pairs that move only a little.
const SMALL: usize = 50_000;

/// How many of a step that would be helped, and of those that would not, are held against each other.
const SWAPPED: usize = 12;

/// How many that move just the same are looked at.
const ALIKE: usize = 2;

/// One change, or some together that hold every count.
#[derive(Debug, Clone, Copy)]
pub struct Several<const D: usize> {
    /// What more they take out of each purse.
    pub uses: [i64; D],
    /// What they lose.
    pub loss: i128,
    /// The places of the single changes.
    pub of: [Option<u32>; 4],
}

/// How many more or fewer take choices of groups.
pub type Made = FxHashMap<(usize, usize), i64>;

/// What these come to; none where they cannot all be made.
pub fn made<const D: usize>(plan: &Shares, single: &[Change<D>], several: &[Several<D>], of: &[usize]) -> Option<Made> {
    let mut made = Made::default();
    for change in of.iter().flat_map(|at| several[*at].of.iter().flatten()).map(|at| &single[*at as usize]) {
        *made.entry((change.group, change.from)).or_default() -= 1;
        *made.entry((change.group, change.to)).or_default() += 1;
    }
    made.iter().all(|((group, choice), more)| i64::from(plan[*group][*choice]) + more >= 0).then_some(made)
}

/// A plan once so many more or fewer take choices.
pub fn with(plan: &Shares, made: Made) -> Shares {
    let mut plan = plan.clone();
    for ((group, choice), more) in made {
        let share = &mut plan[group][choice];
        *share = share.saturating_add_signed(more as i32);
    }
    plan
}

/// Single changes that hold every count, and two of one step that do so together.
pub fn counted<const D: usize>(stage: &Stage<'_, D>, single: &[Change<D>]) -> Vec<Several<D>> {
    let mut several = Vec::with_capacity(single.len());
    let mut swapped = vec![[Vec::new(), Vec::new()]; stage.rules.len()];
    for (at, change) in single.iter().enumerate() {
        let group = &stage.groups[change.group];
        if change.helped == 0 || !stage.holds(group) {
            several.push(Several { uses: change.uses, loss: change.loss, of: [Some(at as u32), None, None, None] });
        } else {
            swapped[group.step][usize::from(change.helped > 0)].push(at);
        }
    }
    for sides in &mut swapped {
        for side in sides.iter_mut() {
            side.sort_by_key(|at| single[*at].loss);
            side.truncate(SWAPPED);
        }
        for (at, one) in sides[0].iter().map(|at| (*at, &single[*at])) {
            for (next, other) in sides[1].iter().map(|at| (*at, &single[*at])).filter(|(_, other)| other.group != one.group) {
                let mut uses = one.uses;
                add(&mut uses, &other.uses, 1);
                several.push(Several { uses, loss: one.loss + other.loss, of: [Some(at as u32), Some(next as u32), None, None] });
            }
        }
    }
    several
}

/// So many of all, those that lose least of each kind, a kind being which purses are filled and which emptied; of those that
/// move just the same a few.
pub fn stratified<const D: usize>(mut several: Vec<Several<D>>, most: usize) -> Vec<Several<D>> {
    several.sort_by_key(|one| one.loss);
    let mut kinds: FxHashMap<[i64; D], usize> = FxHashMap::default();
    let mut ranked: Vec<(usize, usize)> = Vec::with_capacity(several.len());
    let mut alike: FxHashMap<[i64; D], usize> = FxHashMap::default();
    for (at, one) in several.iter().enumerate() {
        let alike = alike.entry(one.uses).or_default();
        *alike += 1;
        if *alike > ALIKE {
            continue;
        }
        let rank = kinds.entry(one.uses.map(i64::signum)).or_default();
        ranked.push((*rank, at));
        *rank += 1;
    }
    ranked.sort_unstable();
    ranked.truncate(most);
    ranked.into_iter().map(|(_, at)| several[at]).collect()
}

/// Those that move no more than so much in any purse, alone or by twos.
pub fn small<const D: usize>(several: &[Several<D>], width: i64) -> Vec<Several<D>> {
    let is_small = |uses: &[i64; D]| uses.iter().all(|uses| uses.abs() <= width);
    let mut found: Vec<Several<D>> = several.iter().filter(|one| is_small(&one.uses)).copied().collect();
    let states: Vec<State<D>> = several.iter().enumerate().map(|(at, one)| state(one.uses, one.loss, at)).collect();
    let grid = Grid::of(&states, &[2 * width; D]);
    for (at, one) in several.iter().enumerate() {
        grid.near(0, &one.uses.map(|uses| width - uses), &[2 * width; D], |with| {
            let other = &several[with.node as usize];
            let mut uses = one.uses;
            add(&mut uses, &other.uses, 1);
            if let ([a, b, None, None], [c, d, None, None]) = (one.of, other.of)
                && with.node as usize > at
                && is_small(&uses)
            {
                found.push(Several { uses, loss: one.loss + other.loss, of: [a, b, c, d] });
            }
            found.len() < SMALL
        });
    }
    found
}

/// What some changes come to, as a state that can be sorted into boxes.
pub fn state<const D: usize>(uses: [i64; D], loss: i128, node: usize) -> State<D> {
    State { counts: 0, uses, loss, beside: 0, node: node as u32, tied: false }
}
