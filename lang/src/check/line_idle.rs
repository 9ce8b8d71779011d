#![doc = include_str!("../../pages/line-idle.md")]

use super::world::World;
use crate::book::UrgencyLine;
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;

/// Urgency lines without which every outcome would be the same.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (at, finding) in world.book.findings.iter().enumerate() {
        let standings = &world.of[at];
        if standings.iter().all(|standing| world.never(&[&world.holds[*standing]], &[])) {
            continue;
        }
        if !world.enough_for(at) {
            continue;
        }
        let lines = &finding.urgency;
        // Of two that excuse each other the later one is told.
        let mut told = vec![false; lines.len()];
        for (index, line) in lines.iter().enumerate().rev() {
            let met = |standing: &usize| &world.standings[*standing].lines[index].1;
            if line.when.is_some() && standings.iter().all(|s| world.never(&[&world.holds[*s], met(s)], &[])) {
                let says =
                    format!("This urgency of `{}` never counts: its `if` is never met where the finding holds.", finding.name);
                found.push(Diagnostic::warning("line-idle", line.span, says).help("Take the line out, or change its `if`."));
                told[index] = true;
                continue;
            }
            // Of two with the same step, the one without an `if` stays.
            let covers = |(other, by): &(usize, &UrgencyLine)| {
                let as_grave = by.step > line.step || by.step == line.step && (line.when.is_some() || by.when.is_none());
                *other != index && !told[*other] && as_grave
            };
            let over: Vec<usize> = lines.iter().enumerate().filter(covers).map(|(other, _)| other).collect();
            let idle = |standing: &usize| {
                let others: Vec<&Node> = over.iter().map(|other| &world.standings[*standing].lines[*other].1).collect();
                world.never(&[&world.holds[*standing], met(standing)], &others)
            };
            if !over.is_empty() && standings.iter().all(idle) {
                let says = match line.when {
                    Some(_) => format!(
                        "This urgency of `{}` never counts: whenever it is met, a line at least as grave is met too.",
                        finding.name
                    ),
                    None => format!(
                        "This urgency of `{}` never counts: wherever the finding holds, a line at least as grave is met.",
                        finding.name
                    ),
                };
                let mut diagnostic = Diagnostic::warning("line-idle", line.span, says);
                for other in over {
                    diagnostic = diagnostic.place(lines[other].span, "at least as grave");
                }
                let other_plain = lines.iter().enumerate().any(|(other, line)| other != index && line.when.is_none());
                // A finding keeps a line without an `if`.
                found.push(diagnostic.help(if line.when.is_some() || other_plain {
                    "Take the line out, or change its step or its `if`."
                } else {
                    "Take this line out, and the `if` of the mildest of the others; or change what they ask."
                }));
                told[index] = true;
            }
        }
    }
    found
}
