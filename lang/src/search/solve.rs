//! The search itself: branch, propagate, and learn from what fails.
//!
//! Narrow each variable to the cells that are left; a box with one side open forces that variable out of the box.
//! When nothing is forced, look at the case in mind: the preferred cell of each variable, or the first where that is
//! gone. If no box holds it, it is found; else one that does is avoided on one of its sides. A contradiction is
//! resolved backwards over what forced it: two boxes that are known to hold no case sought, `A` and `B`, give a third
//! for each variable `v`, whose side on `v` is the union of theirs and on every other variable the intersection.
//! As soon as one variable is all that keeps it from having been forced before the last decision, it is a new box to
//! avoid, and the search goes on from where it forces that variable. At the bottom it holds all of the region
//! searched, and the boxes it came from prove that there is no case.
//!
//! Backtracking with learned clauses is that of conflict-driven clause learning (J. P. Marques-Silva, K. A. Sakallah,
//! IEEE Transactions on Computers 48(5), 1999, 506–521); resolving boxes over variables with many values is the
//! geometric resolution of M. Abo Khamis, H. Q. Ngo, C. Ré, A. Rudra, ACM Transactions on Database Systems 41(4),
//! 2016, article 22. Both from memory; the form here is our own.

use super::boxes::{BoxId, Boxes};
use super::forbidden::Forbidden;
use super::region::Side;
use super::{CellSet, VariableId};

/// A learned box with more sides than this serves as a reason and is then forgotten.
const MOST_LEARNED_SIDES: usize = 24;

/// So many learned boxes are minded before the longer half is forgotten.
const MOST_LEARNED: usize = 2_000;

/// By how much more each contradiction counts than the one before.
const BLAME_GROWS: f64 = 1.05;

/// What a search came to.
#[derive(Debug)]
pub(super) enum Solved {
    /// This case avoids every box.
    Found(Vec<u8>),
    /// There is none, because of these of the boxes given, rising.
    None(Vec<BoxId>),
    /// It gave up.
    GaveUp,
}

/// A search over a number of boxes to avoid.
#[derive(Debug)]
pub(super) struct Solver<'a> {
    wholes: Vec<CellSet>,
    left: Vec<CellSet>,
    preferred: &'a [u8],
    /// The preferred cell of each variable if it is left, or else the first that is.
    case: Vec<u8>,
    boxes: Boxes,
    /// How many boxes were given; those after are learned.
    given: usize,
    /// What each learned box came from.
    parents: Vec<Vec<BoxId>>,
    /// How often each box took part in a contradiction, lately more than before.
    blamed: Vec<f64>,
    /// What taking part in the next one counts.
    blame: f64,
    trail: Vec<Step>,
    /// Where in the trail the decisions are.
    decisions: Vec<usize>,
    /// Boxes that may have one side open or none.
    waiting: Vec<BoxId>,
    merged: Merged,
}

/// One narrowing of a variable.
#[derive(Debug, Clone, Copy)]
struct Step {
    variable: VariableId,
    before: CellSet,
    /// The box that forced it; none for a decision.
    because: Option<BoxId>,
}

