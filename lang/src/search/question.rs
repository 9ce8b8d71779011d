//! A question to the search: is there a case in this box that meets these conditions and none of those?

use super::gates::{Gates, TooGreat};
use super::ordinary::made_ordinary;
use super::solve::{Solved, Solver};
use super::{Case, CellSet, Conditions, Node, Region, Space, VariableId};

/// So many decisions and contradictions pass before a question is given up, unless it says otherwise.
pub const USUAL_LIMIT: u64 = 20_000;

/// Something a case must not be in.
#[derive(Debug, Clone, Copy)]
pub enum Avoided<'a> {
    /// A box.
    Region(&'a Region),
    /// A condition, that must not be met.
    Condition(&'a Node),
}

/// What a question came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// There is such a case.
    Found(Case),
    /// It is proved that there is none, by these of the things to avoid (in the order in which they were asked for,
    /// from 0): every case in the box that is possible and meets the conditions is in one of them.
    None(Vec<usize>),
    /// The search was given up; there may be one or not.
    Undecided,
}

/// A question, put together step by step.
#[derive(Debug, Clone)]
pub struct Question<'a> {
    space: &'a Space,
    conditions: Conditions<'a>,
    within: Region,
    required: Vec<&'a Node>,
    avoided: Vec<Avoided<'a>>,
    impossible: Vec<&'a Region>,
    preferred: &'a [u8],
    limit: u64,
}

impl<'a> Question<'a> {
    /// Is there any case at all?
    pub fn new(space: &'a Space) -> Question<'a> {
        Question {
            space,
            conditions: Conditions::default(),
            within: Region::everywhere(),
            required: Vec::new(),
            avoided: Vec::new(),
            impossible: Vec::new(),
            preferred: &[],
            limit: USUAL_LIMIT,
        }
    }

    /// What the conditions of the question refer to.
    pub fn speaking_of(mut self, conditions: Conditions<'a>) -> Self {
        self.conditions = conditions;
        self
    }

    /// The case lies in this box; said twice, in both.
    pub fn within(mut self, region: &Region) -> Self {
        self.within = self.within.meet(region);
        self
    }

    /// The case meets this condition.
    pub fn meeting(mut self, condition: &'a Node) -> Self {
        self.required.push(condition);
        self
    }

    /// The case lies in none of these boxes.
    pub fn avoiding(mut self, regions: impl IntoIterator<Item = &'a Region>) -> Self {
        self.avoided.extend(regions.into_iter().map(Avoided::Region));
        self
    }

    /// The case meets none of these conditions.
    pub fn avoiding_conditions(mut self, conditions: impl IntoIterator<Item = &'a Node>) -> Self {
        self.avoided.extend(conditions.into_iter().map(Avoided::Condition));
        self
    }

    /// No case lies in these boxes to begin with, so that a proof does not name them.
    pub fn impossible(mut self, regions: impl IntoIterator<Item = &'a Region>) -> Self {
        self.impossible.extend(regions);
        self
    }

    /// The cell each variable has in an ordinary case, by its number. The case found differs from that in few
    /// variables. Where nothing is said, the first cell is preferred.
    pub fn preferring(mut self, cells: &'a [u8]) -> Self {
        self.preferred = cells;
        self
    }

    /// So many decisions and contradictions may pass.
    pub fn limit(mut self, steps: u64) -> Self {
        self.limit = steps;
        self
    }

    /// The same question with only some of the things to avoid, by number.
    pub(super) fn keeping(&self, kept: &[usize]) -> Self {
        Question { avoided: kept.iter().map(|at| self.avoided[*at]).collect(), ..self.clone() }
    }

    /// The answer. The same question always gets the same one.
    pub fn answer(&self) -> Verdict {
        let left: Vec<CellSet> = (0..self.space.variables()).map(|variable| self.allowed(variable as VariableId)).collect();
        if left.contains(&0) {
            return Verdict::None(Vec::new());
        }
        let mut gates = Gates::new(self.space, self.conditions, left);
        if self.ask(&mut gates).is_err() {
            return Verdict::Undecided;
        }
        let (left, forbidden) = gates.finish();
        let preferred: Vec<u8> = (0..self.space.variables()).map(|variable| self.prefers(variable as VariableId)).collect();
        match Solver::new(left, &preferred, &forbidden).run(self.limit) {
            Solved::Found(mut case) => {
                // The variables of gates block moves that the conditions do not.
                let has_gates = case.len() > self.space.variables();
                case.truncate(self.space.variables());
                Verdict::Found(if has_gates { made_ordinary(self, case) } else { case })
            }
            Solved::None(used) => {
                let mut used: Vec<usize> = used.into_iter().filter_map(|id| forbidden.stands_for(id as usize)).collect();
                used.sort_unstable();
                used.dedup();
                Verdict::None(used)
            }
            Solved::GaveUp => Verdict::Undecided,
        }
    }

    fn ask(&self, gates: &mut Gates<'a>) -> Result<(), TooGreat> {
        for region in &self.impossible {
            gates.avoid(region, None);
        }
        for node in &self.required {
            gates.require(node, true, None)?;
        }
        for (at, avoided) in self.avoided.iter().enumerate() {
            match avoided {
                Avoided::Region(region) => gates.avoid(region, Some(at)),
                Avoided::Condition(node) => gates.require(node, false, Some(at))?,
            }
        }
        Ok(())
    }

    /// Whether a case answers the question.
    pub fn answered_by(&self, case: &[u8]) -> bool {
        self.within.has(case)
            && !self.impossible.iter().any(|region| region.has(case))
            && self.required.iter().all(|node| self.conditions.met(node, case))
            && !self.avoided.iter().any(|avoided| match avoided {
                Avoided::Region(region) => region.has(case),
                Avoided::Condition(node) => self.conditions.met(node, case),
            })
    }

    pub(super) fn space(&self) -> &'a Space {
        self.space
    }

    pub(super) fn conditions(&self) -> Conditions<'a> {
        self.conditions
    }

    pub(super) fn required(&self) -> &[&'a Node] {
        &self.required
    }

    pub(super) fn avoided(&self) -> &[Avoided<'a>] {
        &self.avoided
    }

    pub(super) fn impossible_regions(&self) -> &[&'a Region] {
        &self.impossible
    }

    /// The cells of a variable in the box.
    pub(super) fn allowed(&self, variable: VariableId) -> CellSet {
        self.space.whole(variable) & self.within.cells(variable)
    }

    /// The cell of a variable that is preferred among those in the box: the one that was asked for, or the first.
    pub(super) fn prefers(&self, variable: VariableId) -> u8 {
        let allowed = self.allowed(variable);
        match self.preferred.get(variable as usize) {
            Some(cell) if allowed >> cell & 1 == 1 => *cell,
            _ => allowed.trailing_zeros() as u8,
        }
    }
}
