//! Counsels: advice on the whole outcome, judged last, once its totals are known.

use purfle_lang::book::{CounselId, StateWord, StepId, TierId};
use purfle_lang::evaluate::{Input, Inputs, LookSpot, Reach, compare, evaluate};
use purfle_lang::number::Number;

use super::intake::FromRecord;
use super::next::Gathered;
use super::solve::Ground;
use crate::outcome::{Figure, Range, Sum};
use crate::plan::layout::Stands;
use crate::plan::node::{Bounds, CellSet, InstanceId, Node, VariableId};

/// The most cases of its own looks that a counsel is gone through by.
const MOST_CASES: u64 = 4096;

/// Counsels that are found or open.
pub fn counsels(
    ground: Ground<'_>,
    bounds: &dyn Fn(InstanceId) -> (bool, bool),
    urgency: Range<StepId>,
    cost: &Sum,
    tier: Range<TierId>,
    quoted: Option<Number>,
    looks: &mut Gathered,
) -> Vec<(CounselId, StateWord)> {
    let prepared = ground.prepared;
    if prepared.built.whole.counsels.is_empty() {
        return Vec::new();
    }
    let layout = &prepared.built.layout;
    let mut sets = ground.seen.sets.clone();
    let total = quoted.map_or((cost.from, cost.to), |quoted| (quoted, quoted));
    let tier = quoted.map_or(tier, |quoted| Range { from: ground.book.tier_of(quoted), to: ground.book.tier_of(quoted) });
    for (id, variable) in layout.variables.iter().enumerate() {
        let between = |from: usize, to: usize| (from..=to.min(127)).fold(0, |set: CellSet, cell| set | 1 << cell);
        match &variable.stands {
            Stands::TotalUrgency => sets[id] = between(urgency.from.index(), urgency.to.index()),
            Stands::TotalTier => sets[id] = between(tier.from.index(), tier.to.index()),
            Stands::Opaque(comparison, left, right, hand) => {
                let inputs = WithTotal { record: FromRecord { book: ground.book, prepared, seen: ground.seen }, total };
                let verdict =
                    compare(*comparison, evaluate(ground.book, left, hand, &inputs), evaluate(ground.book, right, hand, &inputs));
                sets[id] = CellSet::from(verdict.met) | CellSet::from(verdict.unmet) << 1 | CellSet::from(verdict.neither) << 2;
            }
            _ => {}
        }
    }
    let holds: Vec<Bounds> = (0..layout.instances.len() as u32)
        .map(|id| {
            let (surely, possibly) = bounds(id);
            Bounds { surely, possibly }
        })
        .collect();
    let mut found = Vec::new();
    for (at, node) in prepared.built.whole.counsels.iter().enumerate() {
        let answer = over_looks(ground, node, &mut sets, &holds);
        let state = match (answer.surely, answer.possibly) {
            (true, _) => StateWord::Found,
            (false, true) => StateWord::Open,
            (false, false) => continue,
        };
        if state == StateWord::Open {
            looks.node(ground, node, Figure::Counsel);
        }
        found.push((CounselId::from_index(at), state));
    }
    found
}

/// Whether a node is met, by cases of the looks it reads where these are few, else test by test.
pub fn over_looks(ground: Ground<'_>, node: &Node, sets: &mut [CellSet], holds: &[Bounds]) -> Bounds {
    let layout = &ground.prepared.built.layout;
    let quick = node.bounds(&layout.atoms, sets, holds);
    if quick.surely == quick.possibly {
        return quick;
    }
    let mut variables: Vec<VariableId> = Vec::new();
    node.visit(&mut |atom| variables.extend(layout.atoms[atom as usize].variables.iter().map(|(v, _)| *v)), &mut |_| {});
    variables.sort_unstable();
    variables.dedup();
    variables.retain(|v| sets[*v as usize].count_ones() > 1);
    let cases = variables.iter().try_fold(1_u64, |n, v| n.checked_mul(u64::from(sets[*v as usize].count_ones())));
    if cases.is_none_or(|cases| cases > MOST_CASES) {
        return quick;
    }
    let open: Vec<CellSet> = variables.iter().map(|v| sets[*v as usize]).collect();
    let mut result = Bounds { surely: true, possibly: false };
    each_case(&variables, &open, sets, 0, &mut |sets| {
        let bounds = node.bounds(&layout.atoms, sets, holds);
        result.surely &= bounds.surely;
        result.possibly |= bounds.possibly;
    });
    for (variable, set) in variables.iter().zip(open) {
        sets[*variable as usize] = set;
    }
    result
}

fn each_case(variables: &[VariableId], open: &[CellSet], sets: &mut [CellSet], at: usize, tell: &mut impl FnMut(&[CellSet])) {
    let (Some(variable), Some(set)) = (variables.get(at), open.get(at)) else {
        return tell(sets);
    };
    let mut rest = *set;
    while rest != 0 {
        sets[*variable as usize] = rest & rest.wrapping_neg();
        rest &= rest - 1;
        each_case(variables, open, sets, at + 1, tell);
    }
}

/// A record together with its total.
struct WithTotal<'a> {
    record: FromRecord<'a>,
    total: (Number, Number),
}

impl Inputs for WithTotal<'_> {
    fn number(&self, input: Input) -> Reach {
        match input {
            Input::TotalCost => Reach { ends: Some(self.total), nothing: false },
            other => self.record.number(other),
        }
    }

    fn key(&self, look: LookSpot) -> Vec<Option<usize>> {
        self.record.key(look)
    }
}