impl<'a> Solver<'a> {
    /// A search within the cells left of each variable. `preferred` names the cell to be kept to where there is a
    /// choice; variables beyond its end have none.
    pub(super) fn new(left: Vec<CellSet>, preferred: &'a [u8], forbidden: &Forbidden) -> Solver<'a> {
        let case: Vec<u8> = left.iter().enumerate().map(|(variable, left)| in_mind(preferred, variable, *left)).collect();
        let boxes = Boxes::new(forbidden, &left, &case);
        let given = boxes.len();
        Solver {
            merged: Merged::new(left.len()),
            wholes: left.clone(),
            left,
            preferred,
            case,
            boxes,
            given,
            parents: Vec::new(),
            blamed: vec![0.0; given],
            blame: 1.0,
            trail: Vec::new(),
            decisions: Vec::new(),
            waiting: (0..given as BoxId).collect(),
        }
    }

    /// Searches until there is an answer, or that many decisions and contradictions have passed.
    pub(super) fn run(mut self, limit: u64) -> Solved {
        let mut steps = 0;
        loop {
            match self.propagate() {
                Some(contradiction) => {
                    if let Some(used) = self.learn(contradiction) {
                        return Solved::None(used);
                    }
                }
                None if self.boxes.none_holds() => return Solved::Found(self.settled()),
                None => self.decide(),
            }
            steps += 1;
            if steps > limit {
                return Solved::GaveUp;
            }
        }
    }

    /// The case in mind, which no box holds, with each variable moved to where it was at first if that leaves it so.
    fn settled(mut self) -> Vec<u8> {
        let mut moved = true;
        while moved {
            moved = false;
            for variable in 0..self.case.len() as VariableId {
                let at = variable as usize;
                let (from, to) = (self.case[at], in_mind(self.preferred, at, self.wholes[at]));
                if from != to && !self.boxes.blocks(variable, from, to) {
                    self.boxes.moved(variable, from, to);
                    self.case[at] = to;
                    moved = true;
                }
            }
        }
        self.case
    }

    /// Narrows what boxes force until nothing is forced; tells a box that can no longer be avoided.
    fn propagate(&mut self) -> Option<BoxId> {
        while let Some(id) = self.waiting.pop() {
            match self.boxes.open(id) {
                Some(0) => {
                    self.waiting.clear();
                    return Some(id);
                }
                Some(1) => {
                    let open = self.boxes.sides(id).iter().find(|side| self.left[side.variable as usize] & !side.cells != 0);
                    if let Some(side) = open.copied() {
                        self.narrow(side.variable, self.left[side.variable as usize] & !side.cells, Some(id));
                    }
                }
                _ => {}
            }
        }
        None
    }

    fn narrow(&mut self, variable: VariableId, after: CellSet, because: Option<BoxId>) {
        let before = std::mem::replace(&mut self.left[variable as usize], after);
        self.trail.push(Step { variable, before, because });
        self.boxes.narrowed(variable, before, after, &mut self.waiting);
        self.change_mind(variable);
    }

    fn change_mind(&mut self, variable: VariableId) {
        let cell = in_mind(self.preferred, variable as usize, self.left[variable as usize]);
        let before = std::mem::replace(&mut self.case[variable as usize], cell);
        if before != cell {
            self.boxes.moved(variable, before, cell);
        }
    }

    /// Of the boxes that hold the case in mind, avoids the one nearest to being forced, on the side that costs least.
    fn decide(&mut self) {
        let mut best: Option<(u32, f64, BoxId)> = None;
        for (id, open) in self.boxes.holding() {
            let blamed = self.blamed[id as usize];
            if best.is_none_or(|(least, most, _)| open < least || open == least && blamed > most) {
                best = Some((open, blamed, id));
            }
        }
        let Some((.., id)) = best else { return };
        let mut chosen: Option<(f32, VariableId, CellSet)> = None;
        for side in self.boxes.sides(id) {
            let outside = self.left[side.variable as usize] & !side.cells;
            if outside == 0 {
                continue;
            }
            let from = self.case[side.variable as usize];
            let harm = self.boxes.harm(side.variable, from, in_mind(self.preferred, side.variable as usize, outside));
            if chosen.is_none_or(|(least, ..)| harm < least) {
                chosen = Some((harm, side.variable, outside));
            }
        }
        if let Some((_, variable, outside)) = chosen {
            self.decisions.push(self.trail.len());
            self.narrow(variable, outside, None);
        }
    }

    /// Learns from a contradiction, goes back to where what was learned forces something, and forces it; or tells
    /// which of the boxes given prove that there is none.
    fn learn(&mut self, contradiction: BoxId) -> Option<Vec<BoxId>> {
        self.merged.begin(self.boxes.sides(contradiction));
        let mut parents = vec![contradiction];
        let decided = self.decisions.last().copied();
        // What was left before the last decision.
        let mut before = self.left.clone();
        for step in self.trail[decided.unwrap_or(0)..].iter().rev() {
            before[step.variable as usize] = step.before;
        }
        while let Some(step) = self.undo() {
            if self.merged.holds(step.variable, step.before) {
                continue;
            }
            // All but one side held before the last decision: then this one could have been forced.
            if decided.is_some() && self.merged.is_one_short(step.variable, &before) {
                self.go_back(step.variable);
                let learned = self.keep(parents);
                self.narrow(step.variable, self.left[step.variable as usize] & !self.merged.cells(step.variable), Some(learned));
                return None;
            }
            let Some(because) = step.because else { break };
            self.merged.resolve(step.variable, self.boxes.sides(because));
            parents.push(because);
        }
        Some(self.used(parents))
    }

    fn undo(&mut self) -> Option<Step> {
        let step = self.trail.pop()?;
        let after = std::mem::replace(&mut self.left[step.variable as usize], step.before);
        self.boxes.widened(step.variable, step.before, after);
        self.change_mind(step.variable);
        Some(step)
    }

    /// Takes the last decision back, and those before it without which the merged box forces the variable as well.
    fn go_back(&mut self, forced: VariableId) {
        while let Some(decided) = self.decisions.pop() {
            while self.trail.len() > decided {
                self.undo();
            }
            let next = self.decisions.last().copied().unwrap_or(self.trail.len());
            let needs = |step: &Step| step.variable != forced && !self.merged.holds(step.variable, step.before);
            if self.trail[next..].iter().any(needs) {
                break;
            }
        }
    }

    /// Takes the merged box in among the boxes to avoid.
    fn keep(&mut self, parents: Vec<BoxId>) -> BoxId {
        for parent in &parents {
            self.blamed[*parent as usize] += self.blame;
        }
        self.blame *= BLAME_GROWS;
        if self.blame > 1e100 {
            self.blame = 1.0;
            self.blamed.iter_mut().for_each(|blamed| *blamed *= 1e-100);
        }
        if self.parents.len() % MOST_LEARNED == MOST_LEARNED - 1 {
            self.forget_half();
        }
        self.merged.mentioned.sort_unstable();
        // A side that holds all there is says nothing.
        let side = |variable: &VariableId| {
            let cells = self.merged.cells(*variable);
            (self.wholes[*variable as usize] & !cells != 0).then_some(Side { variable: *variable, cells })
        };
        let sides: Vec<Side> = self.merged.mentioned.iter().filter_map(side).collect();
        let minded = sides.len() <= MOST_LEARNED_SIDES;
        let id = self.boxes.add(&sides, &self.left, &self.case, minded);
        self.parents.push(parents);
        self.blamed.push(0.0);
        id
    }

    /// Stops minding the longer half of what was learned.
    fn forget_half(&mut self) {
        let mut learned: Vec<(usize, BoxId)> =
            (self.given as BoxId..self.boxes.len() as BoxId).map(|id| (self.boxes.sides(id).len(), id)).collect();
        learned.sort_unstable();
        let mut dropped = vec![false; self.boxes.len()];
        for (_, id) in &learned[learned.len().min(MOST_LEARNED / 2)..] {
            dropped[*id as usize] = true;
        }
        self.boxes.forget(|id| dropped[id as usize]);
    }

    /// The boxes given from which these came.
    fn used(&self, mut from: Vec<BoxId>) -> Vec<BoxId> {
        let mut seen = vec![false; self.boxes.len()];
        while let Some(id) = from.pop() {
            if !std::mem::replace(&mut seen[id as usize], true) && id as usize >= self.given {
                from.extend(&self.parents[id as usize - self.given]);
            }
        }
        (0..self.given).filter(|id| seen[*id]).map(|id| id as BoxId).collect()
    }
}

/// The preferred cell of a variable, or else the first, of those that are left.
fn in_mind(preferred: &[u8], variable: usize, left: CellSet) -> u8 {
    match preferred.get(variable) {
        Some(cell) if left >> cell & 1 == 1 => *cell,
        _ => left.trailing_zeros() as u8,
    }
}

/// A box known to hold no case sought, while it is put together.
#[derive(Debug)]
struct Merged {
    cells: Vec<CellSet>,
    is_mentioned: Vec<bool>,
    mentioned: Vec<VariableId>,
}

impl Merged {
    fn new(variables: usize) -> Merged {
        Merged { cells: vec![CellSet::MAX; variables], is_mentioned: vec![false; variables], mentioned: Vec::new() }
    }

