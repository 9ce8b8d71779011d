#![doc = include_str!("../../pages/finer-than-reading.md")]

use std::ops::Range;

use super::sites::Site;
use super::world::World;
use crate::book::LookKind;
use crate::cells::{Cell, Cells};
use crate::diagnostic::Diagnostic;
use crate::finite::node::{Node, VariableId};
use crate::finite::view::Stands;
use crate::number::{Number, format_decimal};
use crate::search::{Question, Region, Verdict};

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

/// The most choices of its tables' keys that are gone through for one test.
const MOST_CHOICES: usize = 1_024;

/// The look of a test that some reading clears at none of its values, and the look's reading error in words.
fn too_fine(world: &World, site: &Site) -> Option<(String, String)> {
    for (met, named) in site.met.iter().zip(&site.named) {
        let mut variables = Vec::new();
        met.variables(&world.view.atoms, &mut variables);
        variables.sort_unstable();
        variables.dedup();
        for variable in variables {
            let known = &world.view.variables[variable as usize];
            let Stands::Look(spot, dynamics) = &known.stands else { continue };
            let LookKind::Measured { unit, give_or_take: Some(error), from, to } = &world.book[spot.look].kind else { continue };
            if !dynamics.is_empty() || !named.contains(spot) {
                continue;
            }
            if rows(world, met, variable).iter().any(|row| never_clear(&known.cells, row, (*from, *to), *error)) {
                let error = format!("{} {unit}", format_decimal(*error / unit.factor()));
                return Some((world.book.look_path(spot.look), error));
            }
        }
    }
    None
}

/// At which cells of a variable a test is met, for every choice of what its tables ask as well.
fn rows(world: &World, met: &Node, variable: VariableId) -> Vec<Vec<bool>> {
    let mut keys = Vec::new();
    met.visit(
        &mut |atom| {
            let read = world.view.atoms[atom as usize].variables.iter().map(|(variable, _)| *variable);
            if read.clone().any(|read| read == variable) {
                keys.extend(read.filter(|read| *read != variable));
            }
        },
        &mut |_| {},
    );
    keys.sort_unstable();
    keys.dedup();
    let size = |variable: VariableId| world.view.variables[variable as usize].size;
    let choices: usize = keys.iter().map(|key| size(*key)).product();
    let mut rows = Vec::new();
    for choice in 0..choices.min(MOST_CHOICES) {
        let mut region = Region::everywhere();
        let mut rest = choice;
        for key in &keys {
            region.narrow(*key, 1 << (rest % size(*key)));
            rest /= size(*key);
        }
        let question = Question::new(&world.space).speaking_of(world.conditions()).within(&region).meeting(met);
        let Verdict::Found(mut case) = question.preferring(&world.ordinary).answer() else { continue };
        let row = (0..size(variable)).map(|cell| {
            case[variable as usize] = cell as u8;
            world.conditions().met(met, &case)
        });
        rows.push(row.collect());
    }
    rows
}

/// Whether some values clear the test, but no reading lies among them with all its error.
fn never_clear(cells: &Cells, row: &[bool], (from, to): (Number, Number), error: Number) -> bool {
    let clear = |at: usize| !row[at];
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
