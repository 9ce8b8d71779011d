//! Counsels: advice on the whole outcome, judged last, once its totals are known.

use purfle_lang::book::{Aid, Book, LookId};
use purfle_lang::evaluate::{Input, Inputs, LookSpot, Reach, compare, evaluate};
use purfle_lang::number::{Number, round_scaled};
use rustc_hash::FxHashSet;

use super::from_record::FromRecord;
use super::key::{Key, KeyMap};
use super::last::ComeTo;
use super::price::money;
use super::solve::Ground;
use crate::plan::build::Built;
use crate::plan::layout::Layout;
use purfle_lang::finite::node::{Bounds, CellSet, InstanceId, Node, VariableId};
use purfle_lang::finite::view::{SlotId, Stands};

/// The most cases of the looks it hangs on that a counsel is gone through by.
const MOST_CASES: u64 = 512;

/// The most readings of looks that are told apart; beyond, every look is taken as read again.
const MOST_READINGS: usize = 4_096;

/// The condition of a counsel, or whom a fund is for, with all that it hangs on.
#[derive(Debug)]
pub struct Asked {
    number: usize,
    node: Node,
    /// The variables that it and the findings it reads hang on.
    variables: Vec<VariableId>,
    /// Those findings, each after those it reads.
    findings: Vec<InstanceId>,
    /// Those of them that are not a room's own, totals included.
    context: Vec<VariableId>,
    /// Whether it reads no finding and each variable once, so that test by test is as good as case by case.
    plain: bool,
}

/// All that is asked last.
#[derive(Debug, Default)]
pub struct AskedLast {
    /// When each counsel applies.
    pub counsels: Vec<Asked>,
    /// Whom each fund is for.
    pub aids: Vec<Asked>,
    /// The looks that each fund needs, with their slots.
    pub needs: Vec<Vec<(LookId, Vec<SlotId>)>>,
    /// The context variables that any of this hangs on, those of the totals left out.
    pub context: Vec<VariableId>,
    /// The findings that any of it reads.
    pub findings: Vec<InstanceId>,
}

impl AskedLast {
    /// What a layout asks last. `totals` are the variables that stand for the totals, or compare with them.
    pub fn of(book: &Book, built: &Built, totals: &[VariableId]) -> Self {
        let slots = &built.layout.view.slots;
        let slots_of = |look: LookId| (0..slots.len() as SlotId).filter(move |slot| slots[*slot as usize].look.look == look);
        let needs = |aid: &Aid| aid.needs.iter().map(|&look| (look, slots_of(look).collect())).collect();
        let needs = book.aids.iter().map(needs).collect();
        let rooms: FxHashSet<VariableId> = built.layout.rooms.iter().flat_map(|room| room.variables.iter().copied()).collect();
        let mut number = 0;
        let mut asked = |node: &Node| {
            let (mut variables, mut findings) = (Vec::new(), Vec::new());
            read_by(&built.layout, node, &mut variables, &mut findings);
            let plain = findings.is_empty() && reads_each_once(&built.layout, node);
            variables.sort_unstable();
            variables.dedup();
            let context = variables.iter().copied().filter(|v| !rooms.contains(v)).collect();
            number += 1;
            Asked { number, node: node.clone(), variables, context, findings, plain }
        };
        let counsels: Vec<Asked> = built.whole.counsels.iter().map(&mut asked).collect();
        let aids: Vec<Asked> = built.whole.aids.iter().map(asked).collect();
        let needs: Vec<Vec<(LookId, Vec<SlotId>)>> = needs;
        let mut context: Vec<VariableId> = Vec::new();
        for (_, slots_of_look) in needs.iter().flatten() {
            for slot in slots_of_look.iter().map(|slot| &slots[*slot as usize]) {
                context.extend(slot.variable);
                slot.applies.variables(&built.layout.view.atoms, &mut context);
            }
        }
        let all = || counsels.iter().chain(&aids);
        context.extend(all().flat_map(|asked| &asked.context));
        context.retain(|variable| !rooms.contains(variable) && !totals.contains(variable));
        let mut findings: Vec<InstanceId> = all().flat_map(|asked| asked.findings.iter().copied()).collect();
        context.sort_unstable();
        context.dedup();
        findings.sort_unstable();
        findings.dedup();
        Self { counsels, aids, needs, context, findings }
    }

    /// Whether any of it reads this finding.
    pub fn reads(&self, id: InstanceId) -> bool {
        self.findings.binary_search(&id).is_ok()
    }
}

/// What was found out before.
#[derive(Debug, Default)]
pub struct VerdictMemory {
    /// By all that it hangs on.
    known: KeyMap<Bounds>,
    /// Of the record at hand, by the number of what was asked.
    here: Vec<Vec<FoundOut>>,
    /// What these hang on of the context, one after the other.
    contexts: Vec<CellSet>,
    /// A key in the making.
    key: Key,
}

