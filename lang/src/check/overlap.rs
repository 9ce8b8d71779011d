//! Two findings of the same part that the same look shows, and that disagree on who mends it or how soon.

use super::say::listed;
use super::world::World;
use crate::book::StepId;
use crate::diagnostic::Diagnostic;
use crate::finite::node::{Node, VariableId};
use crate::search::Verdict;

/// Pairs that hold together and disagree, gathered under the first of them.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let findings = &world.book.findings;
    let reads: Vec<Vec<VariableId>> = (0..findings.len()).map(|at| own_looks(world, at)).collect();
    let mut found = Vec::new();
    for one in 0..findings.len() {
        let mut clashes = Vec::new();
        for other in one + 1..findings.len() {
            let apart = findings[one].on != findings[other].on
                || world.yields(one, other)
                || world.yields(other, one)
                || !reads[one].iter().any(|variable| reads[other].binary_search(variable).is_ok());
            if !apart && let Some(clash) = clash(world, one, other) {
                clashes.push(clash);
            }
        }
        if let Some(first) = clashes.first() {
            found.push(tell(world, first, &clashes));
        }
    }
    found
}

struct Clash {
    standings: [usize; 2],
    findings: [usize; 2],
    hands: bool,
    case: Vec<u8>,
    claim: Node,
}

/// The looks, of pieces and not of their surroundings, that a finding's own conditions read, at any place.
fn own_looks(world: &World, at: usize) -> Vec<VariableId> {
    let mut variables = Vec::new();
    for standing in &world.of[at] {
        world.standings[*standing].signs.variables(&world.view.atoms, &mut variables);
    }
    variables.retain(|variable| world.slot(*variable).is_some() && !world.is_context(*variable));
    variables.sort_unstable();
    variables.dedup();
    variables
}

fn clash(world: &World, one: usize, other: usize) -> Option<Clash> {
    let hands = world.book.findings[one].counted_hands() != world.book.findings[other].counted_hands();
    for &first in &world.of[one] {
        for &second in &world.of[other] {
            let both_each = world.book.findings[one].each && world.book.findings[other].each;
            if both_each && world.standings[first].spot != world.standings[second].spot {
                continue;
            }
            let both = [world.holding(first), world.holding(second)];
            let claim = if hands { Node::all(both) } else { Node::all(both.into_iter().chain([differ(world, first, second)])) };
            if let Verdict::Found(case) = world.case(&[&claim], &[]) {
                return Some(Clash { standings: [first, second], findings: [one, other], hands, case, claim });
            }
        }
    }
    None
}

/// When the two are at different steps.
fn differ(world: &World, one: usize, other: usize) -> Node {
    let steps = (1..world.book.steps.len()).map(StepId::from_index);
    Node::any(steps.flat_map(|step| {
        let (a, b) = (world.at_least(one, step), world.at_least(other, step));
        [Node::all([a.clone(), Node::unmet(b.clone())]), Node::all([b, Node::unmet(a)])]
    }))
}

fn tell(world: &World, first: &Clash, all: &[Clash]) -> Diagnostic {
    let [one, _] = first.findings;
    let findings = &world.book.findings;
    let name = &findings[one].name;
    let others: Vec<String> = all.iter().map(|clash| format!("`{}`", findings[clash.findings[1]].name)).collect();
    let may = if world.exact(&first.claim) { "can" } else { "may" };
    let on = match (all.iter().any(|clash| clash.hands), all.iter().any(|clash| !clash.hands)) {
        (true, false) => "whose hands they need",
        (false, true) => "how soon",
        _ => "whose hands they need or how soon",
    };
    let says = format!("`{name}` {may} hold together with {} and they disagree on {on}.", listed(&others));
    let mut diagnostic = Diagnostic::warning("overlap", world.place_of(&findings[one].origin), says);
    for clash in all {
        diagnostic = diagnostic.place(world.place_of(&findings[clash.findings[1]].origin), "the same look shows this one");
    }
    let diagnostic = diagnostic.help("Let the milder one say `yields to` the graver, or part their signs.");
    let words = format!("{name} and {} together", findings[first.findings[1]].name);
    world.shown(diagnostic, &words, &first.case, &first.claim, &first.standings)
}
