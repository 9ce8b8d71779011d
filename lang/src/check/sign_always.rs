#![doc = include_str!("../../pages/sign-always.md")]

use super::sites::Site;
use super::world::World;
use crate::book::Finding;
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;

/// Tests that are always met, each where it stands.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, (finding, sites)) in world.book.findings.iter().zip(&world.signs).enumerate() {
        let standings = &world.of[at];
        found.extend(sites.iter().filter(|site| is_always(world, standings, site)).map(|site| tell(world, finding, site)));
    }
    found
}

/// Whether a test is met at every place at which it is asked, wherever its finding can be at all.
fn is_always(world: &World, standings: &[usize], site: &Site) -> bool {
    let each = site.met.len() == standings.len();
    let all = site.met.iter().enumerate().all(|(at, met)| {
        let applies = if each { &world.standings[standings[at]].applies } else { &Node::Constant(true) };
        matches!(met, Node::Constant(true)) || world.never(&[applies], &[met])
    });
    // Where its place is never there nothing can be said of the test.
    all && standings.iter().any(|standing| !world.never(&[&world.standings[*standing].applies], &[]))
}

fn tell(world: &World, finding: &Finding, site: &Site) -> Diagnostic {
    let says = match super::say::limit(world, site) {
        Some(limit) => format!("{limit}, so this sign of `{}` is always met.", finding.name),
        None => format!("Every instrument meets this sign of `{}`.", finding.name),
    };
    Diagnostic::warning("sign-always", site.span, says).label("always met").help("Take it out, or say what was meant.")
}
