//! Cells that make no difference: what a record has settled leaves many limits that nothing asks about any more.

use super::groups::Group;
use super::price::cells;
use super::solve::Ground;
use crate::plan::layout::Room;
use crate::plan::price::{Price, PriceTable};
use purfle_lang::finite::node::{Atom, AtomId, CellSet, InstanceId, VariableId};

/// The open cells of each variable of a group, those together that no condition and no price tells apart.
pub fn classes(ground: Ground<'_>, group: &Group) -> Vec<Vec<CellSet>> {
    let (atoms, tables) = read_by(ground, group);
    group.variables.iter().map(|variable| classes_of(ground, &atoms, &tables, *variable)).collect()
}

/// The cells of each of a room's own variables, those together that nothing tells apart, whatever a record says of the
/// room, as long as the context is what it is in the ground. There, the room's own variables are to be all open.
pub fn partition(ground: Ground<'_>, room: &Room, groups: &[Group]) -> Vec<Vec<CellSet>> {
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
    room.variables.iter().map(|variable| classes_of(ground, &atoms, &tables, *variable)).collect()
}

fn classes_of(ground: Ground<'_>, atoms: &[AtomId], tables: &[&PriceTable], variable: VariableId) -> Vec<CellSet> {
    let layout = &ground.prepared.built.layout;
    let mut classes: Vec<(u8, CellSet)> = Vec::new();
    for cell in cells(ground.seen.sets[variable as usize]) {
        let alike = |other: u8| {
            atoms.iter().all(|atom| alike_in(&layout.view.atoms[*atom as usize], ground, variable, cell, other))
                && tables.iter().all(|table| alike_in_price(table, ground, variable, cell, other))
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

fn alike_in(atom: &Atom, ground: Ground<'_>, variable: VariableId, a: u8, b: u8) -> bool {
    alike_at(&atom.variables, ground, variable, a, b, &|x, y| atom.answers[x as usize] == atom.answers[y as usize])
}

fn alike_in_price(table: &PriceTable, ground: Ground<'_>, variable: VariableId, a: u8, b: u8) -> bool {
    alike_at(&table.variables, ground, variable, a, b, &|x, y| table.prices[x as usize] == table.prices[y as usize])
}

/// Whether two cells of a variable lead to equal entries of a table, whatever the other open variables are.
fn alike_at(
    variables: &[(VariableId, u32)],
    ground: Ground<'_>,
    variable: VariableId,
    a: u8,
    b: u8,
    equal: &dyn Fn(u32, u32) -> bool,
) -> bool {
    if a == b || !variables.iter().any(|(other, _)| *other == variable) {
        return true;
    }
    let (mut x, mut y) = (vec![0], vec![0]);
    for &(other, stride) in variables {
        if other == variable {
            x.iter_mut().for_each(|at| *at += u32::from(a) * stride);
            y.iter_mut().for_each(|at| *at += u32::from(b) * stride);
            continue;
        }
        let open = cells(ground.seen.sets[other as usize]);
        let spread = |at: &[u32]| at.iter().flat_map(|at| open.iter().map(move |cell| at + u32::from(*cell) * stride)).collect();
        (x, y) = (spread(&x), spread(&y));
    }
    x.iter().zip(&y).all(|(x, y)| equal(*x, *y))
}