    /// Begins with a box.
    fn begin(&mut self, sides: &[Side]) {
        for variable in self.mentioned.drain(..) {
            self.cells[variable as usize] = CellSet::MAX;
            self.is_mentioned[variable as usize] = false;
        }
        for side in sides {
            self.narrow(*side);
        }
    }

    fn narrow(&mut self, side: Side) {
        self.cells[side.variable as usize] &= side.cells;
        if !std::mem::replace(&mut self.is_mentioned[side.variable as usize], true) {
            self.mentioned.push(side.variable);
        }
    }

    fn cells(&self, variable: VariableId) -> CellSet {
        self.cells[variable as usize]
    }

    /// Whether it holds all these cells of a variable.
    fn holds(&self, variable: VariableId, cells: CellSet) -> bool {
        cells & !self.cells[variable as usize] == 0
    }

    /// Whether it holds all these cells, but for those of one variable.
    fn is_one_short(&self, variable: VariableId, cells: &[CellSet]) -> bool {
        self.mentioned.iter().all(|other| *other == variable || self.holds(*other, cells[*other as usize]))
    }

    /// Resolves it with another box on a variable.
    fn resolve(&mut self, variable: VariableId, other: &[Side]) {
        let mut joined = self.cells(variable);
        for side in other {
            if side.variable == variable {
                joined |= side.cells;
            } else {
                self.narrow(*side);
            }
        }
        self.cells[variable as usize] = joined;
    }
}
