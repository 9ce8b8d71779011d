//! A case as ordinary as possible: few variables away from the cell preferred.

use super::{Avoided, Case, CellSet, Node, Question, VariableId};

/// Moves variables of a case that answers the question to the cell preferred, as long as it goes on answering it. No
/// variable of what is left could be moved there by itself.
pub(super) fn made_ordinary(question: &Question, mut case: Case) -> Case {
    let mut watch = Watch::new(question, &case);
    let mut moved = true;
    while moved {
        moved = false;
        for variable in 0..question.space().variables() as VariableId {
            let preferred = question.prefers(variable);
            moved |= case[variable as usize] != preferred && watch.moves(&mut case, variable, preferred);
        }
    }
    case
}

/// What of a question a variable can spoil.
struct Watch<'a> {
    question: &'a Question<'a>,
    /// For each variable its side of each box to avoid, and the box's number.
    sides: Vec<Vec<(CellSet, usize)>>,
    /// How many sides of each box the case is outside of.
    outside: Vec<u32>,
    /// For each variable the conditions that read it, and whether they are to be met.
    conditions: Vec<Vec<(&'a Node, bool)>>,
}

impl<'a> Watch<'a> {
    fn new(question: &'a Question<'a>, case: &[u8]) -> Watch<'a> {
        let variables = question.space().variables();
        let mut watch =
            Watch { question, sides: vec![Vec::new(); variables], outside: Vec::new(), conditions: vec![Vec::new(); variables] };
        let avoided = question.avoided().iter().filter_map(|avoided| match avoided {
            Avoided::Region(region) => Some(*region),
            Avoided::Condition(_) => None,
        });
        for region in avoided.chain(question.impossible_regions().iter().copied()) {
            let id = watch.outside.len();
            watch.outside.push(0);
            for side in region.sides() {
                watch.sides[side.variable as usize].push((side.cells, id));
                watch.outside[id] += u32::from(side.cells >> case[side.variable as usize] & 1 == 0);
            }
        }
        let conditions = question.conditions();
        let required = question.required().iter().map(|node| (*node, true));
        let refused = question.avoided().iter().filter_map(|avoided| match avoided {
            Avoided::Condition(node) => Some((*node, false)),
            Avoided::Region(_) => None,
        });
        for (node, wanted) in required.chain(refused) {
            for variable in conditions.reads(node) {
                watch.conditions[variable as usize].push((node, wanted));
            }
        }
        watch
    }

    /// Moves a variable to a cell, if the case then still answers the question.
    fn moves(&mut self, case: &mut Case, variable: VariableId, cell: u8) -> bool {
        let at = variable as usize;
        let before = case[at];
        let falls_in =
            |(cells, id): &(CellSet, usize)| cells >> cell & 1 == 1 && cells >> before & 1 == 0 && self.outside[*id] == 1;
        if self.sides[at].iter().any(falls_in) {
            return false;
        }
        case[at] = cell;
        let conditions = self.question.conditions();
        if !self.conditions[at].iter().all(|(node, wanted)| conditions.met(node, case) == *wanted) {
            case[at] = before;
            return false;
        }
        for (cells, id) in &self.sides[at] {
            self.outside[*id] += u32::from(cells >> cell & 1 == 0);
            self.outside[*id] -= u32::from(cells >> before & 1 == 0);
        }
        true
    }
}
