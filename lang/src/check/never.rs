#![doc = include_str!("../../pages/never.md")]

use super::sign_never::is_never;
use super::sites::Site;
use super::world::World;
use crate::book::{Condition, Finding};
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;

/// Findings that hold in no case, where no single test is to blame.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, finding) in world.book.findings.iter().enumerate() {
        let standings = &world.of[at];
        let never = world.enough_for(at) && standings.iter().all(|standing| world.never(&[&world.holds[*standing]], &[]));
        // Where its part is there, one sign that is never met has told why.
        let there = || standings.iter().any(|standing| !world.never(&[&world.standings[*standing].applies], &[]));
        if !never || (sole(finding) && there() && world.signs[at].iter().any(|site| is_never(world, site))) {
            continue;
        }
        found.push(tell(world, finding, at));
    }
    found
}

/// Whether all signs have to be met, so that one that never is already tells why the finding never holds.
fn sole(finding: &Finding) -> bool {
    match &finding.signs {
        Condition::All(inner) => inner.iter().all(|condition| matches!(condition, Condition::Test(..) | Condition::Found(..))),
        Condition::Test(..) | Condition::Found(..) | Condition::Places { .. } => true,
        Condition::Any(_) | Condition::AtLeast(..) | Condition::Not(_) => false,
    }
}

fn tell(world: &World, finding: &Finding, at: usize) -> Diagnostic {
    let name = &finding.name;
    let standings = || world.of[at].iter().map(|standing| &world.standings[*standing]);
    if standings().all(|standing| world.never(&[&standing.applies], &[])) {
        let part = &world.book[finding.on].name;
        let says = format!("`{name}` can never be found: the `only when` of `{part}` is never met.");
        return Diagnostic::warning("never", world.place_of(&finding.origin), says)
            .help("Mend the `only when`, or take the finding out.");
    }
    if !standings().all(|standing| world.never(&[&standing.applies, &standing.signs], &[])) {
        let says = format!("`{name}` can never be found: whenever its signs are met, so is its `unless`.");
        return Diagnostic::warning("never", world.place_of(&finding.origin), says)
            .help("Narrow the `unless`, or take the finding out.");
    }
    let says = format!("`{name}` can never be found: no instrument meets its signs together.");
    let mut diagnostic = Diagnostic::warning("never", world.place_of(&finding.origin), says);
    if matches!(&finding.signs, Condition::All(_)) && sole(finding) {
        for site in quarrel(world, at) {
            diagnostic = diagnostic.place(site.span, "cannot be met together with the others marked");
        }
    }
    diagnostic.help("Change the signs that exclude each other, or join them by `or` if either is enough.")
}

/// The fewest of the signs that already exclude each other.
fn quarrel<'w>(world: &'w World, at: usize) -> Vec<&'w Site> {
    let Some(standing) = world.of[at].first() else { return Vec::new() };
    let mut kept: Vec<&Site> = world.signs[at].iter().filter(|site| site.met.len() == world.of[at].len()).collect();
    let applies = &world.standings[*standing].applies;
    let clash = |sites: &[&Site]| {
        let mut nodes: Vec<&Node> = sites.iter().map(|site| &site.met[0]).collect();
        nodes.push(applies);
        world.never(&nodes, &[])
    };
    if !clash(&kept) {
        return Vec::new();
    }
    let mut index = 0;
    while index < kept.len() {
        let mut fewer = kept.clone();
        fewer.remove(index);
        if clash(&fewer) {
            kept = fewer;
        } else {
            index += 1;
        }
    }
    kept
}
