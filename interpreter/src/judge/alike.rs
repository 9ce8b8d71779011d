//! Cells that make no difference: what a record has settled leaves many limits that nothing asks about any more.

use super::groups::Group;
use super::solve::Ground;
use crate::plan::layout::Room;
use crate::plan::price::{Price, PriceTable};
use purfle_lang::finite::node::{Atom, AtomId, CellSet, InstanceId, VariableId};

/// The open cells of each variable of a group, those together that no condition and no price tells apart.
pub fn classes(ground: Ground<'_>, group: &Group) -> Vec<Vec<CellSet>> {
    let (atoms, tables) = read_by(ground, group);
    group.variables.iter().map(|variable| classes_of(ground, &atoms, &tables, *variable)).collect()
}

/// The cells of some of a room's variables, those together that nothing in it tells apart, whatever a record says of what
/// is all open in the ground.
pub fn partition(ground: Ground<'_>, room: &Room, groups: &[Group], variables: &[VariableId]) -> Vec<Vec<CellSet>> {
    let layout = &ground.prepared.built.layout;
    let (mut atoms, mut tables) = (Vec::new(), Vec::new());
    for group in groups {
        let (more_atoms, more_tables) = read_by(ground, group);
        atoms.extend(more_atoms);
        tables.extend(more_tables);
    }
    for &slot in &room.constraints {
        let slot = &layout.view.slots[slot as usize];
        for node in [&slot.applies, &slot.place, &slot.part] {
            node.visit(&mut |atom| atoms.push(atom), &mut |_| {});
        }
    }
    atoms.sort_unstable();
    atoms.dedup();
    variables.iter().map(|variable| classes_of(ground, &atoms, &tables, *variable)).collect()
}

fn classes_of(ground: Ground<'_>, atoms: &[AtomId], tables: &[&PriceTable], variable: VariableId) -> Vec<CellSet> {
    let layout = &ground.prepared.built.layout;
    let reads = |variables: &[(VariableId, u32)]| variables.iter().any(|(other, _)| *other == variable);
    let atoms = atoms.iter().map(|atom| &layout.view.atoms[*atom as usize]);
    let atoms: Vec<&Atom> = atoms.filter(|atom| reads(&atom.variables)).collect();
    let tables: Vec<&PriceTable> = tables.iter().copied().filter(|table| reads(&table.variables)).collect();
    let mut classes: Vec<(u8, CellSet)> = Vec::new();
    let mut rest = ground.seen.sets[variable as usize];
    while rest != 0 {
        let cell = rest.trailing_zeros() as u8;
        rest &= rest - 1;
        let alike = |other: u8| {
            let pair = Pair { variable, cells: (cell, other) };
            let same = |atom: &&Atom| pair.alike(ground, &atom.variables, (0, 0), &|x, y| atom.answers[x] == atom.answers[y]);
            let as_dear = |t: &&PriceTable| pair.alike(ground, &t.variables, (0, 0), &|x, y| t.prices[x] == t.prices[y]);
            atoms.iter().all(same) && tables.iter().all(as_dear)
        };
        match classes.iter_mut().find(|(first, _)| alike(*first)) {
            Some((_, class)) => *class |= 1 << cell,
            None => classes.push((cell, 1 << cell)),
        }
    }
    classes.into_iter().map(|(_, class)| class).collect()
}

/// Every test and every price that decides a case of a group.
fn read_by<'a>(ground: Ground<'a>, group: &Group) -> (Vec<AtomId>, Vec<&'a PriceTable>) {
    let layout = &ground.prepared.built.layout;
    let (mut atoms, mut tables): (Vec<AtomId>, Vec<&PriceTable>) = (Vec::new(), Vec::new());
    for (node, _) in &group.constraints {
        node.visit(&mut |atom| atoms.push(atom), &mut |_| {});
    }
    let mut chain: Vec<InstanceId> = Vec::new();
    for local in &group.instances {
        let conditions = local.lines.iter().map(|(_, when)| when).chain(local.raises.iter().map(|(.., when)| when));
        for node in conditions.chain(std::iter::once(&local.holds)) {
            node.visit(&mut |atom| atoms.push(atom), &mut |_| {});
        }
        chain.push(local.id);
    }
    for link in layout.chain(chain) {
        let link = &layout.instances[link as usize];
        let steps = link.occurrences.iter().map(|step| &layout.occurrences[*step as usize].price);
        for price in steps.chain(&link.goods) {
            if let Price::Table(alternatives) = price {
                for table in alternatives {
                    table.guard.visit(&mut |atom| atoms.push(atom), &mut |_| {});
                    tables.push(table);
                }
            }
        }
        for (_, _, applies) in &link.becomes {
            applies.visit(&mut |atom| atoms.push(atom), &mut |_| {});
        }
    }
    atoms.sort_unstable();
    atoms.dedup();
    (atoms, tables)
}

/// Two cells of a variable.
#[derive(Clone, Copy)]
struct Pair {
    variable: VariableId,
    cells: (u8, u8),
}

impl Pair {
    /// Whether both lead to equal entries of a table, whatever the other open variables are. `at` are the entries that the
    /// variables gone through so far lead to.
    fn alike(
        self,
        ground: Ground<'_>,
        variables: &[(VariableId, u32)],
        at: (usize, usize),
        equal: &impl Fn(usize, usize) -> bool,
    ) -> bool {
        let Some((&(other, stride), rest)) = variables.split_first() else {
            return equal(at.0, at.1);
        };
        let from = |at: usize, cell: u8| at + usize::from(cell) * stride as usize;
        if other == self.variable {
            return self.alike(ground, rest, (from(at.0, self.cells.0), from(at.1, self.cells.1)), equal);
        }
        let mut open = ground.seen.sets[other as usize];
        while open != 0 {
            let cell = open.trailing_zeros() as u8;
            if !self.alike(ground, rest, (from(at.0, cell), from(at.1, cell)), equal) {
                return false;
            }
            open &= open - 1;
        }
        true
    }
}
