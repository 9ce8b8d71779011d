//! Parts of a room that still hang together within what a record leaves open.

use purfle_lang::book::StepId;
use rustc_hash::FxHashMap;

use super::marks::required;
use super::solve::{Ground, Scratch};
use crate::plan::layout::Room;
use purfle_lang::finite::node::{Bounds, InstanceId, Node, VariableId};

/// A room, or a part of one that hangs together within what a record leaves open, with what is decided folded away.
#[derive(Debug, Default, Clone)]
pub struct Group {
    /// Its findings.
    pub instances: Vec<Local>,
    /// The open variables it hangs on.
    pub variables: Vec<VariableId>,
    /// What has to be met, or must not be.
    pub constraints: Vec<(Node, bool)>,
}

/// A finding with its conditions as they stand within what a record leaves open.
#[derive(Debug, Clone)]
pub struct Local {
    /// Which.
    pub id: InstanceId,
    /// Where it stands in the room.
    pub at: usize,
    /// When it holds.
    pub holds: Node,
    /// Its urgency lines.
    pub lines: Vec<(StepId, Node)>,
    /// The raises that hit it.
    pub raises: Vec<(u32, StepId, Node)>,
}

/// Parts a room into the groups that still hang together; none where what was written down cannot be.
pub fn groups(ground: Ground<'_>, room: &Room, scratch: &mut Scratch) -> Option<Vec<Group>> {
    let layout = ground.layout();
    let (atoms, sets) = (&layout.view.atoms, &ground.seen.sets);
    scratch.bounds.clear();
    scratch.bounds.resize(layout.instances.len(), Bounds { surely: false, possibly: false });
    for &id in &room.instances {
        scratch.bounds[id as usize] = layout.instances[id as usize].holds.bounds(atoms, sets, &scratch.bounds);
    }
    let within = |node: &Node| node.within(atoms, sets, &scratch.bounds);
    let possible = room.instances.iter().enumerate().filter(|(_, id)| scratch.bounds[**id as usize].possibly);
    let locals: Vec<Local> = possible
        .map(|(at, &id)| {
            let instance = &layout.instances[id as usize];
            Local {
                id,
                at,
                holds: within(&instance.holds),
                lines: instance.lines.iter().map(|(step, when)| (*step, within(when))).collect(),
                raises: instance.raises.iter().map(|(by, cap, when)| (*by, *cap, within(when))).collect(),
            }
        })
        .collect();
    let mut constraints: Vec<(Node, bool)> = Vec::new();
    for &slot in &room.constraints {
        let Some((node, wanted)) = required(&layout.view.slots[slot as usize], ground.seen.marks[slot as usize]) else {
            continue;
        };
        match node.within(atoms, sets, &scratch.bounds) {
            Node::Constant(is) if is == wanted => {}
            Node::Constant(_) => return None,
            node => constraints.push((node, wanted)),
        }
    }
    Some(parted(ground, locals, constraints, &[]))
}

/// Joins findings and constraints that read a common open look, read or yield to each other, or share a bench step
/// that nothing else keeps apart. What is settled beforehand joins nothing.
pub fn parted(ground: Ground<'_>, locals: Vec<Local>, constraints: Vec<(Node, bool)>, settled: &[InstanceId]) -> Vec<Group> {
    let layout = ground.layout();
    let open = |v: VariableId| ground.seen.sets[v as usize].count_ones() > 1;
    let count = locals.len() + constraints.len();
    let mut parent: Vec<usize> = (0..count).collect();
    fn root(parent: &mut [usize], mut at: usize) -> usize {
        while parent[at] != at {
            parent[at] = parent[parent[at]];
            at = parent[at];
        }
        at
    }
    let mut first_reader: FxHashMap<VariableId, usize> = FxHashMap::default();
    let mut first_user: FxHashMap<u32, usize> = FxHashMap::default();
    let mut reads: Vec<Vec<VariableId>> = Vec::with_capacity(count);
    // The first that reads, yields to or becomes each finding; for a finding that can hold here, it itself.
    let mut first_toucher: FxHashMap<InstanceId, usize> = locals.iter().enumerate().map(|(i, l)| (l.id, i)).collect();
    let mut joins: Vec<(usize, usize)> = Vec::new();
    for (i, local) in locals.iter().enumerate() {
        let mut variables = Vec::new();
        let mut others = Vec::new();
        let mut node = |node: &Node| {
            node.variables(&layout.view.atoms, &mut variables);
            node.findings(&mut others);
        };
        node(&local.holds);
        local.lines.iter().for_each(|(_, when)| node(when));
        local.raises.iter().for_each(|(.., when)| node(when));
        others.extend(&layout.instances[local.id as usize].yields_to);
        for link in layout.chain(vec![local.id]) {
            let link = &layout.instances[link as usize];
            for &occurrence in &link.occurrences {
                layout.occurrences[occurrence as usize].price.variables(&layout.view.atoms, &mut |v| variables.push(v));
                if ground.prepared.sharing.steps[occurrence as usize].is_none() {
                    joins.push((*first_user.entry(occurrence).or_insert(i), i));
                }
            }
            link.goods.iter().for_each(|goods| goods.variables(&layout.view.atoms, &mut |v| variables.push(v)));
            for (goal, _, applies) in &link.becomes {
                applies.variables(&layout.view.atoms, &mut variables);
                if ground.prepared.sharing.holds[*goal as usize].is_none() {
                    others.push(*goal);
                }
                // What it becomes yields, and is yielded to, in its own place.
                others.extend(&layout.instances[*goal as usize].yields_to);
            }
        }
        for other in others.into_iter().filter(|other| !settled.contains(other)) {
            joins.push((*first_toucher.entry(other).or_insert(i), i));
        }
        variables.retain(|v| open(*v));
        variables.sort_unstable();
        variables.dedup();
        reads.push(variables);
    }
    for (node, _) in &constraints {
        let mut variables = Vec::new();
        node.variables(&layout.view.atoms, &mut variables);
        variables.retain(|v| open(*v));
        variables.sort_unstable();
        variables.dedup();
        reads.push(variables);
    }
    for (i, variables) in reads.iter().enumerate() {
        for &variable in variables {
            joins.push((*first_reader.entry(variable).or_insert(i), i));
        }
    }
    for (a, b) in joins {
        let (a, b) = (root(&mut parent, a), root(&mut parent, b));
        parent[a.max(b)] = a.min(b);
    }
    let mut groups: Vec<Group> = Vec::new();
    let mut group_of: FxHashMap<usize, usize> = FxHashMap::default();
    let mut group = |i: usize, groups: &mut Vec<Group>, parent: &mut [usize]| -> usize {
        *group_of.entry(root(parent, i)).or_insert_with(|| {
            groups.push(Group::default());
            groups.len() - 1
        })
    };
    let first_constraint = locals.len();
    for (i, local) in locals.into_iter().enumerate() {
        let at = group(i, &mut groups, &mut parent);
        groups[at].instances.push(local);
        groups[at].variables.extend(&reads[i]);
    }
    for (i, constraint) in constraints.into_iter().enumerate() {
        let at = group(first_constraint + i, &mut groups, &mut parent);
        groups[at].constraints.push(constraint);
        groups[at].variables.extend(&reads[first_constraint + i]);
    }
    for group in &mut groups {
        group.variables.sort_unstable();
        group.variables.dedup();
    }
    groups
}
