//! Counsels: advice on the whole outcome, judged last, once its totals are known.

use purfle_lang::evaluate::{Input, Inputs, LookSpot, Reach, compare, evaluate};
use purfle_lang::number::{Number, round_scaled};

use super::from_record::FromRecord;
use super::solve::Ground;
use purfle_lang::finite::node::{Bounds, CellSet, InstanceId, Node, VariableId};
use purfle_lang::finite::view::Stands;

/// The most cases of the looks it hangs on that a counsel is gone through by.
const MOST_CASES: u64 = 512;

/// What a counsel sees of the outcome.
#[derive(Debug, Clone, Copy)]
pub struct Totals {
    /// The steps it can come to, a bit each.
    pub steps: CellSet,
    /// The least and the greatest cost, or the shop's own price at both ends.
    pub cost: (Number, Number),
}

/// Whether each counsel is met, for one choice of the context. `sets` are the record's own; those of the totals are
/// filled in. `holds` may be empty where no counsel reads a finding.
pub fn counsels(ground: Ground<'_>, sets: &mut [CellSet], holds: &[Bounds], totals: Totals) -> Vec<Bounds> {
    let prepared = ground.prepared;
    let layout = &prepared.built.layout;
    let tier = |sum: Number| {
        let places = ground.book.money.minor_places();
        ground.book.tier_of(Number::new(round_scaled(sum, places), 10_i128.pow(places))).index()
    };
    for &id in &prepared.totals {
        let between = |from: usize, to: usize| (from..=to.min(127)).fold(0, |set: CellSet, cell| set | 1 << cell);
        match &layout.view.variables[id as usize].stands {
            Stands::TotalUrgency => sets[id as usize] = totals.steps,
            Stands::TotalTier => sets[id as usize] = between(tier(totals.cost.0), tier(totals.cost.1)),
            Stands::Opaque(comparison, left, right, hand) => {
                let inputs =
                    WithTotal { record: FromRecord { book: ground.book, prepared, seen: ground.seen }, total: totals.cost };
                let verdict =
                    compare(*comparison, evaluate(ground.book, left, hand, &inputs), evaluate(ground.book, right, hand, &inputs));
                sets[id as usize] =
                    CellSet::from(verdict.met) | CellSet::from(verdict.unmet) << 1 | CellSet::from(verdict.neither) << 2;
            }
            _ => {}
        }
    }
    prepared.built.whole.counsels.iter().map(|node| over_looks(ground, node, sets, holds)).collect()
}

/// Whether a node is met, by cases of the looks that it and the findings it reads hang on, where these are few; else
/// test by test.
pub fn over_looks(ground: Ground<'_>, node: &Node, sets: &mut [CellSet], holds: &[Bounds]) -> Bounds {
    let layout = &ground.prepared.built.layout;
    let quick = node.bounds(&layout.view.atoms, sets, holds);
    if quick.surely == quick.possibly {
        return quick;
    }
    let (mut variables, mut findings, mut leaves) = (Vec::new(), Vec::new(), Vec::new());
    let node = &node.within(&layout.view.atoms, sets, holds);
    node.visit(&mut |atom| leaves.push(Node::Met(atom)), &mut |_| {});
    node.visit(&mut |_| {}, &mut |id| leaves.push(Node::Holds(id)));
    for leaf in &leaves {
        let mut own = Vec::new();
        read_by(ground, leaf, &mut own, &mut findings);
        own.retain(|v| sets[*v as usize].count_ones() > 1);
        own.sort_unstable();
        own.dedup();
        variables.extend(own);
    }
    variables.sort_unstable();
    if variables.windows(2).all(|two| two[0] != two[1]) {
        // Every test and every finding has looks of its own, so one by one is as good.
        return quick;
    }
    variables.dedup();
    let cases = variables.iter().try_fold(1_u64, |n, v| n.checked_mul(u64::from(sets[*v as usize].count_ones())));
    if cases.is_none_or(|cases| cases > MOST_CASES) {
        return quick;
    }
    let open: Vec<CellSet> = variables.iter().map(|v| sets[*v as usize]).collect();
    let mut holds = holds.to_vec();
    let mut result = Bounds { surely: true, possibly: false };
    each_case(&variables, &open, sets, 0, &mut |sets| {
        for &id in &findings {
            holds[id as usize] = layout.instances[id as usize].holds.bounds(&layout.view.atoms, sets, &holds);
        }
        let bounds = node.bounds(&layout.view.atoms, sets, &holds);
        result.surely &= bounds.surely;
        result.possibly |= bounds.possibly;
    });
    for (variable, set) in variables.iter().zip(open) {
        sets[*variable as usize] = set;
    }
    // What the findings are known to be, all cases together, stays known.
    Bounds { surely: result.surely || quick.surely, possibly: result.possibly && quick.possibly }
}

/// The variables that a node hangs on, through findings too, and those findings, each after those it reads.
fn read_by(ground: Ground<'_>, node: &Node, variables: &mut Vec<VariableId>, findings: &mut Vec<InstanceId>) {
    let layout = &ground.prepared.built.layout;
    let mut read = Vec::new();
    node.variables(&layout.view.atoms, variables);
    node.findings(&mut read);
    for id in read {
        if !findings.contains(&id) {
            read_by(ground, &layout.instances[id as usize].holds, variables, findings);
            findings.push(id);
        }
    }
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
