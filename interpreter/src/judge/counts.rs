//! Findings that count over places: without them the places would be worked out apart.
//!
//! "At least three pegs slip" holds all pegs together, and their cases multiply. Once it is settled which pegs slip,
//! whether the finding holds is settled too, and each peg can be worked out by itself. So the few yes-or-no answers that
//! the count is made of are gone through, and not every case of every peg.

use rustc_hash::FxHashMap;

use super::alike::classes;
use super::cases::by_cases;
use super::groups::{Group, Local, parted};
use super::room_result::{RoomResult, blank, nothing_held};
use super::solve::{Ground, MOST_CASES, Scratch, combine};
use crate::plan::layout::Room;
use purfle_lang::finite::node::{Atom, InstanceId, Node, VariableId};

/// The most answers that counts are made of.
const MOST_TERMS: usize = 8;
/// The most findings that are taken out at once.
const MOST_COUNTS: usize = 3;

/// A condition that reads the looks of one block only.
struct Term {
    node: Node,
    block: usize,
}

/// Works a group out by what its counts are made of; none where that does not part it.
pub fn by_counts(ground: Ground<'_>, room: &Room, group: &Group, scratch: &mut Scratch) -> Option<RoomResult> {
    let (counts, blocks) = taken_out(ground, group)?;
    let mut terms: Vec<Term> = Vec::new();
    for local in &counts {
        terms_of(ground, &blocks, &local.holds, &mut terms)?;
    }
    if terms.len() > MOST_TERMS {
        return None;
    }
    let mut known: FxHashMap<(usize, u32, u32), RoomResult> = FxHashMap::default();
    let mut whole = blank(room, ground.book.aids.len());
    for answers in 0..1_u32 << terms.len() {
        let hold = counts.iter().enumerate().fold(0, |hold, (at, local)| {
            let holds = follows(&local.holds, &terms, answers);
            scratch.holds[local.id as usize] = holds;
            hold | u32::from(holds) << at
        });
        let mut result = nothing_held(room, ground.book.aids.len());
        for (at, block) in blocks.iter().enumerate() {
            let own = terms.iter().enumerate().filter(|(_, term)| term.block == at);
            let own: Vec<(Node, bool)> = own.map(|(i, term)| (term.node.clone(), answers >> i & 1 == 1)).collect();
            let bits = own.iter().enumerate().fold(0, |bits, (i, (_, wanted))| bits | u32::from(*wanted) << i);
            let part = match known.get(&(at, bits, hold)) {
                Some(part) => part.clone(),
                None => {
                    let mut block = block.clone();
                    block.constraints.extend(own);
                    let classes = classes(ground, &block);
                    let cases = classes.iter().try_fold(1_u64, |cases, classes| cases.checked_mul(classes.len() as u64));
                    cases.filter(|cases| *cases <= MOST_CASES)?;
                    let mut part = by_cases(ground, room, &block, &classes, scratch);
                    part.narrowed.clear();
                    known.insert((at, bits, hold), part.clone());
                    part
                }
            };
            combine(ground, &mut result, part, block);
        }
        for (at, local) in counts.iter().enumerate() {
            let local = Local { holds: Node::Constant(hold >> at & 1 == 1), ..local.clone() };
            let alone = Group { instances: vec![local], ..Group::default() };
            let part = by_cases(ground, room, &alone, &[], scratch);
            combine(ground, &mut result, part, &alone);
        }
        whole.or(result);
    }
    for local in &counts {
        scratch.holds[local.id as usize] = false;
    }
    may_tip(ground, room, &terms, &mut whole);
    Some(whole)
}

/// The findings to take out, those that read most first, until the rest falls into blocks.
fn taken_out(ground: Ground<'_>, group: &Group) -> Option<(Vec<Local>, Vec<Group>)> {
    let layout = ground.layout();
    let mut rest = group.instances.clone();
    let mut counts: Vec<Local> = Vec::new();
    while counts.len() < MOST_COUNTS {
        let most = rest.iter().enumerate().max_by_key(|(_, local)| reads(&layout.view.atoms, &local.holds).len())?.0;
        let count = rest.remove(most);
        if !is_plain(ground, &count, group) {
            return None;
        }
        counts.push(count);
        let settled: Vec<InstanceId> = counts.iter().map(|local| local.id).collect();
        let blocks = parted(ground, rest.clone(), group.constraints.clone(), &settled);
        if blocks.len() > 1 {
            return Some((counts, blocks));
        }
    }
    None
}

