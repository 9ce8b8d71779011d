#![doc = include_str!("../../pages/raise-idle.md")]

use super::world::World;
use crate::book::{PartId, Raise};
use crate::diagnostic::Diagnostic;
use crate::finite::node::Node;

/// Raises that make no finding of a part more urgent.
pub fn check(world: &World) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (raise, met) in world.book.raises.iter().zip(&world.raises) {
        // What is never met is told as that.
        if met.iter().all(|met| world.never(&[met], &[])) {
            continue;
        }
        for &part in &raise.on {
            let Some(why) = why(world, raise, part) else { continue };
            let says = format!("`{}` raises nothing on `{}`: {why}.", raise.name, world.book[part].name);
            let help = "Take the part out of its `on`, or change the raise so that it can count there.";
            found.push(Diagnostic::warning("raise-idle", world.place_of(&raise.origin), says).help(help));
        }
    }
    found
}

/// Why a raise counts for no finding on a part; none where it can.
fn why(world: &World, raise: &Raise, part: PartId) -> Option<String> {
    let book = world.book;
    let at = book.raises.iter().filter(|other| other.on.contains(&part)).position(|other| std::ptr::eq(other, raise))?;
    let findings: Vec<usize> = (0..book.findings.len()).filter(|finding| book.findings[*finding].on == part).collect();
    if findings.is_empty() {
        return Some("no finding is on it".to_owned());
    }
    if !findings.iter().all(|finding| world.enough_for(*finding)) {
        return None;
    }
    let standings: Vec<usize> = findings.iter().flat_map(|finding| world.of[*finding].iter().copied()).collect();
    // Of a finding that never holds just that is told.
    if standings.iter().all(|standing| world.never(&[&world.holds[*standing]], &[])) {
        return None;
    }
    let when = |standing: usize| &world.standings[standing].raises[at].2;
    if standings.iter().all(|standing| world.never(&[&world.holds[*standing], when(*standing)], &[])) {
        return Some("its `when` is never met where a finding there holds".to_owned());
    }
    let as_high = |standing: usize| -> Vec<&Node> {
        let lines = world.standings[standing].lines.iter();
        lines.filter(|(step, _)| *step >= raise.cap).map(|(_, met)| met).collect()
    };
    let idle = |standing: &usize| world.never(&[&world.holds[*standing], when(*standing)], &as_high(*standing));
    standings.iter().all(idle).then(|| {
        let step = &book[raise.cap].name;
        format!("wherever its `when` is met, the findings there are at `{step}` or higher anyway")
    })
}
