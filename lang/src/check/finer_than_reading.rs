#![doc = include_str!("../../pages/finer-than-reading.md")]

use std::ops::Range;

use super::sites::Site;
use super::world::World;
use crate::book::LookKind;
use crate::cells::{Cell, Cells};
use crate::diagnostic::Diagnostic;
use crate::finite::node::{Answer, Atom, Node};
use crate::finite::view::Stands;
use crate::number::{Number, format_decimal};

/// Signs that no single reading of their look can rule out.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (finding, sites) in world.book.findings.iter().zip(&world.signs) {
        for site in sites {
            if let Some((look, error)) = too_fine(world, site) {
                let says = format!(
                    "`{look}` is read give or take {error}, so no reading can ever clear this sign of `{}`.",
                    finding.name
                );
                found.push(
                    Diagnostic::warning("finer-than-reading", site.span, says)
                        .help("Move the limit by the reading error at least, or measure the look more finely."),
                );
            }
        }
    }
    found
}

/// The look of a test that some reading clears at none of its values, and the look's reading error in words.
fn too_fine(world: &World, site: &Site) -> Option<(String, String)> {
    let mut told = None;
    for node in &site.met {
        let mut atoms = Vec::new();
        node.visit(&mut |atom| atoms.push(atom), &mut |_| {});
        for atom in atoms {
            let wanted = if opposite(node, atom) { Answer::Opposite } else { Answer::Met };
            let atom = &world.view.atoms[atom as usize];
            for (variable, stride) in &atom.variables {
                let known = &world.view.variables[*variable as usize];
                let Stands::Look(spot, dynamics) = &known.stands else { continue };
                let look = &world.book[spot.look];
                let LookKind::Measured { unit, give_or_take: Some(error), from, to } = &look.kind else { continue };
                if !dynamics.is_empty() {
                    continue;
                }
                let never_clear =
                    rows(atom, *stride, known.size).any(|row| never_clear(&known.cells, &row, wanted, (*from, *to), *error));
                if never_clear {
                    let factor = unit.factor();
                    let error = format!("{} {unit}", format_decimal(*error / factor));
                    told = Some((world.book.look_path(spot.look), error));
                }
            }
        }
    }
    told
}

fn opposite(node: &Node, wanted: u32) -> bool {
    match node {
        Node::Opposite(atom) => *atom == wanted,
        Node::All(nodes) | Node::Any(nodes) | Node::AtLeast(_, nodes) => nodes.iter().any(|node| opposite(node, wanted)),
        Node::Unmet(node) => opposite(node, wanted),
        Node::Constant(_) | Node::Met(_) | Node::Holds(_) => false,
    }
}

/// The answers along one variable of a test, for every choice of the others.
fn rows(atom: &Atom, stride: u32, size: usize) -> impl Iterator<Item = Vec<Answer>> + '_ {
    let (stride, all) = (stride as usize, atom.answers.len());
    (0..all)
        .filter(move |start| start / stride % size == 0)
        .map(move |start| (0..size).map(|cell| atom.answers[start + cell * stride]).collect())
}

/// Whether some values clear the test, but no reading lies among them with all its error.
fn never_clear(cells: &Cells, row: &[Answer], wanted: Answer, (from, to): (Number, Number), error: Number) -> bool {
    let clear = |at: usize| row[at] != wanted;
    let mut some = false;
    let mut at = 0;
    while at < row.len() {
        if !clear(at) {
            at += 1;
            continue;
        }
        let start = at;
        while at < row.len() && clear(at) {
            at += 1;
        }
        some = true;
        if readable(cells, start..at, row.len(), (from, to), error) {
            return false;
        }
    }
    some
}

/// Whether a reading with its error, cut to the look's range, lies within a run of cells.
fn readable(cells: &Cells, run: Range<usize>, all: usize, (from, to): (Number, Number), error: Number) -> bool {
    let low = match cells.get(run.start) {
        Some(Cell::Point(number)) => (number, true),
        Some(Cell::Between(number, _)) => (number, false),
        _ => return true,
    };
    let high = match cells.get(run.end - 1) {
        Some(Cell::Point(number)) => (number, true),
        Some(Cell::Between(_, number)) => (number, false),
        _ => return true,
    };
    let (first, last) = (run.start == 0, run.end == all);
    // The reading as far down, and as far up, as the run lets it be.
    let least = if first { from } else { low.0 + error };
    let most = if last { to } else { high.0 - error };
    let closed = (first || low.1) && (last || high.1);
    least < most || (least == most && closed)
}
