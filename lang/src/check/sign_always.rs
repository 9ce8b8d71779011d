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
        if !world.enough_for(at) {
            continue;
        }
        let whom = whom(world, finding, standings);
        let always = sites.iter().filter(|site| is_always(world, standings, site));
        found.extend(always.map(|site| tell(world, finding, site, &whom)));
    }
    found
}

/// Whether a test is met at every place at which it is asked and that is there, wherever its finding can be at all.
fn is_always(world: &World, standings: &[usize], site: &Site) -> bool {
    let each = site.met.len() / standings.len().max(1);
    // Where its place is never there nothing can be said of the test.
    let mut ever = false;
    for (at, (met, there)) in site.met.iter().zip(&site.there).enumerate() {
        let Some(standing) = standings.get(at / each.max(1)) else { return false };
        let applies = &world.standings[*standing].applies;
        if !world.never(&[applies, there], &[met]) {
            return false;
        }
        ever |= !world.never(&[applies, there], &[]);
    }
    ever
}

/// Whom a sign is asked of: where not every instrument has its part, those that have it.
fn whom(world: &World, finding: &Finding, standings: &[usize]) -> String {
    let everywhere = standings.iter().any(|standing| world.standings[*standing].applies == Node::Constant(true));
    if everywhere {
        "Every instrument".to_owned()
    } else {
        format!("Every instrument that has a `{}`", world.book[finding.on].name)
    }
}

fn tell(world: &World, finding: &Finding, site: &Site, whom: &str) -> Diagnostic {
    let says = match super::say::limit(world, site, true) {
        Some(limit) => format!("{limit}, so this sign of `{}` is always met.", finding.name),
        None => format!("{whom} meets this sign of `{}`.", finding.name),
    };
    Diagnostic::warning("sign-always", site.span, says).label("always met").help("Take it out, or say what was meant.")
}