impl VerdictMemory {
    /// Forgets what was found out of the record before.
    pub fn begin(&mut self) {
        self.here.iter_mut().for_each(Vec::clear);
        self.contexts.clear();
    }
}

/// Whether something asked last is so, for one way in which the rooms come out.
#[derive(Debug)]
struct FoundOut {
    /// How the rooms came out.
    together: usize,
    /// Where among the contexts that begins which it hangs on.
    from: usize,
    /// Whether it is so.
    so: Bounds,
}

/// The most that is remembered.
const MOST_REMEMBERED: usize = 1 << 14;

/// What is so for one choice of the context.
pub struct Verdicts<'a> {
    /// The record and the layout.
    pub ground: Ground<'a>,
    /// What each variable can be, those of the totals filled in.
    pub sets: &'a mut [CellSet],
    /// Whether each finding that anything asks for holds.
    pub holds: &'a mut Vec<Bounds>,
    /// What was found out before.
    pub memory: &'a mut VerdictMemory,
    /// How the rooms come out, by number.
    pub together: usize,
}

/// Whether each counsel is met, for one choice of the context.
pub fn counsels(verdicts: &mut Verdicts<'_>, come_to: ComeTo<'_>) -> Vec<Bounds> {
    let ground = verdicts.ground;
    let anew = ground.prepared.totals_by_table.then(|| totals(ground, come_to));
    let sets = anew.as_ref().unwrap_or_else(|| come_to.sums.1.totals.get_or_init(|| totals(ground, come_to)));
    for (&id, set) in ground.prepared.totals.iter().zip(sets) {
        let by_steps = ground.layout().view.variables[id as usize].stands == Stands::TotalUrgency;
        verdicts.sets[id as usize] = if by_steps { come_to.steps } else { *set };
    }
    ground.prepared.last.counsels.iter().map(|asked| verdicts.whether(asked)).collect()
}

/// What the variables of the totals can be, those that the cost decides.
fn totals(ground: Ground<'_>, come_to: ComeTo<'_>) -> Vec<CellSet> {
    let prepared = ground.prepared;
    let (least, most) = come_to.sums.1.sums.now;
    let now = || (money(least.sum, ground.scale), money(most.sum, ground.scale));
    let cost = come_to.quoted.map_or_else(now, |quoted| (quoted, quoted));
    let places = ground.book.money.minor_places();
    let tiers = || match come_to.quoted {
        Some(quoted) => [ground.book.tier_of(Number::new(round_scaled(quoted, places), 10_i128.pow(places))); 2],
        None => [least, most].map(|total| prepared.tiers.tier_of(total.sum)),
    };
    let between = |from: usize, to: usize| (from..=to.min(127)).fold(0, |set: CellSet, cell| set | 1 << cell);
    let set = |id: &VariableId| match &prepared.built.layout.view.variables[*id as usize].stands {
        Stands::TotalTier => {
            let [from, to] = tiers();
            between(from.index(), to.index())
        }
        Stands::Opaque(comparison, left, right, hand) => {
            let inputs = WithTotal { record: FromRecord { book: ground.book, prepared, seen: ground.seen }, total: cost };
            let verdict =
                compare(*comparison, evaluate(ground.book, left, hand, &inputs), evaluate(ground.book, right, hand, &inputs));
            CellSet::from(verdict.met) | CellSet::from(verdict.unmet) << 1 | CellSet::from(verdict.neither) << 2
        }
        _ => 0,
    };
    prepared.totals.iter().map(set).collect()
}