/// Whether a finding hangs together with the rest by what it reads alone: its urgency is settled, it yields to none of
/// them and becomes none, none of them becomes it, and it shares no step that has no bit of its own.
fn is_plain(ground: Ground<'_>, count: &Local, group: &Group) -> bool {
    let layout = ground.layout();
    let sharing = &ground.prepared.sharing;
    let settled = |node: &Node| matches!(node, Node::Constant(_));
    let (own, own_steps) = chain(ground, count.id);
    let instance = &layout.instances[count.id as usize];
    let mut reads_findings = false;
    count.holds.visit(&mut |_| {}, &mut |_| reads_findings = true);
    !reads_findings
        && count.lines.iter().all(|(_, when)| settled(when))
        && count.raises.iter().all(|(.., when)| settled(when))
        && instance.becomes.iter().all(|(.., applies)| settled(applies))
        && own.iter().all(|id| layout.instances[*id as usize].yields_to.is_empty())
        && group.instances.iter().filter(|other| other.id != count.id).all(|other| {
            let (reached, steps) = chain(ground, other.id);
            !reached.iter().any(|id| own.contains(id) && sharing.holds[*id as usize].is_none())
                && !steps.iter().any(|step| own_steps.contains(step) && sharing.steps[*step as usize].is_none())
        })
}

/// All that a finding can become, itself included, and the steps of all of it.
fn chain(ground: Ground<'_>, id: InstanceId) -> (Vec<InstanceId>, Vec<u32>) {
    let layout = ground.layout();
    let chain = layout.chain(vec![id]);
    let steps = chain.iter().flat_map(|link| layout.instances[*link as usize].occurrences.iter().copied()).collect();
    (chain, steps)
}

fn reads(atoms: &[Atom], node: &Node) -> Vec<VariableId> {
    let mut variables = Vec::new();
    node.variables(atoms, &mut variables);
    variables.sort_unstable();
    variables.dedup();
    variables
}

/// The parts of a condition that each read one block; none where a single test reads two, or a look that no
/// block has.
fn terms_of(ground: Ground<'_>, blocks: &[Group], node: &Node, terms: &mut Vec<Term>) -> Option<()> {
    let mut within: Vec<usize> = Vec::new();
    for variable in reads(&ground.layout().view.atoms, node) {
        if ground.seen.sets[variable as usize].count_ones() > 1 {
            within.push(blocks.iter().position(|block| block.variables.contains(&variable))?);
        }
    }
    within.sort_unstable();
    within.dedup();
    match (within.as_slice(), node) {
        ([block], node) => {
            if !terms.iter().any(|term| term.node == *node) {
                terms.push(Term { node: node.clone(), block: *block });
            }
            Some(())
        }
        (_, Node::All(nodes) | Node::Any(nodes) | Node::AtLeast(_, nodes)) => {
            nodes.iter().try_for_each(|node| terms_of(ground, blocks, node, terms))
        }
        (_, Node::Unmet(node)) => terms_of(ground, blocks, node, terms),
        (_, Node::Constant(_)) => Some(()),
        (_, Node::Met(_) | Node::Opposite(_) | Node::Holds(_)) => None,
    }
}

/// Whether a condition is met, given which of the terms are.
fn follows(node: &Node, terms: &[Term], answers: u32) -> bool {
    if let Some(at) = terms.iter().position(|term| term.node == *node) {
        return answers >> at & 1 == 1;
    }
    let met = |node: &Node| follows(node, terms, answers);
    match node {
        Node::Constant(value) => *value,
        Node::All(nodes) => nodes.iter().all(met),
        Node::Any(nodes) => nodes.iter().any(met),
        Node::AtLeast(least, nodes) => nodes.iter().filter(|node| met(node)).count() >= *least as usize,
        Node::Unmet(node) => !met(node),
        Node::Met(_) | Node::Opposite(_) | Node::Holds(_) => false,
    }
}

/// A look that a count is made of may tip it, and with it whatever the whole still leaves open.
fn may_tip(ground: Ground<'_>, room: &Room, terms: &[Term], whole: &mut RoomResult) {
    let atoms = &ground.layout().view.atoms;
    let change = RoomResult::at_most(std::iter::once(&*whole));
    let variables: Vec<VariableId> = terms.iter().flat_map(|term| reads(atoms, &term.node)).collect();
    for (at, variable) in room.variables.iter().chain(&room.context).enumerate() {
        if variables.contains(variable) && ground.seen.sets[*variable as usize].count_ones() > 1 {
            whole.changes.or(at, change);
        }
    }
}
