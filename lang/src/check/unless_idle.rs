#![doc = include_str!("../../pages/unless-idle.md")]

use super::enough;
use super::say::whole;
use super::world::World;
use crate::diagnostic::Diagnostic;

/// `unless` clauses that are never met where the signs are.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, finding) in world.book.findings.iter().enumerate() {
        for (index, unless) in finding.unless.iter().enumerate() {
            let span = whole(unless).unwrap_or(finding.origin.span);
            let idle = world.of[at].iter().zip(&world.unless[at]).all(|(standing, unless)| {
                let standing = &world.standings[*standing];
                world.never(&[&standing.applies, &standing.signs, &unless[index]], &[])
            });
            let ever = world.of[at].iter().any(|standing| {
                let standing = &world.standings[*standing];
                !world.never(&[&standing.applies, &standing.signs], &[])
            });
            if idle && ever && world.enough(&enough::let_off(world.book, finding)) {
                let says = format!("This `unless` of `{}` changes nothing: it is never met where the signs are.", finding.name);
                found.push(Diagnostic::warning("unless-idle", span, says).help("Take the `unless` out, or say what was meant."));
            }
        }
    }
    found
}
