#![doc = include_str!("../../pages/overlap.md")]

use std::collections::BTreeSet;

use rustc_hash::FxHashSet;

use super::say::listed;
use super::shadow::Shadow;
use super::world::World;
use crate::book::{Expectation, Finding, LookId, StateWord, StepId};
use crate::diagnostic::Diagnostic;
use crate::evaluate::LookSpot;
use crate::finite::node::Node;
use crate::search::Verdict;
use crate::span::Span;

/// So many are named with a finding; what is left is told once these are settled.
const MOST_NAMED: usize = 4;

/// Pairs that hold together and disagree, gathered under the first of them; not those of which one is told to be in the
/// other's shadow.
pub fn check(world: &World, shadows: &[Shadow]) -> Vec<Diagnostic> {
    let findings = &world.book.findings;
    let named: Vec<BTreeSet<LookId>> = (0..findings.len()).map(|at| named(world, at)).collect();
    let mut settled = agreed(world);
    for shadow in shadows {
        settled.extend(shadow.by.iter().map(|by| pair(shadow.of, *by)));
    }
    let mut found = Vec::new();
    for one in 0..findings.len() {
        let clashes = told_with(findings, one).filter_map(|other| {
            // A finding on the part as a whole sums up what is found at its places.
            if findings[one].on != findings[other].on || findings[one].each != findings[other].each {
                return None;
            }
            let share = !named[one].is_disjoint(&named[other]);
            if !share || settled.contains(&pair(one, other)) || world.yields(one, other) || world.yields(other, one) {
                return None;
            }
            clash(world, one, other)
        });
        let clashes: Vec<Clash> = clashes.take(MOST_NAMED + 1).collect();
        if let Some(first) = clashes.first() {
            found.push(tell(world, first, &clashes));
        }
    }
    found
}

/// The findings of which the claim is told at this one: those after it, and those of a parent where the rulebook itself wrote
/// or altered this one, for it is the one that can be mended here.
fn told_with(findings: &[Finding], one: usize) -> impl Iterator<Item = usize> {
    let own = move |at: usize| findings[at].origin.own().is_some();
    (0..findings.len()).filter(move |&other| other != one && if own(one) == own(other) { other > one } else { own(one) })
}

fn pair(one: usize, other: usize) -> (usize, usize) {
    (one.min(other), one.max(other))
}

/// Pairs of which an example says that both are found together.
fn agreed(world: &World) -> FxHashSet<(usize, usize)> {
    let mut agreed = FxHashSet::default();
    for example in world.book.examples.iter().chain(&world.book.inherited_examples) {
        let found = |(expected, _): &(Expectation, Span)| match expected {
            Expectation::Finding { state: StateWord::Found, finding, .. } => Some(finding.index()),
            _ => None,
        };
        let found: Vec<usize> = example.expects.iter().filter_map(found).collect();
        agreed.extend(found.iter().flat_map(|one| found.iter().map(|other| pair(*one, *other))));
    }
    agreed
}

struct Clash {
    standings: [usize; 2],
    findings: [usize; 2],
    hands: bool,
    case: Vec<u8>,
    claim: Node,
}

/// The looks, of pieces and not of their surroundings, that a finding's signs name.
fn named(world: &World, at: usize) -> BTreeSet<LookId> {
    let looks = world.of[at].iter().flat_map(|standing| &world.named[*standing]).map(|named| named.look);
    looks.filter(|look| !world.book[world.book[*look].part].context).collect()
}

fn clash(world: &World, one: usize, other: usize) -> Option<Clash> {
    let hands = world.book.findings[one].counted_hands() != world.book.findings[other].counted_hands();
    for &first in &world.of[one] {
        for &second in &world.of[other] {
            if world.book.findings[one].each && world.standings[first].spot != world.standings[second].spot {
                continue;
            }
            let both = [world.holding(first), world.holding(second)];
            let differ = if hands { Node::Constant(true) } else { differ(world, first, second) };
            let claim = Node::all(both.into_iter().chain([amiss(world, first, second), differ]));
            if let Verdict::Found(case) = world.case(&[&claim], &[]) {
                return Some(Clash { standings: [first, second], findings: [one, other], hands, case, claim });
            }
        }
    }
    None
}

/// When a look of a piece that both name at one place is not good there.
fn amiss(world: &World, one: usize, other: usize) -> Node {
    let both = |look: &LookSpot| world.named[one].contains(look) && world.named[other].contains(look);
    let slots = world.view.slots.iter().zip(&world.goods);
    let slots = slots.filter(|(slot, _)| both(&slot.look) && !world.book[world.book[slot.look.look].part].context);
    Node::any(slots.map(|(slot, good)| {
        let good = good.clone().unwrap_or(Node::Constant(false));
        Node::all([slot.applies.clone(), Node::unmet(good)])
    }))
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
    let more = all.len() > MOST_NAMED;
    let all = &all[..all.len().min(MOST_NAMED)];
    let others: Vec<String> = all.iter().map(|clash| format!("`{}`", findings[clash.findings[1]].name)).collect();
    let others = if more { format!("{} and others", others.join(", ")) } else { listed(&others) };
    let sure = all.iter().all(|clash| world.can(&clash.case, &clash.claim) == "can");
    let may = if sure { "can" } else { "may" };
    let on = match (all.iter().any(|clash| clash.hands), all.iter().any(|clash| !clash.hands)) {
        (true, false) => "whose hands they need",
        (false, true) => "how soon",
        _ => "whose hands they need or how soon",
    };
    let says = format!("`{name}` {may} hold together with {others}, and they disagree on {on}.");
    let mut diagnostic = Diagnostic::warning("overlap", world.place_of(&findings[one].origin), says);
    for clash in all {
        diagnostic = diagnostic.place(world.place_of(&findings[clash.findings[1]].origin), "the same look shows this one");
    }
    let diagnostic = diagnostic.help("Let the milder one say `yields to` the graver, or part their signs.");
    let words = format!("{name} and {} together", findings[first.findings[1]].name);
    world.shown(diagnostic, &words, &first.case, &first.claim, &first.standings)
}
