#![doc = include_str!("../../pages/shadow.md")]

use super::enough;
use super::say::listed;
use super::world::World;
use crate::book::StepId;
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;
use crate::search::Verdict;

/// A finding and the graver ones of which one holds whenever it does.
#[derive(Debug, Clone)]
pub struct Shadow {
    /// The finding, by index.
    pub of: usize,
    /// The graver ones.
    pub by: Vec<usize>,
}

/// Findings in whose every case a graver one holds to which they do not yield.
pub fn shadows(world: &World) -> Vec<Shadow> {
    let graver: Vec<Vec<Node>> = (1..world.book.steps.len())
        .map(|step| (0..world.standings.len()).map(|at| world.at_least(at, StepId::from_index(step))).collect())
        .collect();
    (0..world.book.findings.len()).filter_map(|of| shadowed(world, of, &graver).map(|by| Shadow { of, by })).collect()
}

/// Tells of each.
pub fn check(world: &World, shadows: &[Shadow]) -> Vec<Diagnostic> {
    shadows.iter().map(|shadow| tell(world, shadow.of, &shadow.by)).collect()
}

/// The graver findings that together hold whenever this one does; none where it can stand alone, or never holds.
fn shadowed(world: &World, at: usize, graver: &[Vec<Node>]) -> Option<Vec<usize>> {
    let mut by: Vec<usize> = Vec::new();
    let mut ever = false;
    for &standing in &world.of[at] {
        let holds = world.holding(standing);
        for step in world.steps(standing) {
            let above = graver.get(step.index());
            let no_graver = above.map_or(Node::Constant(true), |above| Node::unmet(above[standing].clone()));
            let here = Node::all([holds.clone(), world.at_least(standing, step), no_graver]);
            let case = match world.case(&[&here], &[]) {
                Verdict::Found(case) => case,
                Verdict::None(_) => continue,
                Verdict::Undecided => return None,
            };
            ever = true;
            // Nothing is graver than the last step.
            let above = above?;
            // In most cases of that kind nothing graver holds, and one such case is enough.
            let conditions = world.conditions();
            let stands = |other: &usize| conditions.met(&world.holds[*other], &case) && conditions.met(&above[*other], &case);
            let candidates: Vec<usize> = candidates(world, at, standing).collect();
            if !candidates.iter().any(stands) || !enough(world, at, &candidates) {
                return None;
            }
            let above: Vec<Node> =
                candidates.iter().map(|other| Node::all([world.holding(*other), above[*other].clone()])).collect();
            let Verdict::None(used) = world.case(&[&here], &above.iter().collect::<Vec<_>>()) else { return None };
            by.extend(used.into_iter().map(|index| world.standings[candidates[index]].finding.index()));
        }
    }
    by.sort_unstable();
    by.dedup();
    (ever && !by.is_empty()).then_some(by)
}

/// Whether there are enough places for one of them to hold while none of the others does.
fn enough(world: &World, at: usize, others: &[usize]) -> bool {
    let mut others: Vec<usize> = others.iter().map(|other| world.standings[*other].finding.index()).collect();
    others.dedup();
    let own = &world.book.findings[at];
    let needs = enough::holds(world.book, own, true).and(&enough::step(world.book, own));
    let needs = others
        .into_iter()
        .map(|other| &world.book.findings[other])
        .fold(needs, |needs, other| needs.and(&enough::holds(world.book, other, false).or(&enough::step(world.book, other))));
    world.enough(&needs)
}

/// Standings of other findings that read something this one reads, and to which it does not yield.
fn candidates(world: &World, at: usize, standing: usize) -> impl Iterator<Item = usize> {
    let reads = &world.decides[standing];
    (0..world.standings.len()).filter(move |&other| {
        let finding = world.standings[other].finding.index();
        finding != at
            && world.decides[other].iter().any(|variable| reads.binary_search(variable).is_ok())
            && !world.yields(at, finding)
    })
}

fn tell(world: &World, at: usize, by: &[usize]) -> Diagnostic {
    let finding = &world.book.findings[at];
    let names: Vec<String> = by.iter().map(|other| format!("`{}`", world.book.findings[*other].name)).collect();
    let or = if names.len() > 1 { "one of " } else { "" };
    let says = format!("`{}` only ever holds when {or}{} holds, which is graver.", finding.name, listed(&names));
    let mut diagnostic = Diagnostic::warning("shadow", world.place_of(&finding.origin), says);
    for other in by {
        diagnostic = diagnostic.place(world.place_of(&world.book.findings[*other].origin), "graver");
    }
    let goals = names.join(", ");
    diagnostic.help(format!("Write `yields to {}`, or change the signs so that it can stand alone.", goals.replace('`', "")))
}
