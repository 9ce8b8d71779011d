#![doc = include_str!("../../pages/always.md")]

use super::world::World;
use crate::diagnostic::Diagnostic;

/// Findings that hold in every case in which their part, or place, is there.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, finding) in world.book.findings.iter().enumerate() {
        let always = |standing: &usize| {
            let applies = &world.standings[*standing].applies;
            world.never(&[applies], &[&world.holds[*standing]])
        };
        // A place that is never there has nothing to say.
        let there = |standing: &usize| !world.never(&[&world.standings[*standing].applies], &[]);
        if world.enough_for(at) && world.of[at].iter().all(always) && world.of[at].iter().any(there) {
            let part = &world.book[finding.on].name;
            let says = format!("`{}` is found on every instrument that has a `{part}`: its signs always hold.", finding.name);
            found.push(
                Diagnostic::warning("always", world.place_of(&finding.origin), says)
                    .help("Narrow the signs, or say it in the `notice` if it is meant for everybody."),
            );
        }
    }
    found
}
