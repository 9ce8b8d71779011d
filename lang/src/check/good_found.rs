#![doc = include_str!("../../pages/good-found.md")]

use super::world::World;
use crate::diagnostic::Diagnostic;
use crate::finite::node::{CellSet, Node, VariableId};
use crate::search::{Question, Region, Verdict};

/// The most choices of its surroundings that are gone through for one finding.
const MOST_CHOICES: usize = 1_024;

/// Findings that are found on some instrument whose every part was ticked as good.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, finding) in world.book.findings.iter().enumerate() {
        let Some((standing, case)) = world.of[at].iter().find_map(|standing| shown_when_good(world, *standing)) else {
            continue;
        };
        let is = if world.can(&case, &world.holding(standing)) == "can" { "is" } else { "may be" };
        let says = format!("`{}` {is} found on an instrument that is good all over.", finding.name);
        let diagnostic = Diagnostic::warning("good-found", world.place_of(&finding.origin), says)
            .help("Change the signs, or what the looks they read call `good`.");
        let words = format!("{} on a good instrument", finding.name);
        found.push(world.shown(diagnostic, &words, &case, &world.holding(standing), &[standing]));
    }
    found
}

/// A case in which all that has a `good` is good, and the finding holds whatever else was not looked at.
fn shown_when_good(world: &World, standing: usize) -> Option<(usize, Vec<u8>)> {
    let holds = world.holding(standing);
    let reads = world.reads(&holds);
    let good = good(world, &reads)?;
    if world.never(&[&holds, &good], &[]) {
        return None;
    }
    let context: Vec<VariableId> = reads.iter().copied().filter(|variable| world.is_context(*variable)).collect();
    let size = |variable: &VariableId| world.view.variables[*variable as usize].size;
    let choices: usize = context.iter().map(size).product();
    if choices > MOST_CHOICES {
        return None;
    }
    for choice in 0..choices {
        let mut region = Region::everywhere();
        // Where all the rest is good there are no places as found but those written down.
        world.view.exists.iter().for_each(|(_, _, variable)| region.narrow(*variable, 1));
        let mut rest = choice;
        for variable in &context {
            region.narrow(*variable, 1 << (rest % size(variable)) as CellSet);
            rest /= size(variable);
        }
        let question = Question::new(&world.space).speaking_of(world.conditions()).within(&region).meeting(&good);
        let certain = matches!(question.clone().avoiding_conditions([&holds]).answer(), Verdict::None(_));
        if certain && let Verdict::Found(case) = question.meeting(&holds).preferring(&world.ordinary).answer() {
            return Some((standing, case));
        }
    }
    None
}

/// When all the looks read that have a `good` show it, or do not apply; none where nothing read has one.
fn good(world: &World, reads: &[VariableId]) -> Option<Node> {
    let mut slots: Vec<_> = reads.iter().filter_map(|variable| world.slot(*variable)).collect();
    slots.sort_unstable();
    slots.dedup();
    let goods: Vec<Node> = slots
        .into_iter()
        .filter_map(|slot| {
            let good = world.goods[slot as usize].clone()?;
            Some(Node::any([Node::unmet(world.view.slots[slot as usize].applies.clone()), good]))
        })
        .collect();
    (!goods.is_empty()).then(|| Node::all(goods))
}
