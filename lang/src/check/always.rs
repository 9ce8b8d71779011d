#![doc = include_str!("../../pages/always.md")]

use super::world::World;
use crate::diagnostic::Diagnostic;

/// Findings that hold in every case in which their part, or place, is there.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, finding) in world.book.findings.iter().enumerate() {
        let always = |standing: &usize| {
            let applies = &world.standings[*standing].applies;
            world.never(&[applies], &[&world.holds[*standing]]) && !world.never(&[applies], &[])
        };
        if !world.of[at].is_empty() && world.enough_for(at) && world.of[at].iter().all(always) {
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
