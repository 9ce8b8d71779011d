#![doc = include_str!("../../pages/sign-never.md")]

use super::sites::Site;
use super::world::World;
use crate::book::{Finding, Test};
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;

/// Tests that are never met, each where it stands.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, (finding, sites)) in world.book.findings.iter().zip(&world.signs).enumerate() {
        // Where its part is never there, that is what is told.
        let there = world.of[at].iter().any(|standing| !world.never(&[&world.standings[*standing].applies], &[]));
        if !there || !world.enough_for(at) {
            continue;
        }
        found.extend(sites.iter().filter(|site| is_never(world, site)).map(|site| tell(world, finding, site)));
    }
    found
}

/// Whether a test is met at none of the places at which it is asked.
pub fn is_never(world: &World, site: &Site) -> bool {
    site.met.iter().all(|met| matches!(met, Node::Constant(false)) || world.never(&[met], &[]))
}

fn tell(world: &World, finding: &Finding, site: &Site) -> Diagnostic {
    let says = match (&site.test, super::say::limit(world, site, false)) {
        (_, Some(limit)) => {
            let says = format!("{}, so this sign of `{}` is never met.", limit, finding.name);
            return Diagnostic::warning("threshold-outside-look", site.span, says)
                .label("never met")
                .help("Move the limit to where the look can come, or widen the look.");
        }
        (Some(Test::PlaceIs { .. }), None) => {
            format!("`{}` is never judged at a place where this is met.", finding.name)
        }
        (None, None) if site.not => {
            format!("The finding that this sign of `{}` asks not to be found always holds.", finding.name)
        }
        (None, None) => format!("The finding that this sign of `{}` asks for can never hold.", finding.name),
        _ => format!("No instrument can meet this sign of `{}`.", finding.name),
    };
    Diagnostic::warning("sign-never", site.span, says).label("never met").help("Take it out, or say what was meant.")
}