impl Verdicts<'_> {
    /// Whether a condition is met.
    pub fn whether(&mut self, asked: &Asked) -> Bounds {
        // The rooms' own looks are the same in all choices of the context, and so are the rooms to what reads none of them.
        let together = if asked.findings.is_empty() { 0 } else { self.together };
        let VerdictMemory { here, contexts, .. } = &mut *self.memory;
        if here.len() <= asked.number {
            here.resize_with(asked.number + 1, Vec::new);
        }
        let sets = &*self.sets;
        let count = asked.context.len();
        let same = |known: &&FoundOut| {
            let context = &contexts[known.from..known.from + count];
            known.together == together && asked.context.iter().zip(context).all(|(v, set)| sets[*v as usize] == *set)
        };
        if let Some(known) = here[asked.number].iter().find(same) {
            return known.so;
        }
        let from = contexts.len();
        contexts.extend(asked.context.iter().map(|variable| sets[*variable as usize]));
        let so = match asked.plain {
            true => asked.node.bounds(&self.ground.layout().view.atoms, self.sets, self.holds),
            false => self.remembered(asked),
        };
        self.memory.here[asked.number].push(FoundOut { together, from, so });
        so
    }

    fn remembered(&mut self, asked: &Asked) -> Bounds {
        let variables = &self.ground.layout().view.variables;
        let mut key = std::mem::take(&mut self.memory.key);
        key.clear();
        key.push(self.ground.prepared.number as u128, 64);
        key.push(asked.number as u128, 64);
        for &variable in &asked.variables {
            key.push(self.sets[variable as usize], variables[variable as usize].size);
        }
        for &id in &asked.findings {
            let holds = self.holds[id as usize];
            key.push(u128::from(holds.surely) << 1 | u128::from(holds.possibly), 2);
        }
        let known = self.memory.known.get(&key).copied();
        let so = known.unwrap_or_else(|| {
            let so = self.find_out(asked);
            let known = &mut self.memory.known;
            if known.len() >= MOST_REMEMBERED {
                known.clear();
            }
            known.insert(&key, so);
            so
        });
        self.memory.key = key;
        so
    }

    /// The same by cases of the looks that it and the findings it reads hang on, where these are few; else test by test.
    fn find_out(&mut self, asked: &Asked) -> Bounds {
        let layout = self.ground.layout();
        let (sets, holds) = (&mut *self.sets, &mut *self.holds);
        let quick = asked.node.bounds(&layout.view.atoms, sets, holds);
        if quick.surely == quick.possibly {
            return quick;
        }
        let node = asked.node.within(&layout.view.atoms, sets, holds);
        let mut findings = Vec::new();
        read_by(layout, &node, &mut Vec::new(), &mut findings);
        // A look that is read once is as good left open, so only those that are read again have to be gone through.
        let mut variables = Vec::new();
        every_reading(layout, &node, &mut variables);
        variables.retain(|v| sets[*v as usize].count_ones() > 1);
        variables.sort_unstable();
        let again = |variables: &[VariableId]| variables.windows(2).filter(|two| two[0] == two[1]).map(|two| two[0]).collect();
        let mut variables: Vec<VariableId> = if variables.len() < MOST_READINGS { again(&variables) } else { variables };
        variables.dedup();
        if variables.is_empty() {
            return quick;
        }
        let cases = variables.iter().try_fold(1_u64, |n, v| n.checked_mul(u64::from(sets[*v as usize].count_ones())));
        if cases.is_none_or(|cases| cases > MOST_CASES) {
            return quick;
        }
        let open: Vec<CellSet> = variables.iter().map(|v| sets[*v as usize]).collect();
        let before: Vec<Bounds> = findings.iter().map(|id| holds[*id as usize]).collect();
        let mut result = Bounds { surely: true, possibly: false };
        each_case(&variables, &open, sets, 0, &mut |sets| {
            for &id in &findings {
                holds[id as usize] = layout.instances[id as usize].holds.bounds(&layout.view.atoms, sets, holds);
            }
            let bounds = node.bounds(&layout.view.atoms, sets, holds);
            result.surely &= bounds.surely;
            result.possibly |= bounds.possibly;
        });
        for (variable, set) in variables.iter().zip(open) {
            sets[*variable as usize] = set;
        }
        for (id, known) in findings.iter().zip(before) {
            holds[*id as usize] = known;
        }
        // What the findings are known to be, all cases together, stays known.
        Bounds { surely: result.surely || quick.surely, possibly: result.possibly && quick.possibly }
    }
}

/// The variables that a node hangs on, through findings too, and those findings, each after those it reads.
fn read_by(layout: &Layout, node: &Node, variables: &mut Vec<VariableId>, findings: &mut Vec<InstanceId>) {
    let mut read = Vec::new();
    node.variables(&layout.view.atoms, variables);
    node.findings(&mut read);
    for id in read {
        if !findings.contains(&id) {
            read_by(layout, &layout.instances[id as usize].holds, variables, findings);
            findings.push(id);
        }
    }
}

/// The variables that a node hangs on, through findings too, as often as they are read; no more than [`MOST_READINGS`].
fn every_reading(layout: &Layout, node: &Node, variables: &mut Vec<VariableId>) {
    let mut read = Vec::new();
    node.variables(&layout.view.atoms, variables);
    node.findings(&mut read);
    for id in read {
        if variables.len() < MOST_READINGS {
            every_reading(layout, &layout.instances[id as usize].holds, variables);
        }
    }
}

/// Whether no variable stands in two tests of a node.
fn reads_each_once(layout: &Layout, node: &Node) -> bool {
    let mut read = Vec::new();
    node.variables(&layout.view.atoms, &mut read);
    read.sort_unstable();
    read.windows(2).all(|two| two[0] != two[1])
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
